"""Pictures of docs/measured-rides.md: measured against predicted."""

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from measured_fields import SphereRun
from measured_rides import AIM, Ridden

from wattwright.documents.drawing import (
    Box,
    Drawing,
    Mark,
    Pen,
    Point,
    circle,
    lettering,
    line,
    polyline,
    rectangle,
    render,
)
from wattwright.documents.palette import LIGHT
from wattwright.ride.calibration import energy_asked
from wattwright.units import FloatArray, km_from_metres

WIDTH: Final = 760.0
LEFT: Final = 190.0
ROW: Final = 44.0
TOP: Final = 64.0
SMALL: Final = 13.0
LEAST: Final = 0.6
MOST: Final = 1.8

Place = Callable[[float], float]


def energy_picture(rides: Sequence[Ridden]) -> str:
    """Unfitted interval and fitted predictions of each ride, over measured energy."""

    def at(ratio: float) -> float:
        return LEFT + (WIDTH - LEFT - 30.0) * (ratio - LEAST) / (MOST - LEAST)

    foot = TOP + ROW * len(rides)
    marks = [rectangle(Box(left=0, top=0, right=WIDTH, bottom=foot + 62), Pen(fill=LIGHT.paper))]
    aim = Box(left=at(1.0 - AIM), top=TOP - 8, right=at(1.0 + AIM), bottom=foot)
    marks.append(rectangle(aim, Pen(fill=LIGHT.hair)))
    marks.append(lettering("Crank energy, predicted over measured", (20, 32), LIGHT.ink, size=17))
    for tick in (0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8):
        marks.append(line((at(tick), TOP - 8), (at(tick), foot), Pen(stroke=LIGHT.line, width=0.7)))
        marks.append(lettering(f"{tick:.1f}", (at(tick), foot + 18), LIGHT.soft, size=SMALL, anchor="middle"))
    for row, ride in enumerate(rides):
        marks += _energy_row(ride, TOP + ROW * (row + 0.5), at)
    marks += _energy_key(foot + 44)
    drawing = Drawing(
        title="Crank energy of six rides, predicted over measured",
        description="80 % intervals without a fit, and predictions of one half of each ride from the other",
        width=WIDTH,
        height=foot + 62,
        marks=tuple(marks),
    )
    return render(drawing)


def _energy_row(ride: Ridden, y: float, at: Place) -> list[Mark]:
    low, middle, high = ride.unfitted
    name = ride.ride.file.split("-power")[0]
    marks = [
        lettering(name, (20, y + 5), LIGHT.ink, size=14),
        line((at(low), y), (at(min(high, MOST)), y), Pen(stroke=LIGHT.steel, width=9)),
        line((at(middle), y - 7), (at(middle), y + 7), Pen(stroke=LIGHT.soft, width=2)),
    ]
    ring, dot = Pen(stroke=LIGHT.ink, width=1.5), Pen(fill=LIGHT.accent)
    marks += [circle((at(1.0 + e), y), 4.5, ring) for e in ride.halves["first and second half"]]
    marks += [circle((at(1.0 + e), y), 4.0, dot) for e in ride.halves["every other kilometre"]]
    return marks


def _energy_key(y: float) -> list[Mark]:
    return [
        line((20, y), (50, y), Pen(stroke=LIGHT.steel, width=9)),
        lettering("unfitted, 80 %", (58, y + 5), LIGHT.soft, size=SMALL),
        circle((178, y), 4.0, Pen(fill=LIGHT.accent)),
        lettering("from every other kilometre", (190, y + 5), LIGHT.soft, size=SMALL),
        circle((382, y), 4.5, Pen(stroke=LIGHT.ink, width=1.5)),
        lettering("from the other half", (394, y + 5), LIGHT.soft, size=SMALL),
        rectangle(Box(left=540, top=y - 8, right=556, bottom=y + 8), Pen(fill=LIGHT.hair)),
        lettering("the aim, 3 %", (564, y + 5), LIGHT.soft, size=SMALL),
    ]


def height_picture(runs: Sequence[SphereRun]) -> str:
    """Heights reconstructed from power over the distance of each sphere run."""
    farthest = max(float(run.distance[-1]) for run in runs)
    tall, gap = 92.0, 26.0
    height = 56.0 + len(runs) * (tall + gap) + 26.0
    marks = [
        rectangle(Box(left=0, top=0, right=WIDTH, bottom=height), Pen(fill=LIGHT.paper)),
        lettering("Height reconstructed from power alone", (20, 32), LIGHT.ink, size=17),
    ]
    for row, run in enumerate(runs):
        top = 56.0 + row * (tall + gap)
        marks += _height_row(run, top, tall, farthest)
    drawing = Drawing(
        title="Heights of a loop reconstructed from power, three runs of three laps",
        description="Each run ends within 0.25 m of the height it began at, over 15 m of relief",
        width=WIDTH,
        height=height,
        marks=tuple(marks),
    )
    return render(drawing)


def _height_row(run: SphereRun, top: float, tall: float, farthest: float) -> list[Mark]:
    low, high = float(run.heights.min()), float(run.heights.max())
    span = WIDTH - LEFT - 30.0
    points: list[Point] = [
        (LEFT + span * x / farthest, top + tall * (high - h) / (high - low))
        for x, h in zip(run.distance.tolist(), run.heights.tolist(), strict=True)
    ]
    start = points[0][1]
    return [
        lettering(run.body, (20, top + 0.35 * tall), LIGHT.ink, size=14),
        lettering(f"closes to {_signed(run.closes, 2)} m", (20, top + 0.6 * tall), LIGHT.soft, size=SMALL),
        line((LEFT, start), (LEFT + span, start), Pen(stroke=LIGHT.line, width=0.8, dash=(4, 4))),
        polyline(points, Pen(stroke=LIGHT.ink, width=1.6)),
        circle(points[-1], 4.0, Pen(fill=LIGHT.accent)),
    ]


def work_picture(ride: Ridden, piece: float = 2000.0) -> str:
    """Measured and fitted work at the crank, stretch by stretch."""
    stretches = ride.stretches
    stretch = (stretches.distance // piece).astype(np.int64)
    measured, fitted = (
        np.asarray(np.bincount(stretch, values), dtype=np.float64)
        for values in (stretches.by_cell(stretches.work), energy_asked(stretches, ride.calibration))
    )
    most, tall, top = 1.08 * float(max(measured.max(), fitted.max())), 180.0, 56.0
    span = (WIDTH - 80.0) / len(measured)
    marks = [
        rectangle(Box(left=0, top=0, right=WIDTH, bottom=top + tall + 62), Pen(fill=LIGHT.paper)),
        lettering(f"Work at the crank, {ride.ride.file}", (20, 32), LIGHT.ink, size=17),
    ]
    for index, (was, asked) in enumerate(zip(measured.tolist(), fitted.tolist(), strict=True)):
        left = 50.0 + span * index
        box = Box(left=left, top=top + tall * (1 - was / most), right=left + span - 4, bottom=top + tall)
        y = top + tall * (1.0 - asked / most)
        marks.append(rectangle(box, Pen(fill=LIGHT.steel)))
        marks.append(line((left - 1, y), (left + span - 3, y), Pen(stroke=LIGHT.accent, width=2.5)))
        if index % 5 == 0:
            shown = f"{km_from_metres(piece * index):.0f} km"
            marks.append(lettering(shown, (left, top + tall + 18), LIGHT.soft, size=SMALL))
    marks += _work_key(top + tall + 44)
    drawing = Drawing(
        title=f"Work at the crank over every 2 km of {ride.ride.file}",
        description=f"Bars measured, lines fitted; correlation {_correlation(measured, fitted):.3f}",
        width=WIDTH,
        height=top + tall + 62,
        marks=tuple(marks),
    )
    return render(drawing)


def _work_key(y: float) -> list[Mark]:
    return [
        rectangle(Box(left=50, top=y - 8, right=66, bottom=y + 8), Pen(fill=LIGHT.steel)),
        lettering("measured over 2 km", (74, y + 5), LIGHT.soft, size=SMALL),
        line((222, y), (246, y), Pen(stroke=LIGHT.accent, width=2.5)),
        lettering("by the fitted coefficients", (254, y + 5), LIGHT.soft, size=SMALL),
    ]


def _correlation(first: FloatArray, second: FloatArray) -> float:
    return float(np.corrcoef(first, second)[0, 1])


def _signed(value: float, digits: int) -> str:
    return f"{value:+.{digits}f}".replace("-", "−")
