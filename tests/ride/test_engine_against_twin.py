"""The compiled engine and its plain twin in NumPy ride the same rides."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from benchmarks.reference_ride import ride_out_plainly
from ride_examples import (
    BICYCLE,
    DIRECT,
    FOLLOWS,
    HOLDS_POWER,
    HOLDS_SPEED,
    HOT,
    HUB,
    MID,
    RIDER,
    SUPPLY,
    arrays,
    hills,
    imbalance,
    lanes_of,
    path_of,
)
from wattwright.parts.drive import Drive
from wattwright.ride.outcome import Outcome
from wattwright.ride.path import RidePath
from wattwright.ride.simulation import ride_out

TOLERANCE = 1e-9
"""Of the largest value of each array; of the ride's whole energy for the accounts of its book.

Seen: 2e-12, with a hot motor or on walls 2e-10. The engine's reciprocals and roots are good to 2e-14; where
speed hangs on small differences of large forces, a ride makes more of that.
"""

CASES: dict[str, tuple[Drive, RidePath, dict[str, Any]]] = {
    "hub, help follows": (HUB, hills(), {}),
    "hub, power held": (replace(HUB, assist=HOLDS_POWER), hills(), {}),
    "hub, speed held": (replace(HUB, assist=HOLDS_SPEED), hills(), {}),
    "mid, help follows": (MID, hills(), {}),
    "mid, power held": (replace(MID, assist=HOLDS_POWER), hills(), {}),
    "mid, speed held": (replace(MID, assist=HOLDS_SPEED), hills(), {}),
    "direct, regenerates": (DIRECT, hills(), {"start_charge": 0.7}),
    "direct, full pack": (DIRECT, hills(), {"start_charge": 1.0}),
    "direct, speed held": (replace(DIRECT, assist=HOLDS_SPEED), hills(), {"start_charge": 0.5}),
    "cold and nearly empty": (HUB, hills(), {"start_charge": 0.12, "resistance_factor": 3.0}),
    "empty": (DIRECT, hills(), {"start_charge": 0.0}),
    "hot motor": (HOT, hills(steep=0.1), {"air_temperature": 308.0}),
    "stop after stop": (HUB, hills(stop_every=7), {}),
    "walls": (HUB, hills(steep=0.35), {}),
    "one segment": (replace(HUB, assist=FOLLOWS), path_of([0.0]), {}),
}


@pytest.mark.parametrize("name", CASES)
def test_the_engine_rides_as_its_plain_twin(name: str) -> None:
    drive, path, changes = CASES[name]
    given: dict[str, Any] = {
        "bicycle": BICYCLE, "rider": RIDER, "drive": drive, "supply": SUPPLY, "lanes": lanes_of(**changes),
    }  # fmt: skip

    ours, plain = ride_out(path, **given), ride_out_plainly(path, **given)

    assert imbalance(plain.energy).max() < 1e-9
    expected = arrays(plain)
    energy = float(np.max(plain.energy.rider + plain.energy.battery_out))
    for what, values in arrays(ours).items():
        largest = energy if what.startswith("energy.") else float(np.abs(expected[what]).max(initial=1e-3))
        assert np.abs(values - expected[what]).max(initial=0.0) <= TOLERANCE * largest, what


def test_every_case_reaches_what_it_is_named_for() -> None:
    """The twin's cases would prove little if nothing regenerated, warmed, emptied or walked."""

    def outcome(name: str) -> Outcome:
        drive, path, changes = CASES[name]
        return ride_out(
            path, bicycle=BICYCLE, rider=RIDER, drive=drive, supply=SUPPLY, lanes=lanes_of(**changes)
        )

    assert outcome("direct, regenerates").energy.battery_in.min() > 1000.0
    assert outcome("cold and nearly empty").rolled_back.min() > 60.0
    assert outcome("empty").unassisted.min() == pytest.approx(12_000.0)
    assert outcome("hot motor").hottest_winding.max() > HOT.motor.rollback_start
    assert outcome("hot motor").rolled_back.max() > 10.0
    assert outcome("walls").walked.min() > 100.0
    assert outcome("hub, power held").longest_above[2].max() > 10.0
