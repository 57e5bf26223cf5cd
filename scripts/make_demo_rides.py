"""Make the recorded-looking rides of the demo scenario: python scripts/make_demo_rides.py [FOLDER].

Everything is invented: the hills are a sum of waves, the town of Halvermoor lies at 46° N 32° W, in open sea,
so that nobody's home is on the map. A rider of constant habits is ridden over those hills by a plain force
balance, stops included; then position and altitude get the noise a pocket recorder would give them.
The same code gives the same files.
"""

import datetime as dt
import math
import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from wattwright.units import STANDARD_GRAVITY

LATITUDE, LONGITUDE = 46.0, -32.0
METRES_PER_DEGREE_NORTH = 111_143.0
"""At 46° N on WGS84, to a metre; good enough for an invented place."""
METRES_PER_DEGREE_EAST = 77_466.0
LAKE = 296.0
STEP = 2.0
"""[m] between points of a road."""

HILLS = (
    # height [m], wavelength [m], direction the ridge runs [°], phase
    (46.0, 9100.0, 20.0, 0.4),
    (30.0, 5200.0, 75.0, 1.9),
    (18.0, 2900.0, 130.0, 0.2),
    (7.0, 1300.0, 45.0, 2.6),
    (2.2, 520.0, 160.0, 1.1),
)


@dataclass(frozen=True, kw_only=True)
class Road:
    """A road of the made-up country, and how it is ridden and recorded."""

    name: str
    length: float
    """[m]"""
    loop: bool
    start: tuple[float, float]
    """East and north of the town's market. [m]"""
    heading: float
    """Of the start. [°]"""
    hilliness: float
    """Factor on the hills."""
    stops: tuple[tuple[float, float], ...]
    """(share of the way, seconds standing)"""
    mass: float
    power: float
    drag_area: float
    rolling_coefficient: float
    top_speed: float
    """[m/s] downhill"""
    interval: int
    """[s] between records."""
    began: dt.datetime
    seed: int
    wiggles: tuple[float, ...] = field(default=(0.30, 0.22, 0.16, 0.10))


ROADS = (
    Road(
        name="hill-round.gpx",
        length=22_800,
        loop=True,
        start=(0.0, 0.0),
        heading=35.0,
        hilliness=1.4,
        stops=tuple((0.07 + 0.104 * visit, 420.0 + 60.0 * (visit % 3)) for visit in range(9)),
        mass=94.0,
        power=95.0,
        drag_area=0.66,
        rolling_coefficient=0.008,
        top_speed=10.5,
        interval=3,
        began=dt.datetime(2026, 5, 12, 6, 40, 12, tzinfo=dt.UTC),
        seed=11,
    ),
    Road(
        name="clinic.csv",
        length=6_400,
        loop=False,
        start=(-200.0, 350.0),
        heading=250.0,
        hilliness=0.9,
        stops=((0.12, 25.0), (0.31, 40.0), (0.66, 18.0)),
        mass=94.0,
        power=95.0,
        drag_area=0.66,
        rolling_coefficient=0.008,
        top_speed=10.5,
        interval=2,
        began=dt.datetime(2026, 5, 14, 12, 5, 3, tzinfo=dt.UTC),
        seed=12,
    ),
    Road(
        name="crate-round.tcx",
        length=13_400,
        loop=True,
        start=(150.0, -250.0),
        heading=110.0,
        hilliness=0.55,
        stops=tuple((0.06 + 0.068 * door, 95.0 + 25.0 * (door % 4)) for door in range(13)),
        mass=188.0,
        power=120.0,
        drag_area=0.85,
        rolling_coefficient=0.009,
        top_speed=8.3,
        interval=5,
        began=dt.datetime(2026, 1, 20, 5, 10, 30, tzinfo=dt.UTC),
        seed=21,
    ),
    Road(
        name="mill-and-back.gpx",
        length=8_900,
        loop=False,
        start=(150.0, -250.0),
        heading=165.0,
        hilliness=0.7,
        stops=((0.09, 22.0), (0.4, 35.0), (0.83, 15.0)),
        mass=170.0,
        power=120.0,
        drag_area=0.85,
        rolling_coefficient=0.009,
        top_speed=8.9,
        interval=4,
        began=dt.datetime(2026, 1, 22, 13, 30, 0, tzinfo=dt.UTC),
        seed=22,
    ),
    Road(
        name="tour-day.gpx",
        length=71_000,
        loop=True,
        start=(900.0, 600.0),
        heading=60.0,
        hilliness=1.15,
        stops=((0.13, 180.0), (0.33, 420.0), (0.55, 2400.0), (0.78, 300.0)),
        mass=96.0,
        power=150.0,
        drag_area=0.42,
        rolling_coefficient=0.007,
        top_speed=13.5,
        interval=5,
        began=dt.datetime(2026, 7, 8, 7, 15, 44, tzinfo=dt.UTC),
        seed=31,
    ),
    Road(
        name="to-the-station.csv",
        length=9_700,
        loop=False,
        start=(400.0, 100.0),
        heading=320.0,
        hilliness=0.8,
        stops=((0.22, 30.0), (0.58, 45.0), (0.9, 20.0)),
        mass=99.0,
        power=150.0,
        drag_area=0.42,
        rolling_coefficient=0.006,
        top_speed=12.0,
        interval=2,
        began=dt.datetime(2026, 6, 30, 15, 2, 10, tzinfo=dt.UTC),
        seed=32,
    ),
)


@dataclass(frozen=True, kw_only=True)
class Fix:
    """One record: what the recorder wrote down."""

    time: dt.datetime
    latitude: float
    longitude: float
    altitude: float
    distance: float


def height(east: float, north: float, hilliness: float) -> float:
    """Altitude of the made-up country in metres; the lake fills what would lie lower."""
    total = LAKE + 60.0 * hilliness
    for amplitude, wavelength, direction, phase in HILLS:
        along = east * math.sin(math.radians(direction)) + north * math.cos(math.radians(direction))
        total += hilliness * amplitude * math.sin(math.tau * along / wavelength + phase)
    return max(total, LAKE + 1.5)


def points(road: Road) -> list[tuple[float, float]]:
    """The road's points every 2 m: metres east and north of the market.

    A loop turns once around; a way there keeps its heading on the whole. Bends are waves on the heading.
    """
    count = int(road.length / STEP)
    generator = random.Random(road.seed)  # noqa: S311 (a made-up road, not a secret)
    phases = [generator.uniform(0, math.tau) for _ in road.wiggles]
    turn = math.tau if road.loop else 0.0
    bends = max(3, round(road.length / 2600))
    east, north = road.start
    track = [(east, north)]
    for step in range(count):
        share = step / count
        heading = math.radians(road.heading) + turn * share
        for order, (size, phase) in enumerate(zip(road.wiggles, phases, strict=True), start=1):
            heading += 2.2 * size * math.sin(math.tau * bends * order * share + phase)
        east += STEP * math.sin(heading)
        north += STEP * math.cos(heading)
        track.append((east, north))
    return _closed(track) if road.loop else track


def _closed(track: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spread the gap between end and start evenly over a loop."""
    gap_east, gap_north = track[-1][0] - track[0][0], track[-1][1] - track[0][1]
    last = len(track) - 1
    return [
        (east - gap_east * index / last, north - gap_north * index / last)
        for index, (east, north) in enumerate(track)
    ]


def ridden(road: Road, track: list[tuple[float, float]]) -> Iterator[tuple[int, float]]:
    """(second, distance along the road) of the ride, standing time included."""
    heights = [height(east, north, road.hilliness) for east, north in track]
    stops = [(share * road.length, seconds) for share, seconds in road.stops]
    second, distance, speed = 0, 0.0, 0.5
    yield second, distance
    while distance < road.length - 1.0:
        ahead = next((place for place, _ in stops), road.length)
        speed = _speed_after_a_second(road, heights, distance, speed, ahead)
        distance = min(distance + speed, road.length)
        second += 1
        if stops and distance >= stops[0][0] - 1.5:
            # The recorder pauses itself while the bicycle stands: a gap in the records.
            second += int(stops.pop(0)[1])
            speed = 0.5
        yield second, distance


def _speed_after_a_second(
    road: Road, heights: list[float], distance: float, speed: float, ahead: float
) -> float:
    index = min(int(distance / STEP), len(heights) - 6)
    grade = (heights[index + 5] - heights[index]) / (5 * STEP)
    effort = road.power * min(max(1.0 + 9.0 * grade, 0.3), 2.0)
    push = min(effort / max(speed, 0.5), 180.0)
    weight = road.mass * STANDARD_GRAVITY
    resist = weight * (grade + road.rolling_coefficient) + 0.6 * road.drag_area * speed * speed
    faster = speed + max(min((push - resist) / road.mass, 0.8), -1.0)
    able_to_stop = math.sqrt(2.0 * 1.1 * max(ahead - distance, 0.4))
    return max(min(faster, road.top_speed, able_to_stop), 1.2)


def recorded(road: Road) -> list[Fix]:
    """The ride as a pocket recorder would have written it: sampled, noisy, drifting."""
    track = points(road)
    generator = random.Random(road.seed + 1000)  # noqa: S311 (noise, not a secret)
    wander_east, wander_north = _wander(generator, 2.2, 40.0), _wander(generator, 2.2, 40.0)
    drift, jitter = _wander(generator, 2.0, 1500.0), _wander(generator, 0.35, 2.0)
    fixes = []
    for number, (second, distance) in enumerate(ridden(road, track)):
        east, north = track[min(int(distance / STEP), len(track) - 1)]
        noise = (wander_east(), wander_north(), drift() + jitter())
        if number % road.interval:
            continue
        altitude = height(east, north, road.hilliness) + noise[2]
        fixes.append(
            Fix(
                time=road.began + dt.timedelta(seconds=second),
                latitude=LATITUDE + (north + noise[1]) / METRES_PER_DEGREE_NORTH,
                longitude=LONGITUDE + (east + noise[0]) / METRES_PER_DEGREE_EAST,
                altitude=round(altitude * 5) / 5,
                distance=distance,
            )
        )
    return fixes


def _wander(generator: random.Random, size: float, seconds: float) -> Callable[[], float]:
    """Noise that forgets itself over ``seconds``, with standard deviation ``size``."""
    keep = math.exp(-1.0 / seconds)
    state = [generator.gauss(0.0, size)]

    def following() -> float:
        state[0] = keep * state[0] + math.sqrt(1.0 - keep * keep) * generator.gauss(0.0, size)
        return state[0]

    return following


def gpx(fixes: list[Fix], title: str) -> str:
    """The records as GPX 1.1."""
    rows = "\n".join(
        f'<trkpt lat="{fix.latitude:.6f}" lon="{fix.longitude:.6f}"><ele>{fix.altitude:.1f}</ele>'
        f"<time>{fix.time:%Y-%m-%dT%H:%M:%SZ}</time></trkpt>"
        for fix in fixes
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<gpx version="1.1" creator="invented for the demo" xmlns="http://www.topografix.com/GPX/1/1">\n'
        f"<trk><name>{title}</name><trkseg>\n{rows}\n</trkseg></trk>\n</gpx>\n"
    )


def tcx(fixes: list[Fix], title: str) -> str:
    """The records as TCX, without its namespace: our reader goes by the names of the elements."""
    rows = "\n".join(
        f"<Trackpoint><Time>{fix.time:%Y-%m-%dT%H:%M:%SZ}</Time><Position>"
        f"<LatitudeDegrees>{fix.latitude:.6f}</LatitudeDegrees>"
        f"<LongitudeDegrees>{fix.longitude:.6f}</LongitudeDegrees></Position>"
        f"<AltitudeMeters>{fix.altitude:.1f}</AltitudeMeters>"
        f"<DistanceMeters>{fix.distance:.1f}</DistanceMeters></Trackpoint>"
        for fix in fixes
    )
    lasted = (fixes[-1].time - fixes[0].time).total_seconds()
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        "<TrainingCenterDatabase>\n"
        f'<Activities><Activity Sport="Biking"><Id>{fixes[0].time:%Y-%m-%dT%H:%M:%SZ}</Id>\n'
        f'<Lap StartTime="{fixes[0].time:%Y-%m-%dT%H:%M:%SZ}">'
        f"<TotalTimeSeconds>{lasted:.0f}</TotalTimeSeconds>"
        f"<DistanceMeters>{fixes[-1].distance:.1f}</DistanceMeters><Calories>0</Calories>"
        "<Intensity>Active</Intensity><TriggerMethod>Manual</TriggerMethod>\n"
        f"<Track>\n{rows}\n</Track></Lap><Notes>{title}</Notes></Activity></Activities>\n"
        "</TrainingCenterDatabase>\n"
    )


def csv(fixes: list[Fix], title: str) -> str:  # noqa: ARG001 (the three writers take the same)
    """The records as CSV with unit-suffixed columns."""
    rows = "\n".join(
        f"{fix.time:%Y-%m-%dT%H:%M:%SZ},{fix.latitude:.6f},{fix.longitude:.6f},{fix.altitude:.1f},"
        f"{fix.distance:.1f}"
        for fix in fixes
    )
    return f"time_utc,latitude_deg,longitude_deg,altitude_m,distance_m\n{rows}\n"


WRITERS = {".gpx": gpx, ".tcx": tcx, ".csv": csv}


def main(folder: Path) -> None:
    """Write every ride of the demo into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for road in ROADS:
        path = folder / road.name
        fixes = recorded(road)
        title = f"{path.stem.replace('-', ' ').capitalize()} (invented, Halvermoor)"
        path.write_text(WRITERS[path.suffix](fixes, title), encoding="utf-8")
        lasted = fixes[-1].time - fixes[0].time
        print(f"{path.name}: {fixes[-1].distance / 1000:.1f} km, {lasted}, {len(fixes)} records")


if __name__ == "__main__":
    default = Path(__file__).resolve().parent.parent / "src" / "wattwright" / "data" / "demo" / "rides"
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else default)
