"""The full-size template, measured as it comes out of the printer: pixels against millimetres."""

import re
from typing import Any

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from frame_examples import ON_BANDS, RULES, SHELF, frame_of, placed
from wattwright.documents.bicycle_drawing_stacks import placed_stack
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.header import Paper
from wattwright.documents.template import PX, template_canvas
from wattwright.documents.template_pages import (
    BOTTOM,
    LEFT,
    OVERLAP,
    RIGHT,
    SHEETS,
    TOP,
    template_pdf,
    tiles_of,
)
from wattwright.documents.template_plate import FullSize, full_size
from wattwright.frame.placement import Fixing
from wattwright.frame.room import room_of
from wattwright.parts.fixing import FixingKind

DOTS = 10
"""Pixels to the millimetre."""
ROOM = room_of(frame_of())
PLATED = Fixing(
    kind=FixingKind.PLATE_ON_BOSSES, screw=SHELF.screws["m5x16-a2"], plate=SHELF.plates["shim-5"], step=-0.020
)  # fmt: skip


def laid_out(**changed: Any) -> FullSize:  # noqa: ANN401
    """Four modules above the down tube, laid out."""
    placement = placed(**changed)
    view = BicycleView(room=ROOM, rules=RULES, placements=(placement,))
    return full_size(ROOM.frame, placed_stack(view, placement))


def printed(pdf: bytes) -> list[NDArray[np.bool_]]:
    """Each page in dark and light, ``DOTS`` pixels to the millimetre."""
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.render(scale=DOTS * 25.4 / 72, grayscale=True).to_numpy() for page in document]
    return [page.reshape(page.shape[:2]) < 140 for page in pages]


def strokes(cut: NDArray[np.bool_]) -> list[float]:
    """Middles of the dark runs along a cut, in mm."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], cut.astype(int), [0]])))
    return [(start + end) / 2 / DOTS for start, end in zip(edges[::2], edges[1::2], strict=True)]


def circles(canvas_marks: tuple[Any, ...], diameter: float) -> list[tuple[float, float]]:
    """Where holes of that diameter are on the canvas, in metres."""
    found = [re.match(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', mark.svg) for mark in canvas_marks]
    return [
        (float(hit[1]) / PX, float(hit[2]) / PX)
        for hit in found
        if hit and abs(float(hit[3]) / PX - diameter / 2) < 1e-5
    ]


@pytest.mark.parametrize("paper", list(Paper))
def test_pages_have_the_papers_size(paper: Paper) -> None:
    for page in printed(template_pdf([laid_out()], paper)):
        assert page.shape[1] / DOTS == pytest.approx(SHEETS[paper][0] * 1000, abs=0.2)
        assert page.shape[0] / DOTS == pytest.approx(SHEETS[paper][1] * 1000, abs=0.2)


@pytest.mark.parametrize("paper", list(Paper))
def test_both_bars_are_100_mm_long_on_every_page(paper: Paper) -> None:
    """Cuts through the long ticks at the bars' ends, 1.8 mm beside the bars, on both papers."""
    across, down = (side * 1000 for side in SHEETS[paper])
    level = down - BOTTOM * 1000 + 20 * 25.4 / 96
    upright = LEFT * 1000 - 8 * 25.4 / 96
    for page in printed(template_pdf([laid_out()], paper)):
        row = strokes(page[round((level - 1.8) * DOTS), : round((across - 50) * DOTS)])
        column = strokes(page[: round(150 * DOTS), round((upright - 1.8) * DOTS)])
        bar = [place for place in row if place > LEFT * 1000 - 1]

        assert bar[-1] - bar[0] == pytest.approx(100.0, abs=0.1)
        assert column[-1] - column[0] == pytest.approx(100.0, abs=0.1)


@pytest.mark.parametrize("paper", list(Paper))
def test_bosses_are_as_far_apart_on_paper_as_on_the_tube(paper: Paper) -> None:
    """Bosses 64 mm apart under a foot of 232 mm, cut 4.5 mm beside the middle line: within 0.1 mm."""
    laid = laid_out()
    canvas = template_canvas(laid)
    (_, height), *_ = circles(canvas.marks, 0.005)
    pages, tiles = printed(template_pdf([laid], paper)), tiles_of(canvas, SHEETS[paper])
    window = SHEETS[paper][1] - TOP - BOTTOM
    number = next(
        n for n, tile in enumerate(tiles) if tile.top < height - 0.01 and height + 0.01 < tile.top + window
    )
    at = TOP + height - tiles[number].top - 0.0045
    right = round((SHEETS[paper][0] - RIGHT) * 1000 * DOTS) - 10
    inside = pages[number][round(at * 1000 * DOTS), round((LEFT * 1000 + 1) * DOTS) : right]
    foot_start, first, second, foot_end = strokes(inside)

    assert second - first == pytest.approx(64.0, abs=0.1)
    assert foot_end - foot_start == pytest.approx(232.0, abs=0.1)
    assert first - foot_start == pytest.approx(80.0, abs=0.1)


def test_plate_holes_stand_where_bosses_and_slots_ask_for_them() -> None:
    """Bosses at 280 and 344 mm, the carrier shifted by −20 mm: holes of 5.5 and 4.2 mm, 20 mm apart."""
    laid = laid_out(offset=0.19, fixing=PLATED)
    assert laid.plate is not None
    found = [
        (round(hole.s * 1000, 1), round(hole.diameter * 1000, 1), hole.purpose) for hole in laid.plate.holes
    ]

    assert found == [
        (260.0, 4.2, "to carrier"), (280.0, 5.5, "to frame"),
        (324.0, 4.2, "to carrier"), (344.0, 5.5, "to frame"),
    ]  # fmt: skip
    assert laid.plate.warnings == ()
    canvas = template_canvas(laid)
    frame_holes, carrier_holes = circles(canvas.marks, 0.0055), circles(canvas.marks, 0.0042)
    assert frame_holes[1][0] - frame_holes[0][0] == pytest.approx(0.064, abs=1e-5)
    assert frame_holes[0][0] - carrier_holes[0][0] == pytest.approx(0.020, abs=1e-5)


def test_holes_that_run_into_each_other_are_named() -> None:
    """A step of 5 mm leaves 5 − (5.5 + 4.2) / 2 = 0.15 mm between two holes."""
    fixing = Fixing(kind=PLATED.kind, screw=PLATED.screw, plate=PLATED.plate, step=0.005)
    laid = laid_out(offset=0.20, fixing=fixing)

    assert laid.plate is not None
    assert any("leave 0.1 mm" in words or "leave 0.2 mm" in words for words in laid.plate.warnings)


@pytest.mark.parametrize("paper", list(Paper))
def test_pages_cover_the_whole_and_share_their_crosses(paper: Paper) -> None:
    """Windows laid side by side with their overlap reach over all that is drawn; neighbours share it."""
    canvas = template_canvas(laid_out(fixing=PLATED, offset=0.19))
    tiles = tiles_of(canvas, SHEETS[paper])
    width, height = SHEETS[paper][0] - LEFT - RIGHT, SHEETS[paper][1] - TOP - BOTTOM

    assert max(tile.left for tile in tiles) + width >= canvas.width - OVERLAP
    assert max(tile.top for tile in tiles) + height >= canvas.height - 1e-9
    for tile in tiles:
        assert tile.left == pytest.approx(tile.column * (width - OVERLAP))
        assert tile.top == pytest.approx(tile.row * (height - OVERLAP))
    text = [
        pypdfium2.PdfDocument(template_pdf([laid_out()], paper))[n].get_textpage().get_text_range()
        for n in (0, 1)
    ]
    letters = [set(re.findall(r"(?:^|\s)([A-Z])(?=\s|$)", words)) for words in text]
    assert {"A", "B"} <= letters[0] & letters[1]


def test_the_same_stack_gives_the_same_file_and_says_its_pages() -> None:
    laid = [laid_out(), laid_out(fixing=ON_BANDS)]
    pdf = template_pdf(laid)
    document = pypdfium2.PdfDocument(pdf)
    words = document[0].get_textpage().get_text_range()

    assert template_pdf(laid) == pdf
    assert f"Page 1 of {len(document)}" in words
    assert "This bar is 100 mm" in words
