"""Catalogue files: the shipped one, the workshop's own, and those a job names; later ones win."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from wattwright.errors import InputError, NotInCatalogueError
from wattwright.files.catalogue_models import CatalogueTables, OriginTable
from wattwright.files.edge import Edge, record_from, table_of
from wattwright.files.edge_errors import nearest, validated
from wattwright.files.toml_text import parsed_toml, read_toml
from wattwright.parts.catalogue import Catalogue
from wattwright.working import Source

DATA: Final = Path(__file__).resolve().parent.parent / "data"
KINDS: Final = ("module", "drive", "charger", "carrier", "cable")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedCatalogue:
    """A catalogue and where its parts came from."""

    catalogue: Catalogue
    files: Mapping[tuple[str, str], str]
    """File of each part, by kind and name."""
    replaced: tuple[str, ...]
    """One sentence for each part that a later file replaced."""


def shipped_catalogue() -> Path:
    """The catalogue that comes with the package: invented parts with plausible data sheets."""
    return DATA / "catalogue" / "demo.toml"


def demo_folder() -> Path:
    """The folder of the demo scenario: its job files and their rides."""
    return DATA / "demo"


def user_catalogues() -> tuple[Path, ...]:
    """The workshop's own catalogue files, in the order of their names."""
    from platformdirs import user_config_path  # noqa: PLC0415 (start-up)

    return tuple(sorted((user_config_path("wattwright") / "catalogue").glob("*.toml")))


def load_catalogue(extra: Sequence[Path] = (), *, own: Sequence[Path] | None = None) -> Catalogue:
    """Every part that can be asked for: shipped, the workshop's own, then ``extra``; later files win.

    Args:
        extra: Further catalogue files, as a job or a flag names them.
        own: The workshop's own files; None takes those of the user's configuration folder.

    Raises:
        FileError: If a file is missing or no TOML, or has an unknown or missing key.
        InputError: If a value is out of range, or a part contradicts itself.
    """
    return load_catalogues(extra, own=own).catalogue


def load_catalogues(extra: Sequence[Path] = (), *, own: Sequence[Path] | None = None) -> LoadedCatalogue:
    """As ``load_catalogue``, with the file each part came from and what was replaced."""
    paths = [shipped_catalogue(), *(user_catalogues() if own is None else own), *extra]
    loaded = LoadedCatalogue(catalogue=Catalogue(), files={}, replaced=())
    for path in paths:
        loaded = _with_file(loaded, read_catalogue(path), str(path))
    _check_carriers(loaded)
    return loaded


def read_catalogue(path: Path) -> Catalogue:
    """The parts of one catalogue file.

    Raises:
        FileError: If the file is missing or no TOML, or has an unknown or missing key.
        InputError: If a value is out of range, or a part contradicts itself.
    """
    return _catalogue_from(read_toml(path), str(path))


def read_catalogue_text(text: str, where: str) -> Catalogue:
    """The parts of a catalogue's text; ``where`` names it in a fault."""
    return _catalogue_from(parsed_toml(text, where), where)


def parts_of(catalogue: Catalogue, kind: str) -> Mapping[str, Any]:
    """The parts of one kind ("module", "drive", ...) by name."""
    by_kind: dict[str, Mapping[str, Any]] = {
        "module": catalogue.modules,
        "drive": catalogue.drives,
        "charger": catalogue.chargers,
        "carrier": catalogue.carriers,
        "cable": catalogue.cables,
    }
    return by_kind[kind]


def find_part(catalogue: Catalogue, name: str, *, kinds: Sequence[str] = KINDS) -> tuple[str, object]:
    """A part by its name alone: its kind and itself.

    Raises:
        NotInCatalogueError: If no kind has it; names the nearest of all.
    """
    for kind in kinds:
        if name in parts_of(catalogue, kind):
            return kind, parts_of(catalogue, kind)[name]
    known = [part for kind in kinds for part in parts_of(catalogue, kind)]
    raise NotInCatalogueError(kinds[0] if len(kinds) == 1 else "part", name, nearest(name, known))


def part_table(kind: str, part: object) -> dict[str, Any]:
    """A part as its catalogue file would hold it, keys with their units."""
    return table_of(_tables()[kind], part)


def _tables() -> dict[str, type[Edge]]:
    fields = CatalogueTables.model_fields
    return {kind: fields[kind].annotation.__args__[0] for kind in KINDS}  # type: ignore[union-attr]


def _catalogue_from(content: Mapping[str, Any], where: str) -> Catalogue:
    tables = validated(CatalogueTables, content, where)
    source = _source(tables.origin)
    parts = {kind: _by_name(kind, getattr(tables, kind), where) for kind in KINDS}
    return Catalogue(
        modules=parts["module"],
        drives=parts["drive"],
        chargers=parts["charger"],
        carriers=parts["carrier"],
        cables=parts["cable"],
        sources={(kind, name): source for kind in KINDS for name in parts[kind]},
    )


def _source(origin: OriginTable) -> Source:
    return Source(text=origin.text, standing=origin.standing)


def _by_name(kind: str, tables: Iterable[Any], where: str) -> dict[str, Any]:
    parts: dict[str, Any] = {}
    for number, table in enumerate(tables, start=1):
        if table.name in parts:
            raise InputError(f"{kind}[{number}].name", table.name, "used once in a file", where=where)
        parts[table.name] = record_from(table)
    return parts


def _with_file(loaded: LoadedCatalogue, added: Catalogue, where: str) -> LoadedCatalogue:
    replaced = tuple(
        f"{kind} {name!r} of {loaded.files[kind, name]} is replaced by that of {where}"
        for kind, name in added.sources
        if (kind, name) in loaded.files
    )
    return replace(
        loaded,
        catalogue=loaded.catalogue.with_added(added),
        files={**loaded.files, **dict.fromkeys(added.sources, where)},
        replaced=loaded.replaced + replaced,
    )


def _check_carriers(loaded: LoadedCatalogue) -> None:
    known = loaded.catalogue.modules
    for name, carrier in loaded.catalogue.carriers.items():
        for module_name in carrier.modules_fitting:
            if module_name not in known:
                raise InputError(
                    f"carrier {name!r}, modules_fitting",
                    module_name,
                    "the name of a module in the catalogue",
                    f"Nearest: {', '.join(nearest(module_name, list(known)))}.",
                    loaded.files["carrier", name],
                )
