"""Panels of a chart: a frame with round ticks, curves, bands and a line of explanation above."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.documents.axis import Scale, Thinned, decimals
from wattwright.documents.drawing import Mark, Pen, Point, lettering, line, polygon, polyline
from wattwright.documents.figures import figure
from wattwright.documents.lettering import SMALLEST, Face, text_width
from wattwright.documents.palette import Palette
from wattwright.units import FloatArray

SAMPLE: Final = 18.0
"""Length of the stroke that stands for a curve in the line of explanation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One entry of the line of explanation."""

    words: str
    pen: Pen


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """Where one panel stands and what its two scales are."""

    along: Scale
    up: Scale
    ticks: tuple[float, ...]

    @property
    def top(self) -> float:
        """Upper edge, in drawing units."""
        return self.up.end

    @property
    def bottom(self) -> float:
        """Lower edge, in drawing units."""
        return self.up.start


def frame(panel: Panel, title: str, keys: Sequence[Key], palette: Palette) -> list[Mark]:
    """Title and keys above, rules and figures of the ticks at the left."""
    left, right = panel.along.start, panel.along.end
    marks: list[Mark] = []
    digits = decimals(panel.ticks)
    every = _every(panel)
    origin = panel.ticks.index(0.0) if 0.0 in panel.ticks else 0
    for index, tick in enumerate(panel.ticks):
        y = panel.up.at(tick)
        is_zero = tick == 0.0 and panel.up.low < 0.0
        pen = Pen(stroke=palette.soft if is_zero else palette.hair, width=1.0)
        marks.append(line((left, y), (right, y), pen))
        if (index - origin) % every == 0:
            marks.append(_figure(figure(tick, digits), (left - 6, y + 4.5), palette.soft))
    marks.append(lettering(title, (0.0, panel.top - 13), palette.ink, face=Face.TEXT_BOLD))
    return marks + _keys(keys, right, panel.top - 13, palette)


def _every(panel: Panel) -> int:
    """Every how many ticks a figure has room beside it."""
    apart = (panel.bottom - panel.top) / max(len(panel.ticks) - 1, 1)
    return max(1, math.ceil((SMALLEST + 1.0) / apart))


def _figure(text: str, at: Point, colour: str) -> Mark:
    return lettering(text, at, colour, face=Face.FIGURES, anchor="end")


def _keys(keys: Sequence[Key], right: float, base: float, palette: Palette) -> list[Mark]:
    """The line of explanation, its end at ``right``."""
    marks = []
    for key in reversed(keys):
        words = lettering(key.words, (right, base), palette.soft, anchor="end")
        right -= text_width(key.words, SMALLEST) + 6
        marks += [words, line((right - SAMPLE, base - 4.5), (right, base - 4.5), key.pen)]
        right -= SAMPLE + 16
    return marks


def curve(panel: Panel, at: FloatArray, values: FloatArray, pen: Pen) -> Mark:
    """A curve through values."""
    return polyline(_points(panel, at, values), pen)


def band(panel: Panel, at: FloatArray, low: FloatArray, high: FloatArray, colour: str) -> Mark:
    """The area between two curves."""
    there, back = _points(panel, at, low), _points(panel, at[::-1], high[::-1])
    return polygon([*there, *back], Pen(fill=colour))


def land(panel: Panel, at: FloatArray, values: FloatArray, palette: Palette) -> list[Mark]:
    """Height as land: filled down to the frame."""
    ground = _points(panel, at, values)
    if not ground:
        return []
    corners = [(ground[-1][0], panel.bottom), (ground[0][0], panel.bottom)]
    return [
        polygon([*ground, *corners], Pen(fill=palette.hair)),
        polyline(ground, Pen(stroke=palette.soft, width=1.25)),
    ]


def thin_curve(panel: Panel, few: Thinned, pen: Pen, shade: str) -> list[Mark]:
    """A thinned recording: the range within each step shaded, the mean as a line."""
    if not len(few.at):
        return []
    return [band(panel, few.at, few.low, few.high, shade), curve(panel, few.at, few.middle, pen)]


def distance_axis(
    along: Scale, ticks: Sequence[float], unit: str, palette: Palette, *, top: float, bottom: float
) -> list[Mark]:
    """Figures of the shared axis at the bottom, and fine rules through every panel."""
    marks: list[Mark] = []
    digits = decimals(ticks)
    for tick in ticks:
        x = along.at(tick)
        marks.append(line((x, top), (x, bottom + 4), Pen(stroke=palette.hair, width=1.0)))
        at = (x, bottom + 20)
        marks.append(lettering(figure(tick, digits), at, palette.soft, face=Face.FIGURES, anchor="middle"))
    marks.append(lettering(unit, (along.end + 14, bottom + 20), palette.soft))
    return marks


def _points(panel: Panel, at: FloatArray, values: FloatArray) -> list[Point]:
    good = np.isfinite(at) & np.isfinite(values)
    return [
        (panel.along.at(float(x)), panel.up.at(float(y))) for x, y in zip(at[good], values[good], strict=True)
    ]
