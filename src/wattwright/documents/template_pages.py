"""The full-size template cut into pages that overlap, each with bars to measure the print by: PDF."""

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Final

from wattwright.documents.drawing import Box, Drawing, Mark, Pen, lettering, line, rectangle, render
from wattwright.documents.faces import NO_DATE, typesetter_faces
from wattwright.documents.header import Paper
from wattwright.documents.lettering import Face
from wattwright.documents.palette import PRINT
from wattwright.documents.template import PX, Canvas, scale_bar, template_canvas
from wattwright.documents.template_plate import FullSize
from wattwright.units import Metre, mm_from_metres

SHEETS: Final = {Paper.A4: (0.297, 0.210), Paper.LETTER: (0.2794, 0.2159)}
"""[m] Across and down, laid broadside: ISO 216 A4; ANSI A letter. (memory)"""
LEFT: Final = 0.024
RIGHT: Final = 0.010
TOP: Final = 0.016
BOTTOM: Final = 0.028
"""[m] Margins; the bars stand in the left and lower one."""
OVERLAP: Final = 0.012
"""[m] Of neighbouring pages."""
BAR: Final = 0.100


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page: the window of the canvas it shows."""

    column: int
    row: int
    left: Metre
    top: Metre


def template_pdf(laid: Sequence[FullSize], paper: Paper = Paper.A4) -> bytes:
    """The templates of several stacks as one PDF, true to size when printed at 100 %.

    Args:
        laid: One or more, as ``template_plate.full_size`` gives them.
        paper: Of the printer.

    Returns:
        A PDF file. The same stacks and paper give the same bytes.
    """
    import typst  # noqa: PLC0415 - the typesetter is only needed here, and the command line starts without it

    sheet = SHEETS[paper]
    pages = [page for one in laid for page in _pages(one, sheet)]
    count = len(pages)
    content = {
        "paper": [mm_from_metres(side) for side in sheet],
        "at": [mm_from_metres(LEFT), mm_from_metres(TOP)],
        "window": [mm_from_metres(side) for side in _window(sheet)],
        "pages": [
            {"view": view, "border": render(_border(words, number, count, sheet))}
            for number, (view, words) in enumerate(pages, start=1)
        ],
    }
    template = files("wattwright.documents") / "templates" / "full-size.typ"
    pdf: bytes = typst.compile(
        template.read_bytes(),
        font_paths=typesetter_faces(),
        sys_inputs={"template": json.dumps(content)},
        timestamp=NO_DATE,
    )
    return pdf


def tiles_of(canvas: Canvas, sheet: tuple[Metre, Metre]) -> tuple[Tile, ...]:
    """The pages a canvas takes, row by row."""
    width, height = _window(sheet)
    across, down = _count(canvas.width, width), _count(canvas.height, height)
    return tuple(
        Tile(column=column, row=row, left=column * (width - OVERLAP), top=row * (height - OVERLAP))
        for row in range(down)
        for column in range(across)
    )


def _count(length: Metre, window: Metre) -> int:
    return max(1, math.ceil((length - OVERLAP) / (window - OVERLAP) - 1e-9))


def _window(sheet: tuple[Metre, Metre]) -> tuple[Metre, Metre]:
    return sheet[0] - LEFT - RIGHT, sheet[1] - TOP - BOTTOM


def _pages(laid: FullSize, sheet: tuple[Metre, Metre]) -> Iterator[tuple[str, str]]:
    """Each page's window as SVG, and what stands over it."""
    canvas, (width, height) = template_canvas(laid), _window(sheet)
    tiles = tiles_of(canvas, sheet)
    marks = (*canvas.marks, *_assembly(tiles, sheet, canvas))
    for tile in tiles:
        shift = f'<g transform="translate({-tile.left * PX:.4f} {-tile.top * PX:.4f})">'
        view = Drawing(
            title=f"{laid.title}, row {tile.row + 1}, column {tile.column + 1}",
            description="Part of a full-size template.",
            width=width * PX,
            height=height * PX,
            marks=(Mark(svg=shift), *marks, Mark(svg="</g>")),
        )
        yield render(view), f"{laid.title}: row {tile.row + 1}, column {tile.column + 1}"


def _assembly(tiles: Sequence[Tile], sheet: tuple[Metre, Metre], canvas: Canvas) -> Iterator[Mark]:
    """Lettered crosses in each overlap: they lie on both pages and are laid one on the other."""
    width, height = _window(sheet)
    columns, rows = max(tile.column for tile in tiles), max(tile.row for tile in tiles)
    letter = 0
    for column in range(1, columns + 1):
        x = column * (width - OVERLAP) + OVERLAP / 2
        for y in sorted({place for row in range(rows + 1) for place in _ends(row, height, canvas.height)}):
            yield from _cross(x, y, chr(ord("A") + letter % 26))
            letter += 1
    for row in range(1, rows + 1):
        y = row * (height - OVERLAP) + OVERLAP / 2
        for x in sorted(
            {place for column in range(columns + 1) for place in _ends(column, width, canvas.width)}
        ):
            yield from _cross(x, y, chr(ord("A") + letter % 26))
            letter += 1


def _ends(number: int, window: Metre, whole: Metre) -> tuple[Metre, Metre]:
    """Places for a cross near both ends of one page's side."""
    start = number * (window - OVERLAP)
    return start + 0.018, min(start + window, max(whole, start + 0.040)) - 0.018


def _cross(x: Metre, y: Metre, letter: str) -> Iterator[Mark]:
    pen, half = Pen(stroke=PRINT.ink, width=0.8), 0.004 * PX
    yield line((x * PX - half, y * PX), (x * PX + half, y * PX), pen)
    yield line((x * PX, y * PX - half), (x * PX, y * PX + half), pen)
    yield lettering(letter, (x * PX + 3.0, y * PX - 4.0), PRINT.ink, face=Face.FIGURES)


def _border(words: str, number: int, count: int, sheet: tuple[Metre, Metre]) -> Drawing:
    """What stands around a page's window: title, page, bars, and how to check the print."""
    width, height = (side * PX for side in sheet)
    window = Box(left=LEFT * PX, top=TOP * PX, right=width - RIGHT * PX, bottom=height - BOTTOM * PX)
    check = "This bar is 100 mm. Print at 100 %, not fitted to the page; measure both bars before you drill."
    marks = [
        rectangle(window, Pen(stroke=PRINT.line, width=0.6)),
        lettering(words, (LEFT * PX, TOP * PX - 12.0), PRINT.ink, face=Face.TEXT_BOLD),
        lettering(f"Page {number} of {count}", (window.right, TOP * PX - 12.0), PRINT.ink, anchor="end"),
        *scale_bar((LEFT * PX, window.bottom + 20.0), BAR, check),
        *scale_bar((LEFT * PX - 8.0, window.top + 40.0), BAR, "this bar is 100 mm", upright=True),
    ]
    if count > 1:
        join = "Cut along one frame, lay cross on cross of the same letter, and tape."
        marks.append(lettering(join, (LEFT * PX, window.bottom + 53.0), PRINT.ink))
    return Drawing(title=words, description=check, width=width, height=height, marks=tuple(marks))
