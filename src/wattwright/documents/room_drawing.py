"""A stack in its place, to scale: what the modules take, what taking them off needs, and what is there."""

from dataclasses import dataclass
from typing import Final

from wattwright.documents.axis import Scale
from wattwright.documents.drawing import (
    Box,
    Drawing,
    Mark,
    Pen,
    dimension,
    hatching,
    lettering,
    line,
    rectangle,
    render,
)
from wattwright.documents.figures import Units, length
from wattwright.documents.lettering import SMALLEST, Face, printable, text_width, wrapped
from wattwright.documents.palette import LIGHT, Palette
from wattwright.parts.battery_module import BatteryModule
from wattwright.sizing.brief import Place

MARGIN: Final = 6.0
TALLEST: Final = 96.0
"""A module is never drawn taller. [px]"""
TUBE: Final = 12.0
RAIL: Final = 6.0
ROW: Final = 17.0
STEP: Final = 24.0
"""From one dimension line to the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """One place, how many modules it takes, and how many are meant to stand there."""

    place: Place
    battery_module: BatteryModule
    room: int
    modules: int

    @property
    def taken(self) -> float:
        """Length of the carrier's ends and the modules, in metres."""
        return self.place.carrier.base_length + self.modules * self.battery_module.pitch

    @property
    def needed(self) -> float:
        """Length with what taking the stack off needs, in metres."""
        return self.taken + self.place.carrier.removal_travel


def room_drawing(
    stack: Stack, *, units: Units = Units.METRIC, palette: Palette = LIGHT, width: float = 400.0
) -> str:
    """The stack in its place as SVG text; see ``room_picture``."""
    return render(room_picture(stack, units=units, palette=palette, width=width), ground=palette.sheet)


def room_picture(
    stack: Stack, *, units: Units = Units.METRIC, palette: Palette = LIGHT, width: float = 400.0
) -> Drawing:
    """Side view along the place, to one scale in both directions, its lengths in dimension lines.

    Inked: modules meant to stand here. Dashed: what would also fit. Hatched and heavier: what has no room.
    """
    longest = max(stack.needed, stack.place.free_length)
    per_metre = min((width - 2 * MARGIN) / longest, TALLEST / stack.battery_module.height)
    along = Scale(low=0.0, high=longest, start=MARGIN, end=MARGIN + longest * per_metre)
    title = wrapped(printable(stack.place.name), width, SMALLEST, Face.TEXT_BOLD)
    top = ROW * len(title) + 6.0
    foot = top + stack.battery_module.height * per_metre
    marks = [
        *(
            lettering(words, (0.0, ROW * (row + 0.8)), palette.ink, face=Face.TEXT_BOLD)
            for row, words in enumerate(title)
        ),
        *_travel(stack, along, top, foot, palette),
        *_carrier(stack, along, foot, palette, per_metre),
        *_modules(stack, along, top, foot, palette),
        *_dimensions(stack, along, foot + RAIL + TUBE, units, palette=palette, width=width),
    ]
    return Drawing(
        title=f"{stack.place.name}, to scale: {_counted(stack.modules)}",
        description=_described(stack, units),
        width=width,
        height=foot + RAIL + TUBE + 3 * STEP + 10.0,
        marks=tuple(marks),
    )


def _modules(stack: Stack, along: Scale, top: float, foot: float, palette: Palette) -> list[Mark]:
    marks: list[Mark] = []
    for index in range(max(stack.modules, stack.room)):
        left = stack.place.carrier.base_length + index * stack.battery_module.pitch
        right = left + stack.battery_module.pitch
        if right > along.high + 1e-9:
            break
        box = Box(left=along.at(left) + 1, top=top, right=along.at(right) - 1, bottom=foot)
        marks += _module(box, index + 1, stack, palette)
    return marks


def _module(box: Box, number: int, stack: Stack, palette: Palette) -> list[Mark]:
    """Inked where it stands and fits, dashed where it would fit, hatched where it finds no room."""
    if number > stack.room:
        return [
            rectangle(box, Pen(stroke=palette.accent, width=palette.heavy * 0.75, fill=palette.sheet)),
            hatching(box, Pen(stroke=palette.accent), spacing=6.0),
        ]
    if number > stack.modules:
        return [rectangle(box, Pen(stroke=palette.soft, width=1.25, dash=(4.0, 3.0)))]
    marks = [rectangle(box, Pen(stroke=palette.ink, width=1.0, fill=palette.ink), radius=1.5)]
    if box.right - box.left > text_width(str(number), SMALLEST, Face.FIGURES) + 2:
        at = ((box.left + box.right) / 2, (box.top + box.bottom) / 2 + 4.5)
        marks.append(lettering(str(number), at, palette.sheet, face=Face.FIGURES, anchor="middle"))
    return marks


def _carrier(stack: Stack, along: Scale, foot: float, palette: Palette, per_metre: float) -> list[Mark]:
    """The place, the rail on it, and the carrier's ends at the left of the stack."""
    end = along.at(stack.place.carrier.base_length)
    tall = 0.55 * stack.battery_module.height * per_metre
    pen = Pen(stroke=palette.ink, width=1.0, fill=palette.sheet)
    tube = Box(
        left=along.start, top=foot + RAIL, right=along.at(stack.place.free_length), bottom=foot + RAIL + TUBE
    )
    rail = Box(
        left=along.start,
        top=foot,
        right=along.at(min(stack.taken, stack.place.free_length)),
        bottom=foot + RAIL,
    )
    ends = Box(left=along.start, top=foot - tall, right=end - 1, bottom=foot)
    return [
        rectangle(tube, Pen(stroke=palette.ink, width=1.0, fill=palette.steel)),
        rectangle(rail, pen),
        rectangle(ends, pen, radius=2.0),
    ]


def _travel(stack: Stack, along: Scale, top: float, foot: float, palette: Palette) -> list[Mark]:
    """The length that must stay free for taking the stack off."""
    left, right = along.at(stack.taken), along.at(stack.needed)
    if right - left < 1.0:
        return []
    box = Box(left=left, top=top + (foot - top) * 0.5, right=right, bottom=foot)
    return [hatching(box, Pen(stroke=palette.line), spacing=6.0, leans_right=False)]


def _dimensions(
    stack: Stack, along: Scale, foot: float, units: Units, *, palette: Palette, width: float
) -> list[Mark]:
    pen = Pen(stroke=palette.soft, width=1.0)
    spans = (
        (0.0, stack.taken, f"stack {length(stack.taken, units)}"),
        (stack.taken, stack.needed, f"to take it off {length(stack.needed - stack.taken, units)}"),
        (0.0, stack.place.free_length, f"free {length(stack.place.free_length, units)}"),
    )
    marks: list[Mark] = []
    for row, (start, end, words) in enumerate(spans):
        y = foot + STEP * (row + 1)
        if end > start:
            ends = (along.at(start), y), (along.at(end), y)
            marks += dimension(*ends, words, pen, drop=STEP - 10.0, rightmost=width)
    if stack.needed > stack.place.free_length + 1e-9:
        x = along.at(stack.place.free_length)
        marks.append(line((x, foot - 60.0), (x, foot + 6), Pen(stroke=palette.accent, width=palette.heavy)))
    return marks


def _counted(modules: int) -> str:
    return f"{modules} module{'' if modules == 1 else 's'}"


def _described(stack: Stack, units: Units) -> str:
    spare = stack.place.free_length - stack.needed
    state = f"{length(abs(spare), units)} {'to spare' if spare >= -1e-9 else 'too short'}"
    return (
        f"{_counted(stack.modules)} with the carrier's ends take {length(stack.taken, units)}, "
        f"taking them off {length(stack.needed - stack.taken, units)} more; "
        f"{length(stack.place.free_length, units)} are free: {state}. Room for {_counted(stack.room)}."
    )
