"""One ride as a picture: height, speed, power, current and charge left with its spread, by distance."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.documents.axis import Scale, Thinned, round_ticks, thinned
from wattwright.documents.chart import (
    Key,
    Panel,
    band,
    curve,
    distance_axis,
    frame,
    land,
    thin_curve,
)
from wattwright.documents.drawing import Drawing, Mark, Pen, lettering, line, render
from wattwright.documents.figures import (
    Units,
    distance,
    height_unit,
    in_height_units,
    in_road_units,
    in_speed_units,
    road_unit,
    share,
    speed_unit,
)
from wattwright.documents.lettering import SMALLEST, Face
from wattwright.documents.palette import LIGHT, Palette
from wattwright.sizing.plan import RideAnswer
from wattwright.units import FloatArray, Fraction, percent_from_fraction

SHARES: Final = (0.05, 0.25, 0.5, 0.75, 0.95)
"""Quantiles of charge left that are drawn."""
LEFT: Final = 46.0
"""Room for the figures at the left."""
RIGHT: Final = 52.0
"""Room for what is left on arrival."""
TITLE: Final = 32.0
"""Room above each panel for its title."""
FOOT: Final = 26.0
STEPS: Final = 240
"""A curve is drawn in at most so many steps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What every panel of one drawing shares."""

    answer: RideAnswer
    reserve: Fraction
    units: Units
    palette: Palette
    along: Scale


def profile_drawing(
    answer: RideAnswer,
    *,
    reserve: Fraction,
    units: Units = Units.METRIC,
    palette: Palette = LIGHT,
    width: float = 960.0,
) -> str:
    """The ride as SVG text; see ``profile_picture``."""
    picture = profile_picture(answer, reserve=reserve, units=units, palette=palette, width=width)
    return render(picture, ground=palette.sheet)


def profile_picture(
    answer: RideAnswer,
    *,
    reserve: Fraction,
    units: Units = Units.METRIC,
    palette: Palette = LIGHT,
    width: float = 960.0,
    tall: float = 74.0,
) -> Drawing:
    """The ride as a drawing of stacked panels over one distance axis.

    Args:
        answer: The ride as worked out; its central lane gives the curves, its lanes the spread of charge.
        reserve: Charge to be left on arrival, 0 to 1.
        units: Metric or imperial.
        palette: Inks.
        width: Of the drawing, 400 or more. [px]
        tall: Height of a panel; the one of charge left is twice as tall. [px]
    """
    ticks = round_ticks(0.0, in_road_units(answer.outcome.distance, units), round(width / 90))
    along = Scale(
        low=0.0, high=in_road_units(answer.outcome.distance, units) or 1.0, start=LEFT, end=width - RIGHT
    )
    sheet = _Sheet(answer=answer, reserve=reserve, units=units, palette=palette, along=along)
    panels = (
        (_height(sheet), tall), (_speed(sheet), tall), (_power(sheet), tall * 1.2), (_current(sheet), tall),
        (_charge(sheet), tall * 2.0),
    )  # fmt: skip
    marks, top = [], 0.0
    for panel, height in panels:
        marks += panel.marks(sheet, top + TITLE, top + TITLE + height)
        top += TITLE + height
    shown = [tick for tick in ticks if tick <= along.high]
    axis = distance_axis(along, shown, road_unit(units), palette, top=TITLE, bottom=top)
    return Drawing(
        title=f"{answer.ride.name}, {answer.season.title}: height, speed, power, current and charge left",
        description=_described(answer, reserve, units),
        width=width,
        height=top + FOOT,
        marks=(*axis, *marks),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Series:
    """A recording and how it is drawn."""

    few: Thinned
    words: str
    pen: Pen
    shade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Curves:
    """A panel of recordings."""

    title: str
    series: tuple[_Series, ...]
    floor: float | None
    """Lowest value the panel must show."""

    def marks(self, sheet: _Sheet, top: float, bottom: float) -> list[Mark]:
        """The panel between two heights."""
        ticks = _ticks(self.series, self.floor, _about(bottom - top))
        panel = _panel(sheet, ticks, top, bottom)
        keys = [Key(words=one.words, pen=one.pen) for one in self.series if one.words]
        marks = frame(panel, self.title, keys, sheet.palette)
        for one in self.series:
            marks += thin_curve(panel, one.few, one.pen, one.shade)
        return marks


@dataclass(frozen=True, slots=True, kw_only=True)
class _Land:
    """The panel of height, with the stops."""

    few: Thinned
    stops: FloatArray

    def marks(self, sheet: _Sheet, top: float, bottom: float) -> list[Mark]:
        """The panel between two heights."""
        palette = sheet.palette
        values = self.few.middle if len(self.few.middle) else np.zeros(1)
        panel = _panel(
            sheet, round_ticks(float(values.min()), float(values.max()), _about(bottom - top)), top, bottom
        )
        pen = Pen(stroke=palette.ink, width=1.5)
        keys = [Key(words=_counted(len(self.stops)), pen=Pen(stroke="none"))] if len(self.stops) else []
        marks = frame(panel, f"Height, {height_unit(sheet.units)}", keys, palette)
        marks += land(panel, self.few.at, self.few.middle, palette)
        spots = sorted({round(sheet.along.at(float(at)), 1) for at in self.stops})
        return marks + [line((x, bottom), (x, bottom - 9), pen) for x in spots]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Charge:
    """The panel of charge left: spread, median, reserve, and what is left on arrival."""

    at: FloatArray
    quantiles: FloatArray
    """(5, marks) per cent."""

    def marks(self, sheet: _Sheet, top: float, bottom: float) -> list[Mark]:
        """The panel between two heights."""
        palette, reserve = sheet.palette, percent_from_fraction(sheet.reserve)
        panel = _panel(
            sheet, (0.0, 25.0, 50.0, 75.0, 100.0) if bottom - top > 76.0 else (0.0, 50.0, 100.0), top, bottom
        )
        median = Pen(stroke=palette.ink, width=2.0)
        held = Pen(stroke=palette.accent, width=1.75, dash=(6.0, 4.0))
        keys = (
            Key(words="median", pen=median),
            Key(words="middle half", pen=Pen(stroke=palette.line, width=9.0)),
            Key(words="middle nine tenths", pen=Pen(stroke=palette.hair, width=9.0)),
            Key(words=f"reserve {share(sheet.reserve)}", pen=held),
        )
        low, first, middle, third, high = self.quantiles
        y = panel.up.at(reserve)
        return [
            *frame(panel, "Charge left, %", keys, palette),
            band(panel, self.at, low, high, palette.hair),
            band(panel, self.at, first, third, palette.line),
            curve(panel, self.at, middle, median),
            line((panel.along.start, y), (panel.along.end, y), held),
            *_arrival(panel, self.quantiles[:, -1], palette),
        ]


def _arrival(panel: Panel, left: FloatArray, palette: Palette) -> list[Mark]:
    """Beside the end of the curves: the median, and the 5 % and 95 % ends of the spread where they fit."""
    x = panel.along.end + 6
    middle = panel.up.at(float(left[2])) + 4.5
    marks = [_left(float(left[2]), (x, middle), palette.ink, Face.FIGURES_BOLD)]
    for value, way in ((left[0], 1.0), (left[4], -1.0)):
        y = middle + way * max(abs(panel.up.at(float(value)) + 4.5 - middle), SMALLEST + 2)
        if panel.top - 4 < y < panel.bottom + 8:
            marks.append(_left(float(value), (x, y), palette.soft, Face.FIGURES))
    return marks


def _left(value: float, at: tuple[float, float], colour: str, face: Face) -> Mark:
    return lettering(str(share(value / 100.0)), at, colour, face=face)


def _panel(sheet: _Sheet, ticks: tuple[float, ...], top: float, bottom: float) -> Panel:
    return Panel(
        along=sheet.along, up=Scale(low=ticks[0], high=ticks[-1], start=bottom, end=top), ticks=ticks
    )


def _ticks(series: Sequence[_Series], floor: float | None, about: int) -> tuple[float, ...]:
    lows = [float(one.few.low.min()) for one in series if len(one.few.at)]
    highs = [float(one.few.high.max()) for one in series if len(one.few.at)]
    low, high = min([*lows, floor or 0.0]), max([*highs, (floor or 0.0) + 1.0])
    return round_ticks(low, high, about)


def _about(tall: float) -> int:
    """How many ticks a panel bears without its figures meeting."""
    return 2 if tall < 60.0 else 3


def _height(sheet: _Sheet) -> _Land:
    path = sheet.answer.ride.path
    ends = np.cumsum(path.length)
    middles = in_road(ends - path.length / 2, sheet.units)
    heights = path.altitude * in_height_units(1.0, sheet.units)
    return _Land(few=thinned(middles, heights, STEPS), stops=in_road(ends[path.dwell > 0], sheet.units))


def _speed(sheet: _Sheet) -> _Curves:
    speed = sheet.answer.outcome.trace.speed * in_speed_units(1.0, sheet.units)
    return _Curves(title=f"Speed, {speed_unit(sheet.units)}", series=(_ink(sheet, speed, ""),), floor=0.0)


def _power(sheet: _Sheet) -> _Curves:
    trace = sheet.answer.outcome.trace
    rider = Pen(stroke=sheet.palette.soft, width=1.5, dash=(4.0, 2.5))
    few = thinned(_along(sheet), trace.rider_power, STEPS)
    series = (
        _ink(sheet, trace.motor_power, "motor, at its output"),
        _Series(few=few, words="rider, at the crank", pen=rider, shade="none"),
    )
    return _Curves(title="Power, W", series=series, floor=0.0)


def _current(sheet: _Sheet) -> _Curves:
    current = sheet.answer.outcome.trace.battery_current
    return _Curves(title="Battery current, A", series=(_ink(sheet, current, ""),), floor=0.0)


def _charge(sheet: _Sheet) -> _Charge:
    outcome = sheet.answer.outcome
    quantiles = percent_from_fraction(1.0) * outcome.charge_quantiles(SHARES)
    every = max(1, len(outcome.mark) // STEPS)
    kept = np.unique(np.append(np.arange(0, len(outcome.mark), every), len(outcome.mark) - 1))
    return _Charge(at=in_road(outcome.mark[kept], sheet.units), quantiles=quantiles[:, kept])


def _ink(sheet: _Sheet, values: FloatArray, words: str) -> _Series:
    few = thinned(_along(sheet), values, STEPS)
    return _Series(
        few=few, words=words, pen=Pen(stroke=sheet.palette.ink, width=1.5), shade=sheet.palette.hair
    )


def _along(sheet: _Sheet) -> FloatArray:
    return in_road(sheet.answer.outcome.trace.distance, sheet.units)


def in_road(distances: FloatArray, units: Units) -> FloatArray:
    """Distances as bare numbers of kilometres or miles."""
    return distances * in_road_units(1.0, units)


def _counted(stops: int) -> str:
    return f"{stops} stop{'' if stops == 1 else 's'}, marked at the foot"


def _described(answer: RideAnswer, reserve: Fraction, units: Units) -> str:
    low, _, median, _, high = answer.outcome.charge_quantiles(SHARES)[:, -1]
    return (
        f"{distance(answer.outcome.distance, units)}; arrives with {share(low)} to {share(high)} "
        f"in nine rides of ten, {share(median)} in the middle; the reserve is {share(reserve)}."
    )
