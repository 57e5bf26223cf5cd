"""The window as a picture: floors hatch from the left, ceilings from the right, the free span stays clear."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from wattwright.documents.drawing import (
    Box,
    Drawing,
    Mark,
    Pen,
    described,
    hatching,
    lettering,
    line,
    measured,
    polyline,
    rectangle,
    render,
)
from wattwright.documents.leaders import NARROWEST, WIDEST, Block, Label, drawn, reach, stacked
from wattwright.documents.lettering import SMALLEST, Face, printable, text_width
from wattwright.documents.palette import LIGHT, Palette
from wattwright.sizing.limits import Limit, Side, Window, hardest_seasons

ROW_HEIGHT: Final = 74.0
NUMERALS: Final = 24.0
"""Room under the row for the counts."""
SHORT: Final = 60.0
"""Room under the row for the counts and the dimension that says how many are missing."""
WIDEST_PITCH: Final = 78.0
NAMES_AND_PITCHES: Final = (
    (300.0, 44.0),
    (220.0, 33.0),
    (170.0, 31.0),
    (130.0, 28.0),
    (95.0, 15.0),
    (NARROWEST, 8.0),
)
"""How wide names may run, and how narrow columns may get before names are broken sooner. [px]"""
BEYOND: Final = 3
"""Counts drawn beyond the limits that decide, where no other limit asks for more."""
MOST_COLUMNS: Final = 16
"""Where limits lie so far out that not all counts are drawn; half as many again if they collide."""
EDGE: Final = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Where the counts stand: one column each, from ``first`` to ``last``."""

    first: int
    last: int
    left: float
    pitch: float

    @property
    def right(self) -> float:
        """Far end of the row."""
        return self.left + self.pitch * (self.last - self.first + 1)

    def edge(self, limit: Limit) -> float:
        """Where a limit cuts the row; limits beyond what is drawn cut its end."""
        below = limit.modules - 1 if limit.side is Side.FLOOR else limit.modules
        x = self.left + self.pitch * (below - self.first + 1)
        return min(max(x, self.left), self.right)

    def shows(self, limit: Limit) -> bool:
        """Whether the limit's edge is inside what is drawn."""
        below = limit.modules - 1 if limit.side is Side.FLOOR else limit.modules
        return self.first - 1 <= below <= self.last


def window_drawing(
    window: Window,
    *,
    chosen: int | None,
    shown: int | None = None,
    palette: Palette = LIGHT,
    width: float = 960.0,
) -> str:
    """The window as SVG text; see ``window_picture``."""
    picture = window_picture(window, chosen=chosen, shown=shown, palette=palette, width=width)
    return render(picture, ground=palette.sheet)


def window_picture(
    window: Window,
    *,
    chosen: int | None,
    shown: int | None = None,
    palette: Palette = LIGHT,
    width: float = 960.0,
) -> Drawing:
    """The window as a drawing.

    Args:
        window: Floors and ceilings, the deciding ones first.
        chosen: The count inked solid; None where the window is empty.
        shown: The count the rest of a sheet is worked out for, dashed where it is not the chosen one.
        palette: Inks.
        width: Of the drawing, 360 or more. [px]

    Returns:
        A drawing of that width; its height follows from how many names there are.
    """
    row = _fitted(window, chosen, width)
    above, below = _placed(window, row, width)
    top = reach(above) + EDGE + 8.0
    bottom = top + ROW_HEIGHT
    marks = [
        *_hatched(window, row, top, palette),
        *_columns(window, row, top, palette, chosen=chosen, shown=shown),
        *(mark for block, level in above for mark in drawn(block, level + 8.0, top, palette, upwards=True)),
        *(
            mark
            for block, level in below
            for mark in drawn(block, level + SHORT, bottom, palette, upwards=False)
        ),
        *_edges(window, row, top, palette),
        *_beyond(window, row, top, palette),
        *_short(window, row, bottom, palette),
    ]
    height = bottom + (SHORT + reach(below) + EDGE if below else NUMERALS + EDGE)
    return Drawing(
        title=_title(window, chosen),
        description=_described(window),
        width=width,
        height=height,
        marks=tuple(marks),
    )


def _fitted(window: Window, chosen: int | None, width: float) -> Row:
    """The widest row that leaves its names room at both ends: wide names are given up before wide columns."""
    first, last = _columns_drawn(window, chosen, width)
    columns = last - first + 1
    for widest, narrowest in NAMES_AND_PITCHES:
        pitch = WIDEST_PITCH
        while pitch >= narrowest:
            bare = Row(first=first, last=last, left=0.0, pitch=pitch)
            left, right = _overhang(window, bare, widest)
            if left + bare.right + right + 2 * EDGE <= width:
                return replace(bare, left=_start(window, bare, width, (left, right)))
            pitch -= 2.0
    return Row(first=first, last=last, left=width / 4, pitch=width / 2 / columns)


def _start(window: Window, bare: Row, width: float, sides: tuple[float, float]) -> float:
    """Where the row begins: in the middle, unless the floors' names want more room and there is some."""
    wanted, _ = _overhang(window, bare, WIDEST)
    middle = max((width - bare.right) / 2, wanted + EDGE)
    return max(sides[0] + EDGE, min(middle, width - EDGE - sides[1] - bare.right))


def _columns_drawn(window: Window, chosen: int | None, width: float) -> tuple[int, int]:
    deciding = [_tried(window.floor), window.ceiling.modules, chosen or 1]
    asked = max(_tried(limit) for limit in (*window.floors, *window.ceilings)) + 1
    last = max(min(asked, max(deciding) + BEYOND), max(deciding) + 1, 6)
    most = min(MOST_COLUMNS, round((width - 280.0) / 10.0))
    nearest = max(min(deciding[0], deciding[1]), deciding[2] - most + 2, 1)
    first = 1 if last <= most else min(nearest, last - most + 1)
    return first, min(last, first + (most if window.is_open else most * 3 // 2) - 1)


def _tried(limit: Limit) -> int:
    """The highest count a limit speaks of."""
    return limit.modules if limit.reachable else limit.modules - 1


def _overhang(window: Window, row: Row, widest: float) -> tuple[float, float]:
    """How far names reach beyond the left and the right end of the row."""
    blocks = (*_blocks(window, window.floors, row, widest), *_blocks(window, window.ceilings, row, widest))
    left = max(0.0, *(-block.span[0] for block in blocks))
    if not window.is_open:
        left = max(
            left, text_width(_missing(window), SMALLEST, Face.TEXT_BOLD) - row.edge(window.ceiling) + 8.0
        )
    right = max(0.0, *(block.span[1] - row.right for block in blocks))
    return left, right


Placed = tuple[tuple[Block, float], ...]


def _placed(window: Window, row: Row, width: float) -> tuple[Placed, Placed]:
    """Blocks above and below the row. Only where limits collide do ceilings hang below."""
    left = _blocks(window, window.floors, row, NARROWEST)
    right = _blocks(window, window.ceilings, row, NARROWEST)
    floors = stacked(tuple(block.filling(block.edge - EDGE) for block in left))
    ceilings = stacked(tuple(block.filling(width - EDGE - block.edge) for block in right))
    return (floors + ceilings, ()) if window.is_open else (floors, ceilings)


def _blocks(window: Window, limits: Iterable[Limit], row: Row, widest: float) -> tuple[Block, ...]:
    """Limits that cut the row at one place share a leader; a ride is named in its hardest season."""
    at: dict[float, list[Limit]] = {}
    for limit in hardest_seasons(tuple(limits)):
        at.setdefault(row.edge(limit), []).append(limit)
    return tuple(
        Block(
            edge=edge,
            grows=-1 if group[0].side is Side.FLOOR else 1,
            labels=tuple(_label(window, limit) for limit in group),
            widest=widest,
        )
        for edge, group in at.items()
    )


def _label(window: Window, limit: Limit) -> Label:
    decides = limit is window.floor or limit is window.ceiling
    return Label(count=_count(limit), name=printable(limit.subject), decides=decides)


def _count(limit: Limit) -> str:
    if not limit.reachable:
        return f"> {limit.modules - 1}"
    return f"{'≥' if limit.side is Side.FLOOR else '≤'} {limit.modules}"


def _hatched(window: Window, row: Row, top: float, palette: Palette) -> list[Mark]:
    pen = Pen(stroke=palette.line, width=1.0)
    low, high = row.edge(window.floor), row.edge(window.ceiling)
    marks = []
    if low > row.left:
        marks.append(hatching(Box(left=row.left, top=top, right=low, bottom=top + ROW_HEIGHT), pen))
    if high < row.right:
        box = Box(left=high, top=top, right=row.right, bottom=top + ROW_HEIGHT)
        marks.append(hatching(box, pen, leans_right=False))
    return marks


def _columns(
    window: Window, row: Row, top: float, palette: Palette, *, chosen: int | None, shown: int | None
) -> list[Mark]:
    marks: list[Mark] = []
    for count in range(row.first, row.last + 1):
        centre = row.left + row.pitch * (count - row.first + 0.5)
        is_free = count in window.counts
        pen = Pen(stroke=palette.ink if is_free else palette.soft, width=1.5 if is_free else 1.0)
        pen = Pen(stroke=pen.stroke, width=pen.width, fill=palette.sheet if is_free else "none")
        if count == chosen:
            pen = Pen(stroke=palette.ink, width=1.5, fill=palette.ink)
        elif count == shown:
            pen = Pen(stroke=palette.ink, width=2.0, dash=(5.0, 3.0), fill=palette.sheet)
        marks += _module(centre, top, row.pitch, pen, palette.sheet if count == chosen else pen.stroke)
        marks.append(
            _numeral(count, centre, top, row.pitch, palette, is_bold=count == chosen, is_free=is_free)
        )
    return [mark for mark in marks if mark.svg]


def _module(centre: float, top: float, pitch: float, pen: Pen, lid: str) -> list[Mark]:
    """The outline of one module, its lid marked by a short line."""
    half = min(20.0, pitch * 0.36)
    outline = Box(left=centre - half, top=top + 8, right=centre + half, bottom=top + ROW_HEIGHT - 8)
    lid_y, lid_half = top + 17.0, half * 0.55
    lid_line = line((centre - lid_half, lid_y), (centre + lid_half, lid_y), Pen(stroke=lid, width=1.5))
    return [rectangle(outline, pen, radius=min(3.0, half / 4)), lid_line]


def _numeral(
    count: int, centre: float, top: float, pitch: float, palette: Palette, *, is_bold: bool, is_free: bool
) -> Mark:
    """The count under its module; every fifth only, where columns are narrow."""
    text = str(count)
    face = Face.FIGURES_BOLD if is_bold else Face.FIGURES
    if pitch < text_width(text, SMALLEST, face) + 3.0 and count % 5 and not is_bold:
        return Mark(svg="")
    size = 16.0 if pitch >= 32.0 else SMALLEST
    colour = palette.ink if is_free or is_bold else palette.soft
    at = (centre, top + ROW_HEIGHT + 19.0)
    return lettering(text, at, colour, size=size, face=face, anchor="middle")


def _edges(window: Window, row: Row, top: float, palette: Palette) -> list[Mark]:
    """The two edges that decide, heavier than anything else."""
    pen = Pen(stroke=palette.accent, width=palette.heavy)
    return [
        line((row.edge(limit), top - 8), (row.edge(limit), top + ROW_HEIGHT + 8), pen)
        for limit in (window.floor, window.ceiling)
    ]


def _beyond(window: Window, row: Row, top: float, palette: Palette) -> list[Mark]:
    """An arrow out of the row's end wherever limits lie beyond what is drawn."""
    hidden = [limit for limit in (*window.floors, *window.ceilings) if not row.shows(limit)]
    ends = {(row.left, -1) if limit.modules < row.first else (row.right, 1) for limit in hidden}
    y = top + ROW_HEIGHT / 2
    pen = Pen(stroke=palette.soft, width=1.25)
    marks = []
    for x, way in sorted(ends):
        tip = x + way * 20
        marks.append(line((x + way * 5, y), (tip, y), pen))
        marks.append(polyline([(tip - way * 5, y - 3.5), (tip, y), (tip - way * 5, y + 3.5)], pen))
    return marks


def _short(window: Window, row: Row, bottom: float, palette: Palette) -> list[Mark]:
    """For an empty window: from the ceiling's edge to the floor's, how many modules are missing.

    The words stand left of the ceiling's leader, where no other leader passes.
    """
    if window.is_open:
        return []
    high, low, y = row.edge(window.ceiling), row.edge(window.floor), bottom + 44.0
    pen = Pen(stroke=palette.accent, width=1.5)
    at = (high - 2 * EDGE, y + 4)
    text = lettering(_missing(window), at, palette.accent, face=Face.TEXT_BOLD, anchor="end")
    return [*(measured((high, y), (low, y), pen) if low - high > 1.0 else ()), text]


def _missing(window: Window) -> str:
    if not window.floor.reachable:
        return "no count tried is enough"
    missing = window.floor.modules - window.ceiling.modules
    return f"{missing} module{'' if missing == 1 else 's'} too few"


def _title(window: Window, chosen: int | None) -> str:
    if chosen is not None:
        return f"Window of module counts, {chosen} chosen"
    return "Window of module counts, " + ("none chosen" if window.is_open else "empty")


def _described(window: Window) -> str:
    names = [f"{_plain(limit)}: {limit.subject}" for limit in (*window.floors, *window.ceilings)]
    state = f"free from {window.counts[0]} to {window.counts[-1]}" if window.is_open else _missing(window)
    return described([state, *names])


def _plain(limit: Limit) -> str:
    if not limit.reachable:
        return f"more than {limit.modules - 1}"
    return f"at {'least' if limit.side is Side.FLOOR else 'most'} {limit.modules}"
