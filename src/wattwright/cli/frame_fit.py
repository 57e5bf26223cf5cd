"""``wattwright frame fit``: how many modules a bicycle takes, where, and why not one more."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli import shown
from wattwright.cli.progress import progress_bar
from wattwright.units import mm_from_metres

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wattwright.frame.alternatives import Fit, Wish
    from wattwright.frame.nearest_change import Refused
    from wattwright.parts.fixing import FixingKind
    from wattwright.workflow.fit_frame import FitOfMany, FrameFit

NO_ROOM = 1
"""Exit code where not one module fits: an answer, but a "no"."""


def fit_command(  # noqa: PLR0917 (flags)
    file: Annotated[
        Path | None, typer.Argument(help="Frame file, or a job file that names one.", show_default=False)
    ] = None,
    module: Annotated[str, typer.Option(help="Module by name; a job names its own.")] = "",
    wish: Annotated[
        list[str] | None,
        typer.Option(
            "--wish", help="low, central, hidden, quick, no-clamps, one-stack; the first counts most."
        ),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option("--without", help="A way of fixing not to be used: bands, straps, plate-on-bands …"),
    ] = None,
    stacks: Annotated[int, typer.Option(min=1, max=8, help="Most stacks on the bicycle.")] = 3,
    changes: Annotated[bool, typer.Option(help="Search what would let one more module in.")] = True,
    frames: Annotated[
        Path | None,
        typer.Option("--frames", help="Table of frames instead of one (.csv, columns as in frame files)."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Find the most modules that fit on a bicycle, proven, with the places, and why not one more.

    Exit code 0 if any module fits, 1 if none does, 2 if something given cannot be used.
    """
    from wattwright.errors import InputError  # noqa: PLC0415 (start-up)
    from wattwright.parts.fixing import FixingKind  # noqa: PLC0415 (start-up)
    from wattwright.workflow.fit_frame import fit_frame  # noqa: PLC0415 (start-up)

    by_name = {one.value: one for one in FixingKind}
    for name in without or ():
        if name not in by_name:
            raise InputError("--without", name, f"one of {', '.join(by_name)}")
    kinds = frozenset(FixingKind) - {by_name[name] for name in without or ()}
    if (file is None) == (frames is None):
        raise InputError("FILE", "none" if file is None else str(file), "given, or else --frames, not both")
    if frames is not None:
        _fit_table(frames, module, kinds, stacks, as_json=as_json)
        return
    wishes = [_wish(name) for name in wish or ()]
    with progress_bar("searching", quiet=as_json) as progress:
        answer = fit_frame(
            file or Path(),
            module=module,
            wishes=wishes,
            most_stacks=stacks,
            kinds=kinds,
            changes=changes,
            report=progress,
        )
    if as_json:
        shown.show_json(_as_json(answer))
    else:
        _show(answer)
    if not answer.fits[0].modules:
        raise typer.Exit(NO_ROOM)


def _wish(name: str) -> "Wish":
    from wattwright.errors import InputError  # noqa: PLC0415 (start-up)
    from wattwright.frame.alternatives import Wish  # noqa: PLC0415 (start-up)

    known = {one.value: one for one in Wish}
    if name not in known:
        raise InputError("--wish", name, f"one of {', '.join(known)}")
    return known[name]


def _fit_table(
    frames: Path, module: str, kinds: "frozenset[FixingKind]", stacks: int, *, as_json: bool
) -> None:
    """Count for every frame of a table."""
    from wattwright.workflow.fit_frame import fit_many, shelf_of  # noqa: PLC0415 (start-up)

    with progress_bar("frames", quiet=as_json) as progress:
        found = fit_many(frames, shelf_of(module, kinds), most_stacks=stacks, report=progress)
    if as_json:
        shown.show_json([{"title": one.title, "modules": one.modules, "where": one.where} for one in found])
        return
    rows = [(one.title, "refused" if one.modules is None else str(one.modules), one.where) for one in found]
    shown.console().print(shown.table(str(frames), ("Frame", ">Modules", "Where, or why not"), rows))
    shown.say(_tally(found))


def _tally(found: "Sequence[FitOfMany]") -> str:
    counts = [one.modules for one in found if one.modules is not None]
    middle = sorted(counts)[len(counts) // 2] if counts else 0
    return f"{len(found)} frames, {len(found) - len(counts)} refused; the middle one takes {middle} modules."


def _show(answer: "FrameFit") -> None:
    from wattwright.sizing.in_words import modules_in_words  # noqa: PLC0415 (start-up)

    best = answer.fits[0]
    shown.say(answer.ceiling.because)
    console = shown.console()
    columns = ("Place", ">Modules", "Carrier", "Dock", "Held by", ">Offset mm", ">Slides mm")
    console.print(
        shown.table(f"{answer.title}: {modules_in_words(best.modules)}", columns, _stack_rows(best))
    )
    if answer.fits[1:]:
        rows = [(_keeps(fit), str(fit.modules), _in_words(fit)) for fit in answer.fits[1:]]
        console.print(
            shown.table("Other ways, each the most it allows", ("Keeps to", ">Modules", "Stacks"), rows)
        )
    if answer.refused:
        refused_columns = ("One more", ">Modules there", ">Wanting mm", "Because")
        console.print(
            shown.table("Why not one more", refused_columns, [_refused_row(one) for one in answer.refused])
        )
    shown.lines(
        "What would let more in (searched again)",
        (f"{one.what}: {one.modules} modules" for one in answer.changes),
    )
    shown.say(
        f"Proven over {best.candidates} kinds of placement at {best.places} offsets. Follow the maker's "
        "manual of frame and carrier, for torque and carbon tubes above all."
    )


def _stack_rows(fit: "Fit") -> list[tuple[str, ...]]:
    return [
        (
            one.placed.candidate.face.name,
            str(one.modules),
            one.placed.candidate.carrier.title,
            "first" if one.placed.candidate.dock_first else "last",
            one.placed.held.fixing.kind.value,
            f"{mm_from_metres(one.placed.offset):.1f}",
            f"{mm_from_metres(one.slide[0]):.1f} – {mm_from_metres(one.slide[1]):.1f}",
        )
        for one in fit.stacks
    ]


def _keeps(fit: "Fit") -> str:
    return fit.keeps or "as many as can be"


def _in_words(fit: "Fit") -> str:
    return ", ".join(f"{one.placed.candidate.face.name} {one.modules}" for one in fit.stacks)


def _refused_row(one: "Refused") -> tuple[str, ...]:
    because = " ".join(refusal.because for refusal in one.refusals)
    return (one.placement.face, str(one.placement.modules), f"{mm_from_metres(one.short_by):.1f}", because)


def _as_json(answer: "FrameFit") -> dict[str, Any]:
    return {
        "title": answer.title,
        "module": answer.shelf.battery_module.name,
        "modules": answer.fits[0].modules,
        "because": answer.ceiling.because,
        "fits": [_fit_json(fit) for fit in answer.fits],
        "refused": [_refused_json(one) for one in answer.refused],
        "changes": [
            {"what": one.what, "field": one.field, "before": one.before, "after": one.after,
             "unit": one.unit, "modules": one.modules}
            for one in answer.changes
        ],
    }  # fmt: skip


def _fit_json(fit: "Fit") -> dict[str, Any]:
    return {
        "keeps_to": fit.keeps,
        "modules": fit.modules,
        "candidates": fit.candidates,
        "offsets": fit.places,
        "branches": fit.looked,
        "stacks": [
            {
                "face": one.placed.candidate.face.name,
                "carrier": one.placed.candidate.carrier.name,
                "modules": one.modules,
                "dock": "first" if one.placed.candidate.dock_first else "last",
                "offset_mm": round(mm_from_metres(one.placed.offset), 2),
                "slides_from_mm": round(mm_from_metres(one.slide[0]), 2),
                "slides_to_mm": round(mm_from_metres(one.slide[1]), 2),
                "fixing": one.placed.held.fixing.kind.value,
                "plate": one.placed.held.fixing.plate.name if one.placed.held.fixing.plate else None,
                "step_mm": round(mm_from_metres(one.placed.held.fixing.step), 2),
                "band": one.placed.held.fixing.band.name if one.placed.held.fixing.band else None,
                "strap": one.placed.held.fixing.strap.name if one.placed.held.fixing.strap else None,
                "screw": one.placed.held.fixing.screw.name if one.placed.held.fixing.screw else None,
            }
            for one in fit.stacks
        ],
    }


def _refused_json(one: "Refused") -> dict[str, Any]:
    return {
        "face": one.placement.face,
        "carrier": one.placement.carrier.name,
        "modules": one.placement.modules,
        "offset_mm": round(mm_from_metres(one.placement.offset), 2),
        "wanting_mm": round(mm_from_metres(one.short_by), 2),
        "refusals": [
            {
                "reason": refusal.reason.value,
                "where": refusal.where,
                "short_by_mm": round(mm_from_metres(refusal.short_by), 2),
                "because": refusal.because,
            }
            for refusal in one.refusals
        ],
    }
