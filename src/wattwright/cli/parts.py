"""wattwright parts …: what the catalogue holds."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli.shown import console, figure, lines, say, show_json, table

if TYPE_CHECKING:
    from wattwright.files.catalogue_file import LoadedCatalogue

app = typer.Typer(no_args_is_help=True, help="List, show and check the parts of the catalogue.")

JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
KindOption = Annotated[
    str | None, typer.Option(metavar="KIND", help="Only this kind: module, drive, charger, carrier, cable.")
]
CatalogueOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--catalogue", metavar="FILE", help="Further catalogue file; may be given again, later wins."
    ),
]

TELLING: Mapping[str, Mapping[str, str]] = {
    "module": {
        "chemistry": "cells",
        "energy_wh": ">Wh",
        "capacity_ah": ">Ah",
        "continuous_discharge_current_a": ">A",
        "maximum_voltage_v": ">V full",
        "mass_kg": ">kg",
        "pitch_mm": ">pitch mm",
        "price": ">price",
    },
    "drive": {
        "position": "motor",
        "rated_power_w": ">W rated",
        "peak_torque_nm": ">N·m",
        "mass_kg": ">kg",
        "price": ">price",
    },
    "charger": {
        "chemistry": "for",
        "voltage_v": ">V",
        "current_a": ">A",
        "mass_kg": ">kg",
        "price": ">price",
    },
    "carrier": {
        "maximum_modules": ">modules",
        "base_length_mm": ">base mm",
        "mass_kg": ">kg",
        "price": ">price",
    },
    "cable": {
        "area_mm2": ">mm²",
        "maximum_current_a": ">A",
        "mass_kg_per_m": ">kg/m",
        "price_per_metre": ">price/m",
    },
}
"""What a list shows of each kind, and under what heading; the rest is shown part by part."""


@app.command("list")
def list_parts(
    kind: KindOption = None, catalogue: CatalogueOption = None, as_json: JsonOption = False
) -> None:
    """List what there is, by kind."""
    from wattwright.files.catalogue_file import load_catalogues, parts_of  # noqa: PLC0415 (start-up)

    loaded = load_catalogues(catalogue or ())
    kinds = _kinds(kind)
    if as_json:
        show_json({each: list(_tables(loaded, each).values()) for each in kinds})
        return
    screen = console()
    for each in kinds:
        if parts_of(loaded.catalogue, each):
            screen.print(_list_table(each, loaded))
    lines("Replaced:", loaded.replaced)
    lines("The figures come from:", _standing(loaded))


@app.command()
def show(
    name: Annotated[str, typer.Argument(help="Of the part.")],
    kind: KindOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show everything the catalogue says of one part, and what stands behind its figures."""
    from wattwright.files.catalogue_file import find_part, load_catalogues, part_table  # noqa: PLC0415 (start-up)

    loaded = load_catalogues(catalogue or ())
    found_kind, part = find_part(loaded.catalogue, name, kinds=_kinds(kind))
    content = part_table(found_kind, part)
    source = loaded.catalogue.sources[found_kind, name]
    behind = {"text": source.text, "standing": source.standing.value, "file": loaded.files[found_kind, name]}
    if as_json:
        show_json({"kind": found_kind, "part": content, "source": behind})
        return
    screen = console()
    flat = {key: value for key, value in content.items() if not isinstance(value, dict)}
    screen.print(table(f"{found_kind} {name}", ("key", "value"), _rows(flat)))
    for key, value in content.items():
        if isinstance(value, dict):
            screen.print(table(f"{name}: {key}", ("key", "value"), _rows(value)))
    say(f"Source: {source.text} ({source.standing.value}), {behind['file']}")


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="A catalogue file of your own.")], as_json: JsonOption = False
) -> None:
    """Check a catalogue file of your own; say what it adds and what it replaces."""
    from wattwright.files.catalogue_file import KINDS, load_catalogues, parts_of, read_catalogue  # noqa: PLC0415

    added = read_catalogue(file)
    loaded = load_catalogues([file], own=())
    counts = {kind: sorted(parts_of(added, kind)) for kind in KINDS}
    if as_json:
        show_json({"file": str(file), "parts": counts, "replaced": list(loaded.replaced)})
        return
    lines("Replaced:", loaded.replaced)
    told = ", ".join(f"{kind}s: {len(names)}" for kind, names in counts.items() if names) or "no part"
    say(f"{file} is in order ({told}).")


def _kinds(kind: str | None) -> tuple[str, ...]:
    from wattwright.errors import InputError  # noqa: PLC0415 (start-up)
    from wattwright.files.catalogue_file import KINDS  # noqa: PLC0415 (start-up)

    if kind is None:
        return KINDS
    if kind not in KINDS:
        raise InputError("--kind", kind, f"one of {', '.join(KINDS)}")
    return (kind,)


def _tables(loaded: "LoadedCatalogue", kind: str) -> dict[str, dict[str, Any]]:
    from wattwright.files.catalogue_file import part_table, parts_of  # noqa: PLC0415 (start-up)

    return {name: part_table(kind, part) for name, part in parts_of(loaded.catalogue, kind).items()}


def _list_table(kind: str, loaded: "LoadedCatalogue") -> Any:  # noqa: ANN401 (a rich table, imported late)
    rows = [
        (name, *(figure(content[key]) for key in TELLING[kind]))
        for name, content in _tables(loaded, kind).items()
    ]
    return table(f"{kind}s", ("name", *TELLING[kind].values()), rows)


def _standing(loaded: "LoadedCatalogue") -> list[str]:
    """What stands behind the figures, file by file."""
    told = {
        f"{loaded.files[key]}: {source.text} ({source.standing.value})"
        for key, source in loaded.catalogue.sources.items()
    }
    return sorted(told)


def _rows(content: Mapping[str, Any]) -> list[tuple[str, str]]:
    return [(key, figure(value)) for key, value in content.items()]
