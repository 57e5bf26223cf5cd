"""Charge over months: check rows S1 to S3, the trap of the yearly table, laws, and common practice."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from reference_values import reference
from stated import state
from wattwright.errors import InputError, OutsideRangeError
from wattwright.pack.self_discharge import (
    SelfDischarge,
    by_charge,
    charge_after,
    of_rated,
    of_remaining,
    time_until,
    warmth_factor,
)
from wattwright.pack.standing_loss import handbook_left, standing_loss
from wattwright.pack.storage import losses_of, permanent_loss, storage_course, storage_dates
from wattwright.parts.battery_module import Chemistry, PowerState
from wattwright.units import (
    SECONDS_PER_MONTH,
    kelvin_from_celsius,
    per_second_from_percent_per_month,
    percent_per_month_from_per_second,
)

START = dt.date(2026, 11, 25)
QUIET = replace(
    NICKEL_MODULE,
    awake_current=0.5e-3,
    standby_current=0.1e-3,
    switched_off_current=0.5e-3,
    deep_sleep_current=5e-6,
    self_discharge=per_second_from_percent_per_month(1.5),
)
SHED = (kelvin_from_celsius(15.0),) * 12

rates = st.floats(0.0, 0.1).map(lambda share: share / SECONDS_PER_MONTH)
drains = st.floats(0.0, 2e-3)
charges = st.floats(0.3, 1.0)
warmths = st.floats(-20.0, 45.0).map(kelvin_from_celsius)


def test_electronics_alone_empty_half_a_module_in_eighteen_months() -> None:
    """Row S1: 1.3 Ah, 100 µA, closed form."""
    months = time_until(0, 0.5, of_rated(0), drain=100e-6, capacity=2.6 * 3600) / SECONDS_PER_MONTH

    assert months == reference("S1").approx()


def test_self_discharge_of_rated_charge_runs_in_a_straight_line() -> None:
    """Row S2: 1.3 Ah left of 2.6 Ah, 100 µA and 2 % a month of rated."""
    loss = of_rated(per_second_from_percent_per_month(2.0))
    months = time_until(0, 0.5, loss, drain=100e-6, capacity=2.6 * 3600) / SECONDS_PER_MONTH

    assert months == reference("S2").approx()


def test_self_discharge_of_what_remains_dies_away() -> None:
    """Row S3: the same with 2 % a month of remaining: empty after, and left at six months."""
    loss = of_remaining(0.02)
    months = time_until(0, 0.5, loss, drain=100e-6, capacity=2.6 * 3600) / SECONDS_PER_MONTH
    left = charge_after(0.5, 6 * SECONDS_PER_MONTH, loss, drain=100e-6, capacity=2.6 * 3600)

    assert months == reference("S3").approx()
    assert 2.6 * left == reference("S3").approx(1)


def test_without_electronics_half_a_charge_keeps_nine_tenths_in_six_months() -> None:
    """Reference sheet, topic 6, last row: 50 % after six months at 2 % of remaining is 44.292 %."""
    left = charge_after(0.5, 6 * SECONDS_PER_MONTH, of_remaining(0.02), drain=0.0, capacity=1.0)

    assert 100 * left == pytest.approx(44.292, abs=5e-4)


def test_the_rate_by_charge_is_that_of_the_cited_cells() -> None:
    """Zilberman et al. 2019 (secondary): 0.2 % a month at 10 % of charge, 0.4 % at 90 %."""
    loss = by_charge(per_second_from_percent_per_month(0.3))
    at = [percent_per_month_from_per_second(loss.constant + z * loss.proportional) for z in (0.1, 0.9)]

    assert at == pytest.approx([0.2, 0.4])


def test_the_temperature_rule_meets_the_published_figure_for_hot_new_cells(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """20 % a month at 60 °C for a new cell, 5 % for an aged one (note citing a paper of 2018, secondary).

    From a usual 2 % at 25 °C the rule of doubling arrives there; from 0.3 % it stays below both.
    """
    hot = warmth_factor(kelvin_from_celsius(60.0))
    state(capsys, f"self-discharge at 60 °C from 2 % a month at 25 °C: {2 * hot:.1f} %, published 20 %; "
          f"from 0.3 %: {0.3 * hot:.1f} %, published for an aged cell 5 %")  # fmt: skip

    assert 2 * hot == pytest.approx(20, rel=0.2)


@pytest.mark.parametrize(("celsius", "loss_of_a_year"), [(0.0, 0.06), (25.0, 0.20), (40.0, 0.35)])
def test_the_yearly_permanent_loss_is_never_taken_for_monthly_self_discharge(
    celsius: float, loss_of_a_year: float
) -> None:
    """The trap of the reference sheet's topic 6.

    "6, 20, 35 %" when full and "2, 4, 15 %" at 40 % circulate as self-discharge a month; they are what a
    *year* takes for good.
    """
    kelvin = kelvin_from_celsius(celsius)
    sheet_is_silent = losses_of(NICKEL_MODULE, PowerState.DEEP_SLEEP)
    left = charge_after(
        1.0,
        SECONDS_PER_MONTH,
        sheet_is_silent.self_discharge,
        drain=0.0,
        capacity=NICKEL_MODULE.capacity,
        temperature=kelvin,
    )

    assert handbook_left(1.0, kelvin) == pytest.approx(1 - loss_of_a_year)
    assert 1 - left < loss_of_a_year / 2, "a month's self-discharge comes near a year's permanent loss"
    a_month = standing_loss(Chemistry.NCA, np.ones(1), np.full(1, kelvin), 1 / 12)
    assert 1 - a_month.central.capacity_left < loss_of_a_year / 2, "a month ages like a year"


def test_a_year_at_forty_per_cent_takes_what_the_handbook_says_within_points(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Handbook table, 98, 96, 85 % left at 0, 25, 40 °C: the models and it part, and by how much is said."""
    for celsius in (0.0, 25.0, 40.0):
        kelvin = kelvin_from_celsius(celsius)
        found = standing_loss(Chemistry.NMC811, np.full(1, 0.4), np.full(1, kelvin), 1.0)
        state(capsys, f"a year at 40 %, {celsius:.0f} °C: models {found.central.capacity_left:.3f}, bound "
              f"{found.bound.capacity_left:.3f}, handbook {handbook_left(0.4, kelvin):.2f}")  # fmt: skip
        assert found.central.capacity_left == pytest.approx(
            handbook_left(0.4, kelvin), abs=0.02 if celsius < 40 else 0.1
        )


def test_the_handbook_is_not_read_outside_its_table() -> None:
    with pytest.raises(OutsideRangeError, match="0 to 40"):
        handbook_left(0.4, kelvin_from_celsius(55.0))


def test_deep_sleep_keeps_a_charge_for_years_and_a_mere_switch_does_not(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Common practice, no source.

    A module in deep sleep keeps its charge for years, while one merely switched off loses as much as one that
    is on, because its electronics stay awake.
    """
    dates = {
        power: storage_dates(course(power, charge=0.6), 0.0).empty
        for power in (PowerState.AWAKE, PowerState.SWITCHED_OFF, PowerState.DEEP_SLEEP)
    }
    years = (dates[PowerState.DEEP_SLEEP] or dt.date(2046, 1, 1)) - START
    days = (dates[PowerState.AWAKE] or dt.date.max) - START
    state(capsys, f"from 60 % at 15 °C: switched off empty after {days.days} days, in deep sleep after "
          f"{years.days / 365.25:.1f} years")  # fmt: skip

    assert dates[PowerState.SWITCHED_OFF] == dates[PowerState.AWAKE]
    assert years.days > 2 * 365
    assert days.days < 120


def course(power: PowerState, *, charge: float = 0.6, temperature=SHED, days: int = 3000):  # noqa: ANN001, ANN201
    """A stored example module."""
    return storage_course(
        QUIET,
        losses_of(QUIET, power),
        start=START,
        start_charge=charge,
        month_temperature=temperature,
        days=days,
    )


def test_days_add_up_to_the_closed_form() -> None:
    """At one temperature, 300 daily steps are one step of 300 days."""
    losses = losses_of(QUIET, PowerState.STANDBY)
    at_once = charge_after(
        0.9,
        300 * 86400.0,
        losses.self_discharge,
        drain=losses.drain,
        capacity=QUIET.capacity,
        temperature=SHED[0],
    )

    assert course(PowerState.STANDBY, charge=0.9).charge[300] == pytest.approx(at_once, abs=1e-12)


@given(rate=rates, more=rates, drain=drains, charge=charges, kelvin=warmths)
def test_more_self_discharge_is_never_a_later_date(
    rate: float, more: float, drain: float, charge: float, kelvin: float
) -> None:
    def until(loss: SelfDischarge, current: float = drain) -> float:
        return time_until(0.2, charge, loss, drain=current, capacity=7200.0, temperature=kelvin)

    assert until(by_charge(rate + more)) <= until(by_charge(rate)) * (1 + 1e-9)
    assert until(by_charge(rate), drain + 1e-4) <= until(by_charge(rate)) * (1 + 1e-9)


@given(rate=rates, drain=drains, charge=charges, kelvin=warmths)
def test_the_time_until_a_floor_leads_to_that_floor(
    rate: float, drain: float, charge: float, kelvin: float
) -> None:
    kept = {"drain": drain + 1e-6, "capacity": 7200.0, "temperature": kelvin}
    time = time_until(0.2, charge, by_charge(rate), **kept)

    assert charge_after(charge, time, by_charge(rate), **kept) == pytest.approx(0.2, abs=1e-6)


@given(warmer=st.floats(0.0, 20.0), charge=st.floats(0.3, 0.9))
def test_a_warmer_shed_is_never_a_later_date(warmer: float, charge: float) -> None:
    cool = storage_dates(course(PowerState.DEEP_SLEEP, charge=charge, days=900), 0.2)
    warm_shed = tuple(kelvin + warmer for kelvin in SHED)
    warm = storage_dates(course(PowerState.DEEP_SLEEP, charge=charge, temperature=warm_shed, days=900), 0.2)

    latest = dt.date.max
    assert (warm.recharge or latest) <= (cool.recharge or latest)
    assert (warm.recharge_early or latest) <= (warm.recharge or latest)


def test_the_bounds_enclose_the_estimate() -> None:
    stored = course(PowerState.STANDBY, days=400)

    assert np.all(stored.least <= stored.charge)
    assert np.all(stored.charge <= stored.most)
    assert np.all(np.diff(stored.charge) <= 0)


def test_a_silent_sheet_is_said() -> None:
    notes = losses_of(NICKEL_MODULE, PowerState.STANDBY).notes

    assert len(notes) == 2
    assert "0.1 mA" in notes[0]
    assert losses_of(QUIET, PowerState.STANDBY).notes == ()


def test_standing_full_and_warm_takes_more_for_good_than_half_full_and_cool() -> None:
    warm = tuple(kelvin + 15 for kelvin in SHED)
    kind = PowerState.DEEP_SLEEP
    gentle = permanent_loss(QUIET, course(kind, charge=0.4, days=365), 365)
    harsh = permanent_loss(QUIET, course(kind, charge=1.0, temperature=warm, days=365), 365)

    assert harsh.central.capacity_left < gentle.central.capacity_left
    assert gentle.bound.capacity_left <= gentle.central.capacity_left


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"start_charge": 1.2}, "charge_pct"),
        ({"days": 0}, "days"),
        ({"month_temperature": SHED[:3]}, "temperature_c"),
    ],
)
def test_what_cannot_be_is_refused_by_name(changed: dict[str, object], named: str) -> None:
    values = {"start": START, "start_charge": 0.6, "month_temperature": SHED, "days": 10, **changed}
    with pytest.raises(InputError, match=named):
        storage_course(QUIET, losses_of(QUIET, PowerState.AWAKE), **values)  # type: ignore[arg-type]


def test_a_module_put_away_below_its_floor_is_told_to_be_charged_first() -> None:
    with pytest.raises(InputError, match="Charge it before"):
        storage_dates(course(PowerState.STANDBY, charge=0.15), 0.2)
