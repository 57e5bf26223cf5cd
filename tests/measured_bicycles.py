"""Six bicycles measured in a laboratory: centres of mass from how their parts hung, with uncertainties.

A part hung from an axis shows its centre of mass on the plumb line below it. Each line is given by the part's
turn α and the distance a of the wheel centre from the line; in axes from the rear contact, x forward and z
down, z = −tan β x + b with β = tilt of the steering axis − α, and b = −a / cos β − r_R for the frame,
−a / cos β − r_F + w tan β for fork and bars. (Method and signs as in the documentation of the project the
files come from, DATA.md S15.) Three lines are more than two: their spread is a check of its own.
"""

import csv
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

from wattwright.frame.axle_load import Body
from wattwright.units import FloatArray

PUBLISHED = Path(__file__).resolve().parent / "reference" / "measured_bicycles_published.csv"
Measured = Mapping[str, tuple[float, float]]
"""Value and standard deviation of each key of a file."""


def measured(shared_data: Path, number: int) -> Measured:
    """The raw measurements of one bicycle."""
    text = (shared_data / "geometry" / f"measured-bike-{number}.txt").read_text(encoding="utf-8")
    found = re.findall(r"^(\w+)\s*=\s*([-\d.e]+)\s*(?:\+/-\s*([-\d.e]+))?", text, re.MULTILINE)
    return {key: (float(value), float(spread or 0)) for key, value, spread in found}


def published() -> dict[int, dict[str, float]]:
    """What the project that measured them found, by bicycle."""
    lines = [line for line in PUBLISHED.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {
        int(row["bicycle"]): {key: float(value) for key, value in row.items()}
        for row in csv.DictReader(lines)
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One draw of the measurements within their uncertainty: wheelbase and bodies, y up from the ground."""

    wheelbase: float
    bodies: tuple[Body, ...]
    pairs: tuple[tuple[float, float], ...]
    """Where each two of the frame's lines meet."""


def draws(values: Measured, count: int, seed: int) -> list[Drawn]:
    """Samples of a bicycle within the stated standard deviations."""
    chance = np.random.default_rng(seed)
    return [
        bicycle({key: float(chance.normal(value, spread)) for key, (value, spread) in values.items()})
        for _ in range(count)
    ]


def bicycle(values: Mapping[str, float]) -> Drawn:
    """The bodies of a bicycle from one set of measurements."""
    tilt, wheelbase = math.radians(90.0 - values["gamma"]), values["w"]
    front, rear = (values[f"d{end}"] / (2 * math.pi * values[f"n{end}"]) for end in "FR")
    frame = plumb_lines(values, "B", tilt, (0.0, rear))
    fork = plumb_lines(values, "H", tilt, (wheelbase, front))
    bodies = (
        Body(name="frame", mass=values["mB"], centre=meeting(frame)),
        Body(name="fork and bars", mass=values["mH"], centre=meeting(fork)),
        Body(name="rear wheel", mass=values["mR"], centre=(0.0, rear)),
        Body(name="front wheel", mass=values["mF"], centre=(wheelbase, front)),
    )
    pairs = tuple(meeting(pair) for pair in combinations(frame, 2))
    return Drawn(wheelbase=wheelbase, bodies=bodies, pairs=pairs)


def plumb_lines(
    values: Mapping[str, float], part: str, tilt: float, wheel: tuple[float, float]
) -> list[FloatArray]:
    """Each line as (slope, height at the rear contact), heights upwards."""
    lines = []
    for index in (1, 2, 3):
        beta = tilt - math.radians(values[f"alpha{part}{index}"])
        height = wheel[1] + values[f"a{part}{index}"] / math.cos(beta) - wheel[0] * math.tan(beta)
        lines.append(np.array([math.tan(beta), height]))
    return lines


def meeting(lines: Sequence[FloatArray]) -> tuple[float, float]:
    """The mean of the points where each two lines meet, as the project takes it."""
    points = []
    for one, other in combinations(lines, 2):
        x = (other[1] - one[1]) / (one[0] - other[0])
        points.append((x, one[0] * x + one[1]))
    return float(np.mean([x for x, _ in points])), float(np.mean([y for _, y in points]))
