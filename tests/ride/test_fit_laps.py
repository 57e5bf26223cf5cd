"""Laps come back to their height: drag without an altimeter."""

from dataclasses import replace

import numpy as np
import pytest

from wattwright.errors import InputError
from wattwright.ride.fit_laps import LapRun, balanced_heights, drag_area_by_laps
from wattwright.ride.road_load import RoadLoad

LOAD = RoadLoad(mass=85.0, drag_area=0.30, rolling_coefficient=0.005, density=1.2)
WHEELS = 1.4475
LAP = 900.0
HILL = 6.0


def laps_ridden(load: RoadLoad = LOAD, *, laps: float = 4.3, wind: float = 0.0, step: float = 0.1) -> LapRun:
    """A loop over one hill at 150 W, ridden forward in small steps; the wind blows along one axis."""
    place, speed, rows = 0.0, 6.0, []
    while place < laps * LAP:
        turn = 2.0 * np.pi * place / LAP
        slope = HILL * 2.0 * np.pi / LAP * np.cos(turn)
        headwind = wind * np.cos(turn)
        through = speed + headwind
        drag = 0.5 * load.density * load.drag_area * through * abs(through)
        force = drag + load.mass * 9.80665 * (load.rolling_coefficient + slope) + 0.091 + 0.0087 * speed
        after = speed + (150.0 / speed - force) / (load.mass + WHEELS) * step
        rows.append((step, after, 150.0 * after / speed, headwind))
        place += after * step
        speed = after
    step_, speeds, power, against = np.array(rows).T
    step_[0] = 0.0
    return LapRun(step=step_, speed=speeds, wheel_power=power, headwind=against, load=load, wheel_mass=WHEELS)


def test_the_drag_area_ridden_is_found_again() -> None:
    fit = drag_area_by_laps(laps_ridden(), 880.0)

    assert fit.drag_area == pytest.approx(0.30, rel=0.005)
    assert fit.lap == pytest.approx(LAP, rel=0.01)
    assert len(fit.by_lap) == 3
    assert fit.standard_error < 0.005


def test_a_known_wind_is_allowed_for() -> None:
    windy = laps_ridden(wind=3.0)
    believed_still = replace(windy, headwind=np.zeros_like(windy.headwind))

    assert drag_area_by_laps(windy, 900.0).drag_area == pytest.approx(0.30, rel=0.01)
    # Against the rider on the slow climb, behind on the fast descent: still air would be credited with it.
    assert drag_area_by_laps(believed_still, 900.0).drag_area < 0.285


def test_a_larger_body_shows() -> None:
    larger = replace(LOAD, drag_area=0.303)
    difference = (
        drag_area_by_laps(laps_ridden(larger), 900.0).drag_area
        - drag_area_by_laps(laps_ridden(), 900.0).drag_area
    )

    assert difference == pytest.approx(0.003, abs=0.0003)


def test_heights_close_with_the_true_drag_area_and_not_with_another() -> None:
    run = laps_ridden()
    place = np.cumsum(run.speed * run.step)
    true, wrong = (
        np.interp([LAP, 4.0 * LAP], place, balanced_heights(replace(run, load=replace(LOAD, drag_area=area))))
        for area in (0.30, 0.33)
    )

    assert abs(true[1] - true[0]) < 0.1
    assert wrong[1] - wrong[0] < -2.0
    assert np.ptp(balanced_heights(run)) == pytest.approx(2.0 * HILL, rel=0.02)


def test_fewer_than_three_laps_are_refused() -> None:
    with pytest.raises(InputError, match="laps"):
        drag_area_by_laps(laps_ridden(laps=2.5), 900.0)
    with pytest.raises(InputError, match="laps"):
        drag_area_by_laps(laps_ridden(laps=0.5), 900.0)
