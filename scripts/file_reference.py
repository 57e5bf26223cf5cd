"""Write the key tables of the pages on job, catalogue and frame files from the models that read those files.

Run: python scripts/file_reference.py. What stands before the marker in each page is written by hand and kept.
"""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final, get_args, get_origin

from wattwright.files.catalogue_models import CatalogueTables
from wattwright.files.edge import Edge, unit_of
from wattwright.files.edge_errors import wanted_of
from wattwright.files.frame_file import usual_keys
from wattwright.files.frame_models import FrameTables
from wattwright.files.job_models import JobTables
from wattwright.files.presets import climate_names, postures, surfaces

DOCS: Final = Path(__file__).resolve().parent.parent / "docs"
MARKER: Final = "<!-- below: written by scripts/file_reference.py -->\n"
PAGES: Final[Mapping[str, type[Edge]]] = {
    "job-file.md": JobTables,
    "catalogue-file.md": CatalogueTables,
    "frame-file.md": FrameTables,
}


def reference(model: type[Edge]) -> str:
    """The key tables of every table of a file, outermost first."""
    usual = usual_keys() if model is FrameTables else {}
    return "\n".join(
        _section(name, table, listed, usual.get(name, {})) for name, table, listed in _tables(model, "")
    )


def presets() -> str:
    """The names a job may give instead of a number."""
    rows = [
        f"| `{key}` | `{preset.name}` | {preset.title} | {preset.value:g} | {preset.source.text} "
        f"({preset.source.standing.value}) |"
        for key, known in (("posture", postures()), ("surface", surfaces()))
        for preset in known.values()
    ]
    head = "## Names instead of numbers\n\n| key | name | means | value | source |\n|---|---|---|---|---|\n"
    climates = ", ".join(f"`{name}`" for name in climate_names())
    return (
        head + "\n".join(rows) + f"\n\nClimates for `preset`: {climates}; what each is stands in its file.\n"
    )


def page(name: str) -> str:
    """A page whole: the hand-written part and the tables."""
    written = (DOCS / name).read_text(encoding="utf-8").split(MARKER)[0]
    tail = "\n" + presets() if name == "job-file.md" else ""
    return f"{written}{MARKER}\n{reference(PAGES[name])}{tail}"


def _tables(model: type[Edge], place: str) -> Iterator[tuple[str, type[Edge], bool]]:
    for key, field in model.model_fields.items():
        table, listed = _table_in(field.annotation)
        if table is not None:
            name = f"{place}.{key}" if place else key
            yield name, table, listed
            yield from _tables(table, name)


def _table_in(annotation: object) -> tuple[type[Edge] | None, bool]:
    if isinstance(annotation, type) and issubclass(annotation, Edge):
        return annotation, False
    inner = next((part for part in get_args(annotation) if isinstance(part, type)), None)
    if inner is None or not issubclass(inner, Edge):
        return None, False
    return inner, get_origin(annotation) is list


def _section(
    name: str,
    table: type[Edge],
    listed: bool,  # noqa: FBT001 (a private step)
    usual: Mapping[str, object],
) -> str:
    heading = f"[[{name}]]" if listed else f"[{name}]"
    about = " ".join((table.__doc__ or "").split())
    rows = "\n".join(_rows(table, usual))
    head = "| key | unit | takes | if left out | meaning |\n|---|---|---|---|---|"
    return f"### `{heading}`\n\n{about}\n\n{head}\n{rows}\n"


def _rows(table: type[Edge], usual: Mapping[str, object]) -> Iterator[str]:
    """One line for each key; what the kind of a frame fills in is shown as usual."""
    for key, field in table.model_fields.items():
        if _table_in(field.annotation)[0] is not None and not key.endswith("_protection"):
            continue
        unit = unit_of(key)
        shown = unit.shown if unit else ""
        takes = wanted_of(key, field).removesuffix(f" {shown}") if shown else wanted_of(key, field)
        left_out = (
            "must be given" if field.is_required() else _default(field.get_default(call_default_factory=True))
        )
        if key in usual:
            left_out = f"{_default(usual[key])}, usual"
        meaning = " ".join((field.description or "").split())
        yield f"| `{key}` | {shown} | {takes} | {left_out} | {meaning} |"


def _default(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if value in (None, "", []):
        return "none"
    return f"{value:g}" if isinstance(value, float) else str(getattr(value, "value", value))


def main() -> None:
    """Write both pages."""
    for name in PAGES:
        (DOCS / name).write_text(page(name), encoding="utf-8")


if __name__ == "__main__":
    main()
