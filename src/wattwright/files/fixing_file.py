"""Reads the fixings that can be bought, their rules, and the strength of screws."""

import csv
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final

from wattwright.errors import FileError, InputError
from wattwright.files.catalogue_file import DATA
from wattwright.files.edge import fields_from, record_from
from wattwright.files.edge_errors import validated
from wattwright.files.fixing_models import FixingTables, RulesTables, ShockTable
from wattwright.files.toml_text import read_toml
from wattwright.parts.fixing import (
    BossRule,
    FastenerStrength,
    FixingRules,
    FixingShelf,
    Prohibition,
    Shock,
)
from wattwright.units import metres_from_mm, square_metres_from_square_mm
from wattwright.working import Source, Standing

FASTENERS: Final = DATA / "fasteners" / "metric-screws.csv"
RULES: Final = DATA / "fixings" / "rules.toml"
SHIPPED: Final = DATA / "fixings" / "demo.toml"


def load_shelf(extra: Sequence[Path] = (), rules: Path = RULES) -> FixingShelf:
    """Every fixing that can be had, with rules, shocks and strengths; later files win where names meet.

    Raises:
        FileError: If a file is missing or no TOML, or has an unknown or missing key.
        InputError: If a value is out of range.
    """
    parts: dict[str, dict[str, Any]] = {"band": {}, "plate": {}, "strap": {}, "screw": {}}
    for path in (SHIPPED, *extra):
        tables = validated(FixingTables, read_toml(path), str(path))
        for kind, known in parts.items():
            known.update({table.name: record_from(table) for table in getattr(tables, kind)})
    content = validated(RulesTables, read_toml(rules), str(rules))
    return FixingShelf(
        rules=_rules(content, str(rules)),
        shocks=tuple(_shock(table) for table in content.shock),
        strengths=fastener_strengths(),
        bands=parts["band"],
        plates=parts["plate"],
        straps=parts["strap"],
        screws=parts["screw"],
    )


def fastener_strengths(path: Path = FASTENERS) -> tuple[FastenerStrength, ...]:
    """The table of screws.

    Raises:
        FileError: If the table is damaged.
    """
    note = read_toml(path.with_suffix(".source.toml"))
    source = Source(text=note["columns"]["proof_n"], standing=Standing(note["standing"]))
    try:
        with path.open(encoding="utf-8", newline="") as file:
            return tuple(_strength(row, source) for row in csv.DictReader(file))
    except (KeyError, ValueError, OSError) as error:
        raise FileError(str(path), f"it is damaged ({error})", "Install Wattwright anew.") from None


def _strength(row: dict[str, str], source: Source) -> FastenerStrength:
    def given(key: str) -> float | None:
        return float(row[key]) if row[key] else None

    return FastenerStrength(
        thread=row["thread"],
        property_class=row["property_class"],
        diameter=metres_from_mm(float(row["diameter_mm"])),
        pitch=metres_from_mm(float(row["pitch_mm"])),
        stress_area=square_metres_from_square_mm(float(row["stress_area_mm2"])),
        proof_force=float(row["proof_n"]),
        preload=given("preload_n"),
        torque=given("torque_nm"),
        axial_service_force=given("axial_static_n"),
        axial_dynamic_force=given("axial_dynamic_n"),
        radial_service_force=given("radial_n"),
        source=source,
    )


def _rules(tables: RulesTables, where: str) -> FixingRules:
    figures = fields_from(tables.figures)
    unsourced = sorted(set(figures) - set(tables.sources))
    if unsourced:
        raise InputError("sources", unsourced[0], "a source for every figure", where=where)
    return FixingRules(
        **figures,
        prohibitions=tuple(
            Prohibition(
                kind=table.kind,
                material=table.material,
                because=table.because,
                source=Source(text=_dated(tables.dated), standing=table.standing),
            )
            for table in tables.prohibitions
        ),
        boss_rules=tuple(
            BossRule(
                insert=table.insert,
                material=table.material,
                torque=table.torque_nm,
                pull_out=table.pull_out_n,
                source=Source(text=_dated(tables.dated), standing=table.standing),
            )
            for table in tables.boss
        ),
        sources={
            name: Source(text=table.text, standing=table.standing) for name, table in tables.sources.items()
        },
    )


def _dated(day: date) -> str:
    return f"rules of fixing, {day.isoformat()}"


def _shock(table: ShockTable) -> Shock:
    return Shock(
        name=table.name,
        forward=table.forward,
        upward=table.upward,
        sideways=table.sideways,
        source=Source(text=table.text, standing=table.standing),
    )
