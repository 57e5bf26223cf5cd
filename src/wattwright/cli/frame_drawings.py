"""``wattwright frame draw`` and ``frame template``: the bicycle to scale, and paper to drill by."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli import shown
from wattwright.units import mm_from_metres

if TYPE_CHECKING:
    from wattwright.frame.placement import Refusal

FileArgument = Annotated[Path, typer.Argument(help="Frame file, or a job file that names one.")]
StackOption = Annotated[
    list[str] | None,
    typer.Option(
        "--stack",
        help="A stack: “face=above down tube, carrier=sill-rail-4, modules=4, offset_mm=200”; also "
        "dock=first|last, fixing=bosses|bands|plate-on-bosses|plate-on-bands|straps, plate, step_mm, module. "
        "May be repeated.",
    ),
]
NOT_POSSIBLE = 1


def draw_command(
    file: FileArgument,
    *,
    out: Annotated[Path, typer.Option("--out", help="Where to write the drawing (.svg).")],
    stack: StackOption = None,
    also: Annotated[
        list[str] | None,
        typer.Option("--also", help="A stack that would also fit, drawn dashed; like --stack."),
    ] = None,
    sections: Annotated[
        Path | None,
        typer.Option("--sections", help="Write the sections where stacks are held here, numbered (.svg)."),
    ] = None,
    dark: Annotated[bool, typer.Option("--dark", help="For a dark screen.")] = False,
    width_px: Annotated[float, typer.Option(min=640, max=4000, help="Width of the drawing.")] = 960.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print what was drawn as JSON.")] = False,
) -> int:
    """Draw the bicycle from the side, to scale, with stacks, lengths, and why a place is refused."""
    from wattwright.documents.bicycle_drawing import bicycle_drawing  # noqa: PLC0415 (start-up)
    from wattwright.documents.clamp_section import clamp_drawings  # noqa: PLC0415 (start-up)
    from wattwright.documents.palette import DARK, LIGHT  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)
    from wattwright.workflow.frame_papers import judged, surveyed  # noqa: PLC0415 (start-up)

    palette = DARK if dark else LIGHT
    answer = judged(surveyed(file), stack or (), also or ())
    files = [(out, bicycle_drawing(answer.view, palette=palette, width=width_px))]
    if sections is not None:
        drawn = clamp_drawings(answer.view, palette=palette)
        files += [
            (sections.with_stem(f"{sections.stem}-{number}"), text)
            for number, text in enumerate(drawn, start=1)
        ]
    for path, text in files:
        write_text(path, text, replace=True)
    return _told([path for path, _ in files], answer.refusals, as_json=as_json)


def template_command(
    file: FileArgument,
    *,
    out: Annotated[Path, typer.Option("--out", help="Where to write the template (.pdf).")],
    stack: StackOption = None,
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    dxf: Annotated[
        Path | None,
        typer.Option(
            "--dxf", help="Write the offset plate here, else the template; in mm, numbered if several (.dxf)."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print what was written as JSON.")] = False,
) -> int:
    """Write a full-size paper template of the stacks to cut out and to drill by; measure its bars first."""
    from wattwright.documents.dxf import plate_dxf, template_dxf  # noqa: PLC0415 (start-up)
    from wattwright.documents.header import Paper  # noqa: PLC0415 (start-up)
    from wattwright.documents.template_pages import template_pdf  # noqa: PLC0415 (start-up)
    from wattwright.errors import InputError  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_bytes, write_text  # noqa: PLC0415 (start-up)
    from wattwright.workflow.frame_papers import judged, laid_out, surveyed  # noqa: PLC0415 (start-up)

    papers = {"a4": Paper.A4, "letter": Paper.LETTER}
    if paper not in papers:
        raise InputError("--paper", paper, "a4 or letter")
    answer = judged(surveyed(file), stack or ())
    if answer.refusals and not answer.view.placements:
        return _told([], answer.refusals, as_json=as_json)
    laid = laid_out(answer.view)
    write_bytes(out, template_pdf(laid, papers[paper]), replace=True)
    written, warnings = [out], [warning for one in laid if one.plate for warning in one.plate.warnings]
    if dxf is not None:
        for number, one in enumerate(laid, start=1):
            path = dxf if len(laid) == 1 else dxf.with_stem(f"{dxf.stem}-{number}")
            write_text(path, plate_dxf(one.plate) if one.plate else template_dxf(one), replace=True)
            written.append(path)
    return _told(written, answer.refusals, warnings, as_json=as_json)


def _told(
    written: list[Path], refusals: "tuple[Refusal, ...]", warnings: list[str] | None = None, *, as_json: bool
) -> int:
    """Say what was written and what stands against the rest; 1 where a stack was refused."""
    if as_json:
        shown.show_json({
            "written": [str(path) for path in written],
            "refusals": [_refusal(one) for one in refusals],
            "warnings": warnings or [],
        })  # fmt: skip
    else:
        for path in written:
            shown.say(f"Written: {path}")
        shown.lines("Refused", (f"{one.where}: {one.because}" for one in refusals))
        shown.lines("Mind", warnings or [])
    return NOT_POSSIBLE if refusals else 0


def _refusal(one: "Refusal") -> dict[str, Any]:
    return {
        "reason": one.reason.value,
        "where": one.where,
        "short_by_mm": round(mm_from_metres(one.short_by), 2),
        "because": one.because,
    }
