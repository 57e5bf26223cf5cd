"""State of health: priors, readings, temperature, trend, and what a voltage does not say."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.ageing import faded
from wattwright.pack.health import CAPACITY_ERROR, charge_read, health, usual_year
from wattwright.parts.battery_module import Chemistry
from wattwright.parts.register import Reading
from wattwright.units import kelvin_from_celsius

TODAY = dt.date(2026, 11, 25)
BORN = dt.date(2023, 5, 1)
ROOM = kelvin_from_celsius(25.0)
KIND = NICKEL_MODULE


def reading(
    years_ago: float, *, share: float | None = None, risen: float | None = None, celsius: float = 25.0
) -> Reading:
    """A reading of the example module."""
    return Reading(
        serial="A1",
        date=TODAY - dt.timedelta(days=round(365.25 * years_ago)),
        capacity=None if share is None else share * KIND.capacity,
        resistance=None if risen is None else risen * KIND.resistance,
        temperature=kelvin_from_celsius(celsius),
    )


def test_without_a_reading_age_alone_speaks_as_the_models_do() -> None:
    found = health(KIND, (), TODAY, BORN)
    age = (TODAY - BORN).days / 365.25
    model = faded(KIND.chemistry, usual_year(KIND), age).central

    assert found.capacity_left.value == pytest.approx(model.capacity_left, abs=0.003)
    assert found.resistance_risen.value == pytest.approx(model.resistance_risen, abs=0.01)
    assert found.capacity_left.error > 0.03
    assert "No reading" in found.notes[0]


def test_a_reading_today_weighs_against_the_prior_by_their_errors() -> None:
    """By hand: two Gaussian estimates of one value join in inverse proportion to their variances."""
    before = health(KIND, (), TODAY, BORN).capacity_left
    after = health(KIND, [reading(0.0, share=0.75)], TODAY, BORN).capacity_left
    weights = np.array([before.error**-2, CAPACITY_ERROR**-2])

    assert after.value == pytest.approx(float(weights @ [before.value, 0.75] / weights.sum()), abs=1e-3)
    assert after.error == pytest.approx(float(weights.sum() ** -0.5), rel=0.01)


@given(shares=st.lists(st.floats(0.5, 1.0), min_size=1, max_size=6), more=st.floats(0.5, 1.0))
def test_one_more_reading_never_makes_one_less_sure(shares: list[float], more: float) -> None:
    taken = [reading(0.3 * number, share=share) for number, share in enumerate(shares)]
    few = health(KIND, taken, TODAY, BORN)
    many = health(KIND, [*taken, reading(0.1, share=more)], TODAY, BORN)

    assert many.capacity_left.error <= few.capacity_left.error * (1 + 1e-9)


@given(order=st.permutations(range(4)))
def test_the_order_of_readings_does_not_matter(order: list[int]) -> None:
    taken = [reading(0.4 * number, share=0.7 + 0.05 * number, risen=1.3) for number in range(4)]
    found = health(KIND, [taken[number] for number in order], TODAY, BORN)

    assert found == health(KIND, taken, TODAY, BORN)


def test_many_readings_that_fall_tell_the_pace() -> None:
    """Ten readings on a line that loses 6 points a year draw the trend from the models' pace to their own."""
    taken = [reading(0.3 * number, share=0.80 + 0.06 * 0.3 * number) for number in range(10)]
    trend = health(KIND, taken, TODAY, BORN).capacity_trend

    before = health(KIND, (), TODAY, BORN).capacity_trend

    assert trend is not None
    assert before is not None
    assert -0.06 <= trend.value < (before.value - 0.06) / 2
    assert trend.error < before.error / 3


def test_a_cold_resistance_is_brought_to_25_degrees() -> None:
    """Arrhenius row C5: at 20 kJ/mol a resistance at −10 °C is 2.9243 times that at 25 °C."""
    cold = health(KIND, [reading(0.0, risen=1.3 * 2.9243, celsius=-10.0)], TODAY, BORN).resistance_risen
    warm = health(KIND, [reading(0.0, risen=1.3)], TODAY, BORN).resistance_risen

    assert cold.value == pytest.approx(warm.value, abs=0.06)
    assert cold.error > warm.error


def test_a_cold_capacity_is_brought_to_25_degrees() -> None:
    """The measured factor of docs/models/cold.md: 0.924 at 0 °C."""
    cold = health(KIND, [reading(0.0, share=0.85 * 0.924, celsius=0.0)], TODAY, BORN).capacity_left
    warm = health(KIND, [reading(0.0, share=0.85)], TODAY, BORN).capacity_left

    assert cold.value == pytest.approx(warm.value, abs=0.002)


def test_a_resistance_without_its_temperature_says_less() -> None:
    told = reading(0.0, risen=1.3, celsius=20.0)
    untold = replace(told, temperature=None)

    sure, unsure = (health(KIND, [each], TODAY, BORN) for each in (told, untold))
    assert unsure.resistance_risen.error > sure.resistance_risen.error
    assert any("without its temperature" in note for note in unsure.notes)


def test_a_module_of_unknown_age_is_believed_worn_until_it_is_measured() -> None:
    found = health(KIND, (), TODAY, None)
    measured = health(KIND, [reading(0.0, share=0.97)], TODAY, None)

    assert found.capacity_left.error >= 0.15
    assert measured.capacity_left.value == pytest.approx(0.97, abs=0.01)
    assert measured.capacity_trend is None


def test_rest_voltages_alone_say_nothing_of_health() -> None:
    only = Reading(serial="A1", date=TODAY, rest_voltage=48.0, temperature=ROOM)
    found = health(KIND, [only], TODAY, BORN)

    assert found.capacity_left == health(KIND, (), TODAY, BORN).capacity_left
    assert any("Only rest voltages" in note for note in found.notes)


def test_the_flat_curve_of_iron_phosphate_cannot_be_read() -> None:
    """Reference sheet, topic 4: 21.5 mV over 30 % of charge, so between 40 and 70 % voltage tells nothing."""
    iron = replace(KIND, chemistry=Chemistry.LFP, cells_in_series=12)
    read = charge_read(iron, open_circuit_table(Chemistry.LFP).voltage, 12 * 3.268)
    nickel = charge_read(KIND, open_circuit_table(Chemistry.NMC811).voltage, 13 * 3.7509)

    assert not read.is_told
    assert read.high - read.low > 0.3
    assert nickel.is_told
    assert nickel.likely == pytest.approx(0.5, abs=0.002)


def test_readings_of_the_future_are_not_looked_at() -> None:
    later = reading(-1.0, share=0.5)

    assert health(KIND, [later], TODAY, BORN) == health(KIND, (), TODAY, BORN)


def test_a_life_cannot_begin_after_today() -> None:
    with pytest.raises(InputError, match="first_use"):
        health(KIND, (), TODAY, TODAY + dt.timedelta(days=1))
