"""Figures as a sheet prints them."""

import pytest

from wattwright.documents import figures
from wattwright.documents.figures import APART, GROUP, MINUS, Units
from wattwright.working import Quantity


@pytest.mark.parametrize(
    ("value", "digits", "printed"),
    [
        (0.0, 0, "0"),
        (-0.4, 0, "0"),
        (999.0, 0, "999"),
        (1000.0, 0, f"1{GROUP}000"),
        (-1234567.891, 2, f"{MINUS}1{GROUP}234{GROUP}567.89"),
        (float("nan"), 1, "–"),
        (float("-inf"), 1, f"{MINUS}∞"),
    ],
)
def test_figures_are_grouped_and_carry_a_true_minus(value: float, digits: int, printed: str) -> None:
    assert figures.figure(value, digits) == printed


def test_unit_stands_apart_and_never_breaks_away() -> None:
    assert str(figures.energy(468 * 3600.0)) == f"468{APART}Wh"


def test_miles_pounds_feet_inches_and_fahrenheit_where_asked() -> None:
    """The international yard and pound of 1959: 1609.344 m, 0.45359237 kg, 25.4 mm (memory)."""
    assert str(figures.distance(16_093.44, Units.IMPERIAL)) == f"10.0{APART}mi"
    assert str(figures.mass(45.359237, Units.IMPERIAL)) == f"100.0{APART}lb"
    assert str(figures.length(0.254, Units.IMPERIAL)) == f"10.0{APART}in"
    assert str(figures.temperature(273.15, Units.IMPERIAL)) == f"32{APART}°F"
    assert figures.in_speed_units(0.44704, Units.IMPERIAL) == pytest.approx(1.0)
    assert figures.in_height_units(0.3048, Units.IMPERIAL) == pytest.approx(1.0)


def test_metric_values_pass_through_unchanged() -> None:
    kept = Quantity(symbol="m", meaning="mass", value=12.34, unit="kg", digits=1)

    assert str(figures.quantity(kept, Units.METRIC)) == f"12.3{APART}kg"
    assert figures.in_units(kept, Units.METRIC) is kept


def test_units_without_an_imperial_sister_stay() -> None:
    amperes = Quantity(symbol="I", meaning="current", value=8.0, unit="A", digits=1)

    assert str(figures.quantity(amperes, Units.IMPERIAL)) == f"8.0{APART}A"


def test_all_samples_arriving_is_not_called_certain() -> None:
    assert figures.chance(1.0).figure == ">99"
    assert figures.chance(0.0).figure == "<1"
    assert figures.chance(0.5).figure == "50"


def test_minutes_are_rounded_before_they_are_split_from_hours() -> None:
    assert figures.duration(3599.0).figure == "1:00"
