"""Rides for tests of the engine: one bicycle, several drives, roads and lanes, all invented."""

import dataclasses
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from hypothesis import strategies as st

from benchmarks import ride_engine as benchmarked
from wattwright.parts.battery_module import ProtectionPoint
from wattwright.parts.drive import AssistKind, Drive, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.lanes import Lanes
from wattwright.ride.outcome import EnergyBook, Outcome, Trace
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.simulation import ride_out
from wattwright.units import FloatArray

BICYCLE = replace(benchmarked.BICYCLE, rolling_coefficient=0.007, drag_area=0.5)
RIDER = replace(benchmarked.RIDER, power=90.0)
HUB = benchmarked.HUB
FOLLOWS = HUB.assist
HOLDS_POWER = replace(FOLLOWS, kind=AssistKind.HELD_POWER, needs_pedalling=False)
HOLDS_SPEED = replace(FOLLOWS, kind=AssistKind.HELD_SPEED, speed=6.0)
DIRECT = replace(
    HUB,
    name="direct",
    freewheels=False,
    controller=replace(HUB.controller, regeneration_current_limit=6.0),
)
MID = replace(
    HUB,
    name="mid",
    position=MotorPosition.MID,
    gear_ratio=20.0,
    motor=replace(HUB.motor, torque_constant=0.06, no_load_current=0.6),
    peak_torque=80.0,
)
HOT = replace(
    HUB, name="hot", motor=replace(HUB.motor, rollback_start=310.0, hottest_winding=335.0), assist=HOLDS_POWER
)
SUPPLY = replace(
    benchmarked.SUPPLY,
    modules=5,
    protection=(
        ProtectionPoint(current=20.0, duration=0.5),
        ProtectionPoint(current=6.0, duration=10.0),
        ProtectionPoint(current=2.0, duration=60.0),
    ),
)


def path_of(
    grade: FloatArray | list[float], *, step: float = 10.0, fastest: float = 15.0, stop_every: int = 0
) -> RidePath:
    """A road of so many segments that winds from north to east, with stops and the braking before them."""
    grade = np.asarray(grade, dtype=np.float64)
    count = len(grade)
    cap, dwell = np.full(count, fastest), np.zeros(count)
    if stop_every:
        cap[stop_every - 1 :: stop_every] = 0.0
        dwell[stop_every - 1 :: stop_every] = 20.0
    for index in range(count - 2, -1, -1):
        cap[index] = min(cap[index], float(np.sqrt(cap[index + 1] ** 2 + 2.0 * 1.5 * step)))
    rise = step * grade / np.sqrt(1.0 + grade**2)
    return RidePath(
        title="example",
        length=np.full(count, step),
        grade=grade,
        heading=np.linspace(0.0, 2.0, count),
        altitude=200.0 + np.cumsum(rise) - 0.5 * rise,
        speed_cap=cap,
        dwell=dwell,
        rolling_factor=np.where(np.arange(count) % 50 < 40, 1.0, 1.6),
        latitude=np.full(count, np.nan),
        longitude=np.full(count, np.nan),
    )


def hills(segments: int = 1200, *, steep: float = 0.06, stop_every: int = 200) -> RidePath:
    """Up and down by two waves."""
    along = 10.0 * np.arange(segments)
    return path_of(steep * (0.7 * np.cos(along / 700.0) + 0.3 * np.cos(along / 150.0)), stop_every=stop_every)


def lanes_of(count: int = 70, seed: int = 1, **changes: float | FloatArray) -> Lanes:
    """Lanes scattered about usual values; what is given is the same in all of them."""
    draw = np.random.default_rng(seed)

    def around(middle: float, deviation: float) -> FloatArray:
        return middle + deviation * np.clip(draw.normal(size=count), -3.0, 3.0)

    columns: dict[str, FloatArray] = {
        "mass": around(105.0, 5.0),
        "drag_area": around(0.5, 0.05),
        "rolling_coefficient": around(0.007, 0.001),
        "air_density": around(1.2, 0.04),
        "wind_north": around(0.0, 2.0),
        "wind_east": around(1.0, 2.0),
        "air_temperature": around(283.0, 5.0),
        "rider_power": around(90.0, 15.0),
        "drivetrain_efficiency": np.full(count, 0.96),
        "capacity_factor": around(0.95, 0.02),
        "resistance_factor": around(1.3, 0.1),
        "start_charge": np.ones(count),
    }
    for name, value in changes.items():
        columns[name] = np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)).copy()
    return Lanes(**columns)


def chosen(lanes: Lanes, index: slice | list[int] | npt.NDArray[np.intp]) -> Lanes:
    """Some of the lanes, in that order."""
    return Lanes(**{name: getattr(lanes, name)[index] for name in Lanes.__dataclass_fields__})


def ridden(
    path: RidePath, lanes: Lanes, drive: Drive = HUB, supply: Supply = SUPPLY, rider: Rider = RIDER
) -> Outcome:
    """By the engine."""
    return ride_out(path, bicycle=BICYCLE, rider=rider, drive=drive, supply=supply, lanes=lanes)


def imbalance(book: EnergyBook) -> FloatArray:
    """Energy in less energy out over energy in, lane by lane."""
    given = book.rider + book.battery_out
    taken = sum(
        getattr(book, name)
        for name in EnergyBook.__dataclass_fields__
        if name not in {"rider", "battery_out", "pack_loss"}
    )
    return np.abs(given - taken) / np.maximum(given, 1.0)


def arrays(record: Outcome | EnergyBook | Trace, where: str = "") -> dict[str, FloatArray]:
    """Every array of an outcome, its book and trace included, by name."""
    found: dict[str, FloatArray] = {}
    for field in dataclasses.fields(record):
        value = getattr(record, field.name)
        if dataclasses.is_dataclass(value):
            found |= arrays(value, f"{field.name}.")
        else:
            found[where + field.name] = np.asarray(value, dtype=np.float64)
    return found


# -- random rides, by a few numbers each, so that one that fails can be read

DRIVES = {"hub": HUB, "direct": DIRECT, "mid": MID, "hot": HOT}
LAWS = {"follows": FOLLOWS, "holds power": HOLDS_POWER, "holds speed": HOLDS_SPEED}


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class RandomRide:
    """What a random ride is made of."""

    corners: tuple[float, ...]
    """Grades, joined by straight lines."""
    step: float
    stop_every: int
    drive_name: str
    law_name: str
    seed: int
    start_charge: float
    resistance_factor: float
    air_temperature: float

    @property
    def path(self) -> RidePath:
        """300 segments."""
        places = np.linspace(0.0, 1.0, len(self.corners))
        grade = np.interp(np.linspace(0.0, 1.0, 300), places, np.array(self.corners))
        return path_of(grade, step=self.step, stop_every=self.stop_every)

    @property
    def drive(self) -> Drive:
        """As set."""
        return replace(DRIVES[self.drive_name], assist=LAWS[self.law_name])

    @property
    def lanes(self) -> Lanes:
        """70: one block and a bit."""
        return lanes_of(
            70,
            self.seed,
            start_charge=self.start_charge,
            resistance_factor=self.resistance_factor,
            air_temperature=self.air_temperature,
        )

    @property
    def outcome(self) -> Outcome:
        """As ridden by the engine."""
        return ridden(self.path, self.lanes, self.drive)


corners = st.lists(st.floats(-0.12, 0.12), min_size=3, max_size=8).map(tuple)
rides = st.builds(
    RandomRide,
    corners=corners,
    step=st.sampled_from([5.0, 10.0, 25.0]),
    stop_every=st.sampled_from([0, 40, 97]),
    drive_name=st.sampled_from(sorted(DRIVES)),
    law_name=st.sampled_from(sorted(LAWS)),
    seed=st.integers(0, 10_000),
    start_charge=st.floats(0.0, 1.0),
    resistance_factor=st.floats(0.8, 3.0),
    air_temperature=st.floats(258.0, 313.0),
)
