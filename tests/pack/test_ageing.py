"""Ageing: check rows of each published model, laws, and measured cells against estimate and bound."""

import csv
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from stated import state
from wattwright.errors import InputError, OutsideRangeError
from wattwright.pack import fade_iron as iron
from wattwright.pack import fade_nickel as nickel
from wattwright.pack.ageing import Ageing, faded
from wattwright.pack.growth import equivalent_age, power_growth, saturating_growth
from wattwright.pack.year import Year, year_of_service
from wattwright.parts.battery_module import Chemistry
from wattwright.units import kelvin_from_celsius

YEAR_OF_365_DAYS = 365.0 * 86400


def year_of(celsius: float = 20.0, charge: float = 0.6, cycles: float = 60.0, depth: float = 0.6) -> Year:
    """A plain year: one temperature, one charge."""
    kelvin = kelvin_from_celsius(celsius)
    return Year(
        share=np.ones(1),
        temperature=np.array([kelvin]),
        charge=np.array([charge]),
        full_cycles=cycles,
        depth=depth,
        highest_charge=1.0,
        discharge_rate=0.5,
        charge_rate=0.3,
        cycle_temperature=kelvin,
    )


@pytest.mark.parametrize(("row", "volts", "kelvin"), [("G1", 3.7, 298.15), ("G2", 4.15, 313.15)])
def test_schmalstieg_calendar_matches_the_check_rows(row: str, volts: float, kelvin: float) -> None:
    """G1, G2: Schmalstieg 2014 constants, 365 days, loss and resistance rise to 1e-5."""
    wanted = reference(row)
    grown = [float(rate) * 365**0.75 for rate in nickel.schmalstieg_calendar(volts, kelvin)]

    assert grown == pytest.approx(wanted.values, abs=wanted.tolerance)


def test_schmalstieg_cycle_matches_the_check_row() -> None:
    """G3: mean 3.7 V, depth 0.5, 1000 Ah through the 2.15 Ah cell."""
    wanted = reference("G3")
    per_root, per_charge = nickel.schmalstieg_cycle(3.7, 0.5)

    assert (per_root * 1000**0.5, per_charge * 1000) == pytest.approx(wanted.values, abs=wanted.tolerance)


@pytest.mark.parametrize(
    ("depth", "charge", "loss", "rise"), [(0.8, 2150, 0.186993, 0.448844), (0.2, 2150, 0.073456, 0.087902)]
)
def test_schmalstieg_cycle_matches_the_sheets_further_cases(
    depth: float, charge: float, loss: float, rise: float
) -> None:
    """Reference sheet 5.1, mean 3.7 V."""
    per_root, per_charge = nickel.schmalstieg_cycle(3.7, depth)

    assert (per_root * charge**0.5, per_charge * charge) == pytest.approx((loss, rise), abs=1e-6)


def test_schmalstieg_is_clipped_where_the_fit_goes_negative() -> None:
    """Reference sheet 5.1: below 3.149 V and 3.097 V."""
    assert [float(rate) for rate in nickel.schmalstieg_calendar(3.0, 298.15)] == [0.0, 0.0]
    assert float(nickel.schmalstieg_calendar(3.12, 298.15)[0]) == 0.0
    assert float(nickel.schmalstieg_calendar(3.12, 298.15)[1]) > 0.0


def test_naumann_calendar_matches_the_check_row() -> None:
    """G4: half charge at 25 °C, full at 40 °C, 365 days."""
    wanted = reference("G4")
    rates = iron.naumann_calendar(np.array([0.5, 1.0]), np.array([298.15, 313.15]))[0]

    assert rates * YEAR_OF_365_DAYS**0.5 == pytest.approx(wanted.values, abs=wanted.tolerance)


@pytest.mark.parametrize(("charge", "kelvin", "loss"), [(1.0, 298.15, 0.067731), (0.5, 283.15, 0.029485)])
def test_naumann_calendar_matches_the_sheets_further_cases(charge: float, kelvin: float, loss: float) -> None:
    """Reference sheet 5.1."""
    rate = float(iron.naumann_calendar(charge, kelvin)[0])

    assert rate * YEAR_OF_365_DAYS**0.5 == pytest.approx(loss, abs=1e-6)


def test_naumann_cycle_matches_the_check_row_and_the_sheet() -> None:
    """G5 (1C, depth 0.8, 1000 full cycles), and 0.5C, and depth 0.2."""
    wanted = reference("G5")
    losses = [
        iron.naumann_cycle(rate, depth)[0] * 1000**0.5 for rate, depth in ((1, 0.8), (0.5, 0.8), (1, 0.2))
    ]

    assert losses[0] == pytest.approx(wanted.values[0], abs=wanted.tolerance)
    assert losses[1:] == pytest.approx([0.045730, 0.042258], abs=1e-6)


def test_wang_cycle_matches_the_check_row_and_the_sheet() -> None:
    """G6: C/2 at 25 °C, 1800 Ah; and at 15, 45 °C, and 2C (reference sheet 5.1)."""
    wanted = reference("G6")
    cases = ((0.5, 25), (0.5, 15), (0.5, 45), (2.0, 15), (2.0, 25), (2.0, 45))
    losses = [
        100 * iron.wang_cycle(rate, kelvin_from_celsius(celsius)) * 1800**0.55 for rate, celsius in cases
    ]

    assert losses[0] == pytest.approx(wanted.values[0], abs=wanted.tolerance)
    assert losses[1:] == pytest.approx([3.7793, 13.0655, 3.2665, 5.0388, 11.0486], abs=1e-3)


def test_wang_is_refused_outside_its_rates() -> None:
    with pytest.raises(OutsideRangeError, match="C/2 to 10C"):
        iron.wang_cycle(0.2, 298.15)


def test_a_loss_carries_on_from_its_equivalent_age() -> None:
    """G7: a loss of 0.05 at 0.02 a year^0.75 is 3.39302 years old."""
    wanted = reference("G7")

    assert equivalent_age(0.05, 0.02, 0.75) == pytest.approx(wanted.values[0], abs=wanted.tolerance)


@given(
    rate=st.floats(1e-4, 0.1),
    other=st.floats(1e-4, 0.1),
    exponent=st.floats(0.4, 1.2),
    part=st.floats(0.1, 0.9),
)
def test_order_and_slicing_of_the_stress_do_not_matter_for_a_power_law(
    rate: float, other: float, exponent: float, part: float
) -> None:
    """Whichever stress comes first, y = (Σ kᵢ^(1/p) tᵢ)ᵖ."""
    one = power_growth(power_growth(0.0, rate, exponent, part), other, exponent, 1 - part)
    two = power_growth(power_growth(0.0, other, exponent, 1 - part), rate, exponent, part)
    whole = (part * rate ** (1 / exponent) + (1 - part) * other ** (1 / exponent)) ** exponent

    assert one == pytest.approx(whole, rel=1e-6)
    assert two == pytest.approx(whole, rel=1e-6)


@given(loss=st.floats(0, 0.5), most=st.floats(0.01, 1), amount=st.floats(0, 1e4))
def test_a_saturating_loss_never_shrinks_nor_passes_its_most(loss: float, most: float, amount: float) -> None:
    grown = saturating_growth(loss, most, 1e-3, 0.8, amount)

    assert grown >= loss
    assert grown <= max(loss, most)


YEARS = st.builds(
    year_of,
    celsius=st.floats(-5, 40),
    charge=st.floats(0, 1),
    cycles=st.floats(0, 300),
    depth=st.floats(0.05, 1),
)


@given(chemistry=st.sampled_from(Chemistry), year=YEARS, years=st.floats(0, 15), more=st.floats(0, 10))
def test_age_never_gives_back(chemistry: Chemistry, year: Year, years: float, more: float) -> None:
    young, old = faded(chemistry, year, years), faded(chemistry, year, years + more)

    for before, after in ((young.central, old.central), (young.bound, old.bound)):
        assert after.capacity_left <= before.capacity_left + 1e-9
        assert after.resistance_risen >= before.resistance_risen - 1e-9


@given(chemistry=st.sampled_from(Chemistry), year=YEARS, years=st.floats(0, 20))
def test_the_bound_is_never_kinder_than_the_estimate(chemistry: Chemistry, year: Year, years: float) -> None:
    ageing = faded(chemistry, year, years)

    assert 0 < ageing.bound.capacity_left <= ageing.central.capacity_left <= 1
    assert ageing.bound.resistance_risen >= ageing.central.resistance_risen >= 1
    assert ageing.bound.capacity_left <= min(model.capacity_left for model in ageing.models) + 1e-12
    assert ageing.spread >= 0


@given(year=YEARS, warmer=st.floats(0.5, 10), years=st.floats(0.5, 10))
def test_standing_warmer_never_keeps_more(year: Year, warmer: float, years: float) -> None:
    """By the models with an Arrhenius form; the bound of standing alone."""
    stood = replace(year, full_cycles=0.0)
    hot = replace(stood, temperature=stood.temperature + warmer)

    for title in ("NCA 18650, 3.2 Ah", "NMC111 18650, 2.15 Ah"):
        assert left_by(faded(Chemistry.NCA, hot, years), title) <= left_by(
            faded(Chemistry.NCA, stood, years), title
        )


def left_by(ageing: Ageing, title: str) -> float:
    """Capacity left by one model."""
    return next(model.capacity_left for model in ageing.models if model.title == title)


@given(chemistry=st.sampled_from(Chemistry), year=YEARS, more=st.floats(1, 200))
def test_more_use_never_keeps_more(chemistry: Chemistry, year: Year, more: float) -> None:
    used = replace(year, full_cycles=year.full_cycles + more)

    assert (
        faded(chemistry, used, 5).bound.capacity_left <= faded(chemistry, year, 5).bound.capacity_left + 1e-9
    )


def test_a_new_module_is_whole() -> None:
    for chemistry in Chemistry:
        new = faded(chemistry, year_of(), 0.0)

        assert new.central.capacity_left == new.bound.capacity_left == 1.0
        assert new.central.resistance_risen == new.bound.resistance_risen == 1.0


@pytest.mark.parametrize("years", [-1.0, 31.0, float("nan")])
def test_impossible_years_are_refused(years: float) -> None:
    with pytest.raises(InputError, match="years"):
        faded(Chemistry.NCA, year_of(), years)


def test_what_lies_outside_the_data_is_said() -> None:
    cold = faded(Chemistry.NCA, year_of(celsius=-5), 3).notes
    worn = faded(Chemistry.NCA, year_of(cycles=300, depth=1.0), 10).notes
    fast = faded(Chemistry.LFP, replace(year_of(celsius=25), discharge_rate=3.0), 3).notes

    assert any("-5 °C" in note for note in cold)
    assert any("suddenly" in note for note in worn)
    assert any("2C" in note for note in fast)
    assert faded(Chemistry.NCA, year_of(), 3).notes == ()


MONTHS = kelvin_from_celsius(10.0) + 10 * np.cos(2 * np.pi * (np.arange(12) - 6) / 12)


def service(**changes: object) -> Year:
    """A customer's year with some of it changed."""
    values: dict[str, object] = {
        "month_temperature": MONTHS,
        "month_charge_drawn": np.full(12, 20 * 3600.0),
        "ride_depth": np.array([0.4, 0.6]),
        "capacity": 2.0 * 3600,
        "storage_charge": 1.0,
    }
    return year_of_service(**(values | changes))  # type: ignore[arg-type]


def test_a_year_of_service_counts_what_the_rides_take() -> None:
    year = service()

    assert year.full_cycles == pytest.approx(120.0)
    assert year.depth == pytest.approx(0.5)
    assert year.share.sum() == pytest.approx(1.0)
    assert float(np.dot(year.share, year.temperature)) == pytest.approx(MONTHS.mean())
    assert year.charge.max() == 1.0
    assert year.charge.min() == pytest.approx(0.5)
    assert year.cycle_temperature == pytest.approx(MONTHS.mean())


def test_rides_in_summer_only_are_cycles_in_the_warm() -> None:
    drawn = np.where(np.isin(np.arange(12), (5, 6, 7)), 40 * 3600.0, 0.0)
    year = service(month_charge_drawn=drawn)

    assert year.cycle_temperature == pytest.approx(MONTHS[5:8].mean())
    assert year.share[1] == 0.0  # not ridden in January: all month at the storage charge


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("month_temperature_c", {"month_temperature": MONTHS[:11]}),
        ("month_charge_drawn_ah", {"month_charge_drawn": np.full(12, -1.0)}),
        ("ride_depth_pct", {"ride_depth": np.array([])}),
        ("ride_depth_pct", {"ride_depth": np.array([1.4])}),
        ("storage_charge_pct", {"storage_charge": 1.4}),
        ("capacity_ah", {"capacity": 0.0}),
    ],
)
def test_an_impossible_year_is_refused(field: str, changes: dict[str, object]) -> None:
    with pytest.raises(InputError, match=field):
        service(**changes)


def test_full_in_the_warm_ages_faster_than_half_full_in_the_cool() -> None:
    """Common practice, no source: store it cool and about half full."""
    careless = faded(Chemistry.NCA, service(month_temperature=MONTHS + 10), 5)
    careful = faded(Chemistry.NCA, service(storage_charge=0.5), 5)

    assert careless.central.capacity_left < careful.central.capacity_left - 0.02


def measured_storage(file: Path) -> dict[tuple[float, float], tuple[float, float]]:
    """(°C, charge): (days, capacity over the first) at the last measurement of each kind of storage."""
    with file.open(encoding="utf-8") as lines:
        rows = sorted(csv.DictReader(lines), key=lambda row: float(row["days"]))
    series: dict[tuple[float, float], list[tuple[float, float]]] = {}
    for row in rows:
        kind = (float(row["temperature_C"]), float(row["soc_percent"]) / 100)
        series.setdefault(kind, []).append((float(row["days"]), float(row["capacity_Ah_mean"])))
    return {kind: (points[-1][0], points[-1][1] / points[0][1]) for kind, points in series.items()}


def test_measured_storage_lies_about_the_estimate(
    shared_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """calendar_21700_5Ah.csv: 0, 25, 45 °C at ten charges, 496 to 770 days; cells of no model here.

    Nothing is fitted to it. Asked for: mean within 1 point, spread below 2.5 points, the worst below 6.
    """
    errors = {"central": [], "bound": []}
    for (celsius, charge), (days, left) in measured_storage(
        shared_data / "ageing" / "calendar_21700_5Ah.csv"
    ).items():
        ageing = faded(Chemistry.NMC811, year_of(celsius, charge, cycles=0.0), days / 365.25)
        errors["central"].append(ageing.central.capacity_left - left)
        errors["bound"].append(ageing.bound.capacity_left - left)
    for name, points in errors.items():
        state(capsys, f"storage, {name} less measured, {len(points)} kinds: {summed_up(points)}")
    central = np.array(errors["central"])

    assert len(central) == 30
    assert abs(central.mean()) < 0.01
    assert central.std() < 0.025
    assert np.abs(central).max() < 0.06
    assert np.mean(np.array(errors["bound"]) < 0.02) == 1.0


def summed_up(errors: Sequence[float]) -> str:
    """Mean, spread and ends, in points of capacity."""
    points = 100 * np.array(errors)
    ends = f"{points.min():+.1f} to {points.max():+.1f}"
    return f"mean {points.mean():+.1f}, spread {points.std():.1f}, {ends} points"


def measured_cycling(file: Path, cycle: int) -> dict[str, float]:
    """Capacity over that of the first five whole cycles, about a cycle, by cell."""
    cells: dict[str, list[tuple[int, float]]] = {}
    with file.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            if float(row["discharge_Ah"]) > 1.5:  # broken-off cycles remain in the file on purpose
                cells.setdefault(row["cell"], []).append((int(row["cycle"]), float(row["discharge_Ah"])))
    left = {}
    for cell, points in cells.items():
        near = [charge for number, charge in points if abs(number - cycle) <= 5]
        if near:
            left[cell] = float(np.median(near) / np.mean([charge for _, charge in points[:5]]))
    return left


@pytest.mark.parametrize("cycle", [100, 200, 350, 650])
def test_measured_full_cycling_lies_above_the_bound_and_near_the_estimate_until_the_knee(
    shared_data: Path, capsys: pytest.CaptureFixture[str], cycle: int
) -> None:
    """cycle_1C_hp18650.csv: four cells of 2.9 Ah, 1C from 4.2 to 2.5 V at 25 °C, far harder than a bicycle.

    Eight cycles a day are assumed. Asked for: above the bound, and within 6 points of the estimate, which is
    too kind from 200 cycles on. At 350 the two cells without rests have gone through a knee, below
    the bound, which no model here foresees; those with rests have not.
    """
    measured = measured_cycling(shared_data / "ageing" / "cycle_1C_hp18650.csv", cycle)
    years = cycle / 8 / 365.25
    hard = replace(year_of(25.0, 0.5, cycles=cycle / years, depth=1.0), discharge_rate=1.0, charge_rate=1.0)
    ageing = faded(Chemistry.NCA, hard, years)
    state(
        capsys,
        f"{cycle} full cycles: central {ageing.central.capacity_left:.3f}, "
        f"bound {ageing.bound.capacity_left:.3f}, "
        f"measured {', '.join(f'{cell} {left:.3f}' for cell, left in measured.items())}",
    )
    rested = [left for cell, left in measured.items() if cell.startswith("D1") or cycle <= 200]

    assert rested
    for left in rested:
        assert ageing.bound.capacity_left < left
        assert left == pytest.approx(ageing.central.capacity_left, abs=0.06)


def test_like_cells_cycled_alike_part_by_some_per_cent(
    shared_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """cycle_48cells_18650_part1.csv (Baumhöfer et al. 2014): a model gives their mean at best."""
    cells: dict[str, list[tuple[float, float]]] = {}
    with (shared_data / "ageing" / "cycle_48cells_18650_part1.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            cells.setdefault(row["cell"], []).append((float(row["cycle"]), float(row["capacity_Ah"])))
    spreads = {}
    for cycle in (500, 1000):
        left = [np.interp(cycle, *np.array(points).T) / points[0][1] for points in cells.values()]
        spreads[cycle] = float(np.std(left))
        state(capsys, f"{len(left)} like cells after {cycle} cycles: mean {np.mean(left):.3f}, "
              f"spread {spreads[cycle]:.3f}")  # fmt: skip

    assert 0.003 < spreads[500] < 0.01
    assert 0.01 < spreads[1000] < 0.03
