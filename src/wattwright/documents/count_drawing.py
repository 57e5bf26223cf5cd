"""What decides a limit, count by count, against what it is held to: small, to stand beside others."""

import math
from typing import Final

from wattwright.documents.axis import Scale, round_ticks
from wattwright.documents.chart import Panel, frame
from wattwright.documents.drawing import Drawing, Mark, Pen, circle, lettering, line, render
from wattwright.documents.figures import Units, in_units, quantity
from wattwright.documents.lettering import SMALLEST, Face, printable, text_width, wrapped
from wattwright.documents.palette import LIGHT, Palette
from wattwright.sizing.limits import Limit, Side

LEFT: Final = 50.0
TALL: Final = 96.0
ROW: Final = 17.0
FEWEST: Final = 3
"""Fewer counts say no more than the table does."""
MOST: Final = 16
"""So many counts are drawn, those about the limit."""


def count_drawing(
    limit: Limit,
    *,
    chosen: int | None,
    units: Units = Units.METRIC,
    palette: Palette = LIGHT,
    width: float = 300.0,
) -> str:
    """The limit's governing quantity by count as SVG text; see ``count_picture``."""
    picture = count_picture(limit, chosen=chosen, units=units, palette=palette, width=width)
    return render(picture, ground=palette.sheet)


def can_be_drawn(limit: Limit) -> bool:
    """Whether the limit was worked out at enough counts to show a course, and is held against something."""
    finite = [entry for entry in limit.at_count if math.isfinite(entry[1].value)]
    return limit.bound is not None and len(finite) >= FEWEST


def count_picture(
    limit: Limit,
    *,
    chosen: int | None,
    units: Units = Units.METRIC,
    palette: Palette = LIGHT,
    width: float = 300.0,
) -> Drawing:
    """The governing quantity at each count: filled where the count will do, open where not.

    Args:
        limit: One that ``can_be_drawn``.
        chosen: The count that gets its value written beside it.
        units: Metric or imperial.
        palette: Inks.
        width: Of the drawing, 200 or more. [px]
    """
    points = _points(limit, units)
    bound = in_units(limit.bound, units).value if limit.bound else math.nan
    words = _words(limit, points, chosen, units, palette=palette, width=width)
    top = ROW * len(words) + 12.0
    values = [value for _, value, _ in points]
    ticks = round_ticks(min(*values, bound), max(*values, bound), 3)
    counts = [count for count, _, _ in points]
    along = Scale(low=counts[0] - 0.5, high=counts[-1] + 0.5, start=LEFT, end=width - 8.0)
    up = Scale(low=ticks[0], high=ticks[-1], start=top + TALL, end=top)
    panel = Panel(along=along, up=up, ticks=ticks)
    return Drawing(
        title=f"{limit.subject}: {_meaning(limit, units)} by number of modules",
        description="; ".join(f"{count}: {shown}" for count, _, shown in points) + f"; {_held(limit, units)}",
        width=width,
        height=top + TALL + 24.0,
        marks=(
            *words,
            *frame(panel, "", (), palette)[:-1],
            *_bound(panel, bound, palette),
            *(mark for point in points for mark in _dot(panel, limit, point, chosen, palette)),
        ),
    )


Entry = tuple[int, float, str]


def _words(
    limit: Limit, points: list[Entry], chosen: int | None, units: Units, *, palette: Palette, width: float
) -> list[Mark]:
    """Above the frame: the limit's name, what is drawn, its value at the chosen count and its bound."""
    at_chosen = "".join(f"{shown} at {count}, " for count, _, shown in points if count == chosen)
    lines = [(text, Face.TEXT_BOLD) for text in _broken(limit.subject, width, Face.TEXT_BOLD)]
    for sentence in (_meaning(limit, units), f"{at_chosen}{_held(limit, units)}"):
        lines += [(text, Face.TEXT) for text in _broken(sentence, width, Face.TEXT)]
    return [
        lettering(text, (0.0, ROW * (row + 0.8)), palette.ink if face.is_bold else palette.soft, face=face)
        for row, (text, face) in enumerate(lines)
    ]


def _broken(text: str, width: float, face: Face) -> tuple[str, ...]:
    return wrapped(printable(text), width, SMALLEST, face)


def _points(limit: Limit, units: Units) -> list[Entry]:
    """Count, value and value as shown, of at most MOST counts about the limit."""
    every = [
        (count, in_units(amount, units).value, str(quantity(amount, units)))
        for count, amount in limit.at_count
        if math.isfinite(amount.value)
    ]
    nearest = sorted(every, key=lambda entry: abs(entry[0] - limit.modules))[:MOST]
    return sorted(nearest)


def _meaning(limit: Limit, units: Units) -> str:
    amount = limit.at_count[0][1]
    unit = quantity(amount, units).unit
    return printable(f"{amount.meaning}, {unit}" if unit else amount.meaning)


def _held(limit: Limit, units: Units) -> str:
    return f"held against {quantity(limit.bound, units)}" if limit.bound else ""


def _bound(panel: Panel, bound: float, palette: Palette) -> list[Mark]:
    y = panel.up.at(bound)
    pen = Pen(stroke=palette.accent, width=1.75, dash=(6.0, 4.0))
    return [line((panel.along.start, y), (panel.along.end, y), pen)]


def _dot(panel: Panel, limit: Limit, point: Entry, chosen: int | None, palette: Palette) -> list[Mark]:
    count, value, _ = point
    will_do = limit.reachable and (
        count >= limit.modules if limit.side is Side.FLOOR else count <= limit.modules
    )
    x, y = panel.along.at(count), panel.up.at(value)
    is_chosen = count == chosen
    fill = palette.ink if will_do else palette.sheet
    marks = [circle((x, y), 4.0, Pen(stroke=palette.ink, width=1.5, fill=fill))]
    if is_chosen:
        marks.append(circle((x, y), 7.5, Pen(stroke=palette.ink, width=1.25)))
    pitch = (panel.along.end - panel.along.start) / (panel.along.high - panel.along.low)
    if pitch > text_width("00", SMALLEST, Face.FIGURES) + 2 or (count - (chosen or 0)) % 2 == 0:
        face = Face.FIGURES_BOLD if is_chosen else Face.FIGURES
        colour = palette.ink if is_chosen else palette.soft
        marks.append(lettering(str(count), (x, panel.bottom + 19), colour, face=face, anchor="middle"))
    return marks
