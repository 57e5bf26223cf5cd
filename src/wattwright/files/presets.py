"""Presets a job may name instead of a number: postures, surfaces, climates; each with its source."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import Field

from wattwright.errors import InputError
from wattwright.files.catalogue_file import DATA
from wattwright.files.edge import Edge
from wattwright.files.edge_errors import nearest, validated
from wattwright.files.toml_text import read_toml
from wattwright.working import Source, Standing

RIDING: Final = DATA / "riding"
CLIMATES: Final = DATA / "climates"


@dataclass(frozen=True, slots=True, kw_only=True)
class Preset:
    """A value with a name: a posture's drag area, a surface's rolling coefficient."""

    name: str
    title: str
    value: float
    source: Source


class PresetTable(Edge):
    """One row of a table of presets."""

    title: str
    value: float = Field(gt=0, lt=2)
    source: str
    standing: Standing = Field(strict=False)


def postures() -> dict[str, Preset]:
    """Drag areas by posture, in square metres.

    >>> postures()["upright"].value
    0.632
    """
    return _presets(RIDING / "postures.toml")


def surfaces() -> dict[str, Preset]:
    """Rolling coefficients by tyre and surface.

    >>> surfaces()["racing-smooth"].value
    0.0032
    """
    return _presets(RIDING / "surfaces.toml")


def preset_named(key: str, name: str, known: Mapping[str, Preset]) -> Preset:
    """One preset.

    Raises:
        InputError: If there is none of that name; names the nearest.
    """
    if name not in known:
        raise InputError(
            key, name, f"one of {', '.join(known)}", f"Nearest: {', '.join(nearest(name, list(known)))}."
        )
    return known[name]


def climate_names() -> list[str]:
    """Names of the shipped climates."""
    return sorted(path.stem for path in CLIMATES.glob("*.toml"))


def climate_keys(name: str) -> dict[str, Any]:
    """The keys of a shipped climate, as a job file would hold them.

    Raises:
        InputError: If there is none of that name; names the nearest.
    """
    names = climate_names()
    if name not in names:
        raise InputError(
            "climate.preset",
            name,
            f"one of {', '.join(names)}",
            f"Nearest: {', '.join(nearest(name, names))}.",
        )
    content: dict[str, Any] = read_toml(CLIMATES / f"{name}.toml")["climate"]
    return content


def _presets(path: Path) -> dict[str, Preset]:
    return {name: _preset(name, table, path) for name, table in read_toml(path).items()}


def _preset(name: str, table: Mapping[str, Any], path: Path) -> Preset:
    row = validated(PresetTable, table, f"{path.name} [{name}]")
    source = Source(text=row.source, standing=row.standing)
    return Preset(name=name, title=row.title, value=row.value, source=source)
