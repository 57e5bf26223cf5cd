"""Catalogue files: what they give, what they refuse, and in what words."""

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from wattwright.errors import FileError, InputError, NotInCatalogueError, WattwrightError
from wattwright.files.catalogue_file import (
    KINDS,
    find_part,
    load_catalogue,
    load_catalogues,
    part_table,
    parts_of,
    read_catalogue,
    read_catalogue_text,
    shipped_catalogue,
    user_catalogues,
)
from wattwright.files.catalogue_models import CELL_VOLTAGES
from wattwright.files.toml_text import toml_text
from wattwright.parts.battery_module import Chemistry
from wattwright.working import Standing

SHIPPED = shipped_catalogue().read_text(encoding="utf-8")
ORIGIN = '[origin]\ntext = "a test"\nstanding = "assumption"\n'
CABLE = (
    '[[cable]]\nname = "{name}"\ntitle = "Lead"\narea_mm2 = {area}\nmass_kg_per_m = 0.1\n'
    "price_per_metre = 5.0\nmaximum_current_a = 30.0\n"
)


def refusal(before: str, after: str) -> str:
    """What is said of the shipped catalogue with its first ``before`` replaced."""
    assert before in SHIPPED
    with pytest.raises(WattwrightError) as caught:
        read_catalogue_text(SHIPPED.replace(before, after, 1), "mine.toml")
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_the_demo_has_three_kinds_of_module_and_each_kind_of_drive() -> None:
    catalogue = load_catalogue(own=())

    assert {kind.cells_in_series for kind in catalogue.modules.values()} == {10, 12, 13}
    assert {kind.chemistry for kind in catalogue.modules.values()} >= {Chemistry.NMC811, Chemistry.LFP}
    assert {drive.position.value for drive in catalogue.drives.values()} == {"hub", "mid"}
    assert any(drive.controller.regeneration_current_limit > 0 for drive in catalogue.drives.values())
    assert any(25 <= drive.controller.battery_current_limit <= 30 for drive in catalogue.drives.values())


def test_every_part_of_the_demo_is_marked_invented() -> None:
    catalogue = load_catalogue(own=())

    for kind in KINDS:
        for name in parts_of(catalogue, kind):
            assert catalogue.sources[kind, name].standing is Standing.INVENTED


def test_a_module_arrives_in_si() -> None:
    kind = load_catalogue(own=()).module("slate-48")

    assert kind.capacity == 2.0 * 3600
    assert kind.energy == pytest.approx(93.6 * 3600)
    assert kind.resistance == pytest.approx(0.495)
    assert kind.pitch == pytest.approx(0.042)
    assert kind.coldest_charge == 273.15
    assert kind.discharge_protection[-1].current == kind.continuous_discharge_current


@pytest.mark.parametrize("kind", KINDS)
def test_every_part_written_and_read_again_is_the_same(kind: str) -> None:
    catalogue = load_catalogue(own=())
    tables = [part_table(kind, part) for part in parts_of(catalogue, kind).values()]
    origin = {"origin": {"text": "a test", "standing": "assumption"}}

    again = read_catalogue_text(toml_text({**origin, kind: tables}), "again.toml")

    assert parts_of(again, kind) == parts_of(catalogue, kind)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("pitch_mm = 42.0", "pitch_mm = 0.042", "10 to 600 mm. If 0.042 was meant in m, write 42."),
        ("mass_kg = 0.68", "mass_kg = 680.0", "0.05 to 15 kg. If 680 was meant in g, write 0.68."),
        ("capacity_ah = 2.0", "capacity_ah = 2000.0", "If 2000 was meant in mAh, write 2."),
        ("efficiency_pct = 95.0", "efficiency_pct = 0.95", "write 95."),
        ("rollback_start_c = 110.0", "rollback_start_c = 383.0", "If 383 was meant in K, write 109.85."),
        ("mass_kg = 0.68", "mass_kg = nan", "module[1].mass_kg is nan"),
        ("mass_kg = 0.68", "mass_kg = inf", "module[1].mass_kg is inf"),
        ("mass_kg = 0.68", 'mass_kg = "heavy"', "module[1].mass_kg is 'heavy'"),
        ("mass_kg = 0.68", "mass_kg = true", "module[1].mass_kg is True"),
        ("mass_kg = 0.68", "", "module[1].mass_kg is missing. Give it: 0.05 to 15 kg."),
        ("mass_kg = 0.68", "weigth_kg = 0.68", "unknown key module[1].weigth_kg"),
        ("cells_in_series = 13", "cells_in_series = 13.5", "a whole number, 1 to 30"),
        ('chemistry = "nmc811"', 'chemistry = "nmc81"', "Nearest: nmc811"),
        ("[origin]", "[orign]", "unknown key orign. Nearest: origin"),
        ("energy_wh = 93.6", "energy_wh = 80.0", "within 5 % of 96.7 Wh (2 Ah at 48.3 V"),
        ("maximum_voltage_v = 54.6", "maximum_voltage_v = 58.8", "52.42 to 54.60 V for 13 nmc811 cells"),
        ("minimum_voltage_v = 39.0", "minimum_voltage_v = 52.0", "32.50 to 49.14 V for 13 nmc811 cells"),
        (
            "continuous_discharge_current_a = 10.0",
            "continuous_discharge_current_a = 12.0",
            "continuous_discharge_current_a is 12.0; it must be at most 10 A",
        ),
        ("current_a = 22.0, duration_s = 1.0", "current_a = 12.0, duration_s = 1.0", "falling current"),
        ("current_a = 22.0, duration_s = 1.0", "current_a = 0.0, duration_s = 1.0", "more than 0"),
        ("coldest_charge_c = 0.0", "coldest_charge_c = -30.0", "-20 °C or more"),
        ("hottest_winding_c = 140.0", "hottest_winding_c = 100.0", "below hottest_winding_c (100 °C)"),
        ("phase_current_limit_a = 32.0", "phase_current_limit_a = 12.0", "at least battery_current_limit_a"),
        ("peak_torque_nm = 45.0", "peak_torque_nm = 80.0", "at most 47 N·m"),
        ("fade_start_km_h = 22.0", "fade_start_km_h = 26.0", "below cutoff_km_h (25 km/h)"),
        ("cutoff_voltage_v = 30.0", "cutoff_voltage_v = 40.0", "between cutoff_voltage_v (40 V)"),
        ("regeneration_current_limit_a = 0.0", "regeneration_current_limit_a = 5.0", "freewheels"),
        ('name = "slate-48-power"', 'name = "slate-48"', "module[2].name is 'slate-48'"),
        ('name = "slate-48"', 'name = "Slate 48"', "lower case letters, digits and hyphens"),
        ("multiple = 2.4", "multiple = 0.0", 'more than 0 for kind "torque multiple"'),
    ],
)
def test_a_slip_is_named_with_its_way_out(before: str, after: str, said: str) -> None:
    message = refusal(before, after)

    assert message.startswith("mine.toml")
    assert said in message


def test_broken_toml_names_line_and_column() -> None:
    line = SHIPPED[: SHIPPED.index("mass_kg = 0.68")].count("\n") + 1

    said = refusal("mass_kg = 0.68", "mass_kg =")

    assert said.startswith(f"mine.toml, line {line}, column 10: it is not valid TOML")


def test_several_faults_are_counted() -> None:
    text = SHIPPED.replace("mass_kg = 0.68", "mass_kg = 680.0").replace("price = 128.0", "price = -1.0")

    with pytest.raises(InputError, match=r"1 more after this one"):
        read_catalogue_text(text, "mine.toml")


def test_a_later_file_adds_and_replaces_and_says_so(tmp_path: Path) -> None:
    own, extra = tmp_path / "own.toml", tmp_path / "extra.toml"
    own.write_text(ORIGIN + CABLE.format(name="lead-4", area=5.0) + CABLE.format(name="new-lead", area=3.0))
    extra.write_text(ORIGIN + CABLE.format(name="new-lead", area=3.5))

    loaded = load_catalogues([extra], own=[own])

    assert loaded.catalogue.cable("lead-4").area == pytest.approx(5e-6)
    assert loaded.catalogue.cable("new-lead").area == pytest.approx(3.5e-6)
    assert loaded.catalogue.sources["cable", "lead-4"].standing is Standing.ASSUMPTION
    assert len(loaded.replaced) == 2
    assert str(own) in loaded.replaced[0]
    assert loaded.replaced[1] == f"cable 'new-lead' of {own} is replaced by that of {extra}"


def test_the_workshops_own_folder_is_read_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    folder = tmp_path / "wattwright" / "catalogue"
    folder.mkdir(parents=True)
    for name, area in (("b.toml", 2.0), ("a.toml", 9.0)):
        (folder / name).write_text(ORIGIN + CABLE.format(name="our-lead", area=area))

    assert [path.name for path in user_catalogues()] == ["a.toml", "b.toml"]
    assert load_catalogue().cable("our-lead").area == pytest.approx(2e-6)


def test_a_carrier_for_an_unknown_module_names_the_nearest(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(
        ORIGIN + '[[carrier]]\nname = "my-rail"\ntitle = "Rail"\nmodules_fitting = ["slate-84"]\n'
        "base_length_mm = 60\nremoval_travel_mm = 40\nmaximum_modules = 4\nmass_kg = 0.2\n"
        "mass_per_module_kg = 0.05\nprice = 50\n"
    )

    with pytest.raises(InputError, match=r"mine.toml: carrier 'my-rail'.*Nearest: slate-48"):
        load_catalogue([path], own=())


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda path: path.unlink(missing_ok=True), "there is no such file"),
        (lambda path: path.mkdir(), "it cannot be read"),
        (lambda path: path.write_bytes(b"\xff\xfe\x00"), "it is not UTF-8 text"),
        (lambda path: path.write_text("a = " + "[" * 100_000), "nested too deep"),
        (lambda path: path.write_text("#" * 4_000_001), "larger than 4 MB"),
        (lambda path: path.write_text(""), "origin is missing"),
        (lambda path: path.write_text("origin = 3"), "a table: [origin]"),
        (lambda path: path.write_text("module = 3\n" + ORIGIN), "a list of tables"),
    ],
)
def test_a_file_that_is_no_catalogue_is_refused_plainly(
    tmp_path: Path, spoil: Callable[[Path], object], said: str
) -> None:
    path = tmp_path / "mine.toml"
    spoil(path)

    with pytest.raises(InputError) as caught:
        read_catalogue(path)

    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_is_a_file_error(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        load_catalogue([tmp_path / "none.toml"], own=())


def test_a_part_is_found_by_name_alone() -> None:
    catalogue = load_catalogue(own=())

    assert find_part(catalogue, "lead-4") == ("cable", catalogue.cable("lead-4"))
    with pytest.raises(NotInCatalogueError, match="Nearest: rill-hub-250"):
        find_part(catalogue, "rill-hub")


@pytest.mark.parametrize("chemistry", [Chemistry.NMC811, Chemistry.NMC532, Chemistry.NCA, Chemistry.LFP])
def test_cell_voltages_agree_with_the_published_tables(chemistry: Chemistry) -> None:
    """Lowest and mean are those of the equilibrium tables in 5 % steps (reference sheet 4.1).

    Chen 2020, Mohtat 2020, Kim 2011, Prada 2013, as evaluated from PyBaMM's parameter sets.
    """
    from wattwright.files.open_circuit_tables import open_circuit_table  # noqa: PLC0415

    voltage = open_circuit_table(chemistry).voltage
    low, mean, high = CELL_VOLTAGES[chemistry]

    assert low == pytest.approx(voltage[0], abs=2e-3)
    assert mean == pytest.approx((voltage[:-1] + voltage[1:]).mean() / 2, abs=0.012)
    assert 0 <= high - voltage[-1] <= 0.0501
    assert math.isfinite(mean)
