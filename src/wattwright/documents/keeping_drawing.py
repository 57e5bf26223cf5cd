"""The years ahead, and a module put away, as pictures."""

import datetime as dt
from collections.abc import Sequence
from typing import Final

import numpy as np

from wattwright.documents.axis import Scale, round_ticks
from wattwright.documents.chart import Key, Panel, band, curve, distance_axis, frame
from wattwright.documents.drawing import Drawing, Mark, Pen, lettering, line, render
from wattwright.documents.figures import figure
from wattwright.documents.palette import LIGHT, Palette
from wattwright.pack.put_away import StorageAnswer
from wattwright.sizing.years import Course, YearsAhead
from wattwright.units import DAYS_PER_MONTH, FloatArray, percent_from_fraction

LEFT: Final = 46.0
RIGHT: Final = 60.0
TALL: Final = 190.0
TOP: Final = 34.0
FOOT: Final = 30.0
DASHES: Final = ((), (7.0, 4.0), (2.0, 3.0), (10.0, 3.0, 2.0, 3.0), (4.0, 4.0))
"""One for each course: told apart without colour."""
LONGEST_SHOWN: Final = 730
"""[days] of storage that are drawn."""


def years_drawing(ahead: YearsAhead, *, palette: Palette = LIGHT, width: float = 760.0) -> str:
    """The years ahead as SVG text; see ``years_picture``."""
    return render(years_picture(ahead, palette=palette, width=width), ground=palette.sheet)


def years_picture(ahead: YearsAhead, *, palette: Palette = LIGHT, width: float = 760.0) -> Drawing:
    """Capacity and resistance over the years: as planned with its bound, other habits as lines.

    Args:
        ahead: What ``years_ahead`` found.
        palette: Inks.
        width: Of the drawing, 400 or more. [px]
    """
    courses = (ahead.planned, *ahead.others)
    years = _years(ahead.planned)
    along = Scale(low=0.0, high=float(years[-1]), start=LEFT, end=width - RIGHT)
    capacity = _panel(along, TOP, [_capacity(each) for each in courses] + [_bound(ahead.planned)], most=100.0)
    below = TOP + TALL + TOP + 14.0
    resistance = _panel(along, below, [_resistance(each) for each in courses], most=0.0)
    pen = Pen(stroke=palette.ink, width=palette.heavy)
    keys = [Key(words="as planned", pen=pen), Key(words="its bound", pen=Pen(stroke=palette.line, width=8.0))]
    marks: list[Mark] = [
        *distance_axis(
            along, round_ticks(0.0, along.high, 10), "years", palette, top=TOP, bottom=resistance.bottom
        ),
        *frame(capacity, "Capacity left, % of rated", keys, palette),
        band(capacity, years, _bound(ahead.planned), _capacity(ahead.planned), palette.line),
        *(_other(capacity, each, number, _capacity(each), palette) for number, each in _numbered(ahead)),
        curve(capacity, years, _capacity(ahead.planned), pen),
        *frame(resistance, "Resistance, % of new", (), palette),
        *(_other(resistance, each, number, _resistance(each), palette) for number, each in _numbered(ahead)),
        curve(resistance, years, _resistance(ahead.planned), pen),
        *_wished(ahead, along, resistance.bottom, palette),
    ]
    bottom = resistance.bottom + FOOT
    marks += [mark for number, each in enumerate(courses) for mark in _told(each, number, bottom, palette)]
    return Drawing(
        title=f"The years ahead with {ahead.planned.modules} modules",
        description="; ".join(_in_words(each) for each in courses),
        width=width,
        height=bottom + 22.0 * len(courses) + 14.0,
        marks=tuple(marks),
    )


def _panel(along: Scale, top: float, values: Sequence[FloatArray], *, most: float) -> Panel:
    low = min(float(each.min()) for each in values)
    high = max(most, *(float(each.max()) for each in values))
    ticks = round_ticks(low, high, 5)
    up = Scale(low=ticks[0], high=ticks[-1], start=top + TALL, end=top)
    return Panel(along=along, up=up, ticks=ticks)


def _years(course: Course) -> FloatArray:
    return np.array([row.years for row in course.rows])


def _capacity(course: Course) -> FloatArray:
    return np.array([percent_from_fraction(row.central.capacity_left) for row in course.rows])


def _bound(course: Course) -> FloatArray:
    return np.array([percent_from_fraction(row.bound.capacity_left) for row in course.rows])


def _resistance(course: Course) -> FloatArray:
    return np.array([percent_from_fraction(row.central.resistance_risen) for row in course.rows])


def _numbered(ahead: YearsAhead) -> list[tuple[int, Course]]:
    return list(enumerate(ahead.others, start=1))


def _pen(number: int, palette: Palette) -> Pen:
    if number == 0:
        return Pen(stroke=palette.ink, width=palette.heavy)
    return Pen(stroke=palette.soft, width=1.5, dash=DASHES[number % len(DASHES)])


def _other(panel: Panel, course: Course, number: int, values: FloatArray, palette: Palette) -> Mark:
    return curve(panel, _years(course), values, _pen(number, palette))


def _wished(ahead: YearsAhead, along: Scale, bottom: float, palette: Palette) -> list[Mark]:
    x = along.at(ahead.wished)
    pen = Pen(stroke=palette.accent, width=1.5)
    return [
        line((x, TOP), (x, bottom), pen),
        lettering("wished", (x + 4, TOP + TALL + 15.0), palette.accent),
    ]


def _told(course: Course, number: int, bottom: float, palette: Palette) -> list[Mark]:
    """One line of explanation under the panels: the curve, and how long every ride lasts."""
    y = bottom + 22.0 * (number + 1)
    return [
        line((LEFT, y - 4.5), (LEFT + 34.0, y - 4.5), _pen(number, palette)),
        lettering(_in_words(course), (LEFT + 44.0, y), palette.ink if number == 0 else palette.soft),
    ]


def _in_words(course: Course) -> str:
    lasts, cautious = course.lasting, course.lasting_cautious
    ended = f", ended by “{lasts.ends_with}”" if lasts.ends_with else ""
    return f"{course.title}: rides last {lasts.in_words} years{ended} (by the bound {cautious.in_words})"


def storage_drawing(answer: StorageAnswer, *, palette: Palette = LIGHT, width: float = 760.0) -> str:
    """A module put away as SVG text; see ``storage_picture``."""
    return render(storage_picture(answer, palette=palette, width=width), ground=palette.sheet)


def storage_picture(answer: StorageAnswer, *, palette: Palette = LIGHT, width: float = 760.0) -> Drawing:
    """Charge over the months, its span, the floor and the day to charge again.

    Args:
        answer: What ``put_away`` found.
        palette: Inks.
        width: Of the drawing, 400 or more. [px]
    """
    stored, course = answer.stored, answer.course
    days = min(_last_day(answer), LONGEST_SHOWN)
    months = np.arange(days + 1) / DAYS_PER_MONTH
    along = Scale(low=0.0, high=float(months[-1]), start=LEFT, end=width - RIGHT)
    panel = _panel(along, TOP, [np.array([0.0])], most=100.0)
    pen = Pen(stroke=palette.ink, width=palette.heavy)
    keys = [Key(words="likely", pen=pen), Key(words="span", pen=Pen(stroke=palette.line, width=8.0))]
    charge, least, most = (
        100.0 * values[: days + 1] for values in (course.charge, course.least, course.most)
    )
    floor = panel.up.at(percent_from_fraction(stored.recharge_at))
    ticks = [tick for tick in round_ticks(0.0, along.high, 8) if tick <= along.high]
    return Drawing(
        title=f"{stored.name} put away {stored.start.isoformat()}, {stored.state.value}",
        description=_storage_words(answer),
        width=width,
        height=panel.bottom + FOOT + 34.0,
        marks=(
            *distance_axis(along, ticks, "months", palette, top=panel.top, bottom=panel.bottom),
            *frame(panel, "Charge, %", keys, palette),
            band(panel, months, least, most, palette.line),
            line((LEFT, floor), (along.end, floor), Pen(stroke=palette.accent, width=1.5, dash=(6.0, 4.0))),
            curve(panel, months, charge, pen),
            *_charge_by(answer, along, panel, palette),
            lettering(_storage_words(answer), (LEFT, panel.bottom + FOOT + 22.0), palette.ink),
        ),
    )


def _last_day(answer: StorageAnswer) -> int:
    """A little beyond the day it would be empty."""
    empty = answer.dates.empty
    if empty is None:
        return LONGEST_SHOWN
    return max(60, round(1.15 * (empty - answer.stored.start).days))


def _charge_by(answer: StorageAnswer, along: Scale, panel: Panel, palette: Palette) -> list[Mark]:
    date = answer.dates.recharge_early
    if date is None:
        return []
    x = along.at((date - answer.stored.start).days / DAYS_PER_MONTH)
    return [line((x, panel.top), (x, panel.bottom), Pen(stroke=palette.accent, width=palette.heavy))]


def _storage_words(answer: StorageAnswer) -> str:
    dates, floor = answer.dates, figure(percent_from_fraction(answer.stored.recharge_at))
    return (
        f"Charge it again by {_by(dates.recharge_early)}; likely down to {floor} % on {_by(dates.recharge)}."
    )


def _by(date: dt.date | None) -> str:
    return "a day beyond five years" if date is None else date.isoformat()
