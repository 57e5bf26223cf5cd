"""Sections where a carrier is held: the gap that decides, true to scale."""

import math
import re

import pytest
from shapely import box

from frame_examples import ON_BANDS, ON_BOSSES, RULES, SHELF, frame_of, placed
from wattwright.documents.bicycle_drawing_stacks import placed_stack
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.clamp_section import clamp_drawings, clamp_pictures
from wattwright.documents.palette import LIGHT
from wattwright.frame.placement import Fixing, Placement
from wattwright.frame.room import room_of
from wattwright.parts.fixing import FixingKind

PLACE = r'x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)"'
ROOM = room_of(frame_of())
ON_PLATE = Fixing(
    kind=FixingKind.PLATE_ON_BANDS, band=SHELF.bands["hoop-small"], plate=SHELF.plates["shim-5"]
)


def view(placement: Placement) -> BicycleView:
    return BicycleView(room=ROOM, rules=RULES, placements=(placement,))


def outlines(svg: str, pen: str) -> list[list[tuple[float, float]]]:
    found = re.findall(rf'<polygon points="([^"]+)" {pen}', svg)
    pairs = [[pair.split(",") for pair in text.split()] for text in found]
    return [[(float(x), float(y)) for x, y in outline] for outline in pairs]


def test_the_gap_is_drawn_as_long_as_the_judge_finds_it() -> None:
    """Down tube of 31.8 mm: scale from its outline; the heavy line against the band's clearance."""
    shown = view(placed(fixing=ON_BANDS))
    held = placed_stack(shown, shown.placements[0]).held.points
    for point, svg in zip(held, clamp_drawings(shown), strict=True):
        (tube,) = outlines(svg, f'fill="{LIGHT.steel}"')
        scale = (max(x for x, _ in tube) - min(x for x, _ in tube)) / 0.0318
        ends = re.findall(
            rf'<line {PLACE} fill="none" stroke="{LIGHT.accent}"',
            svg,
        )
        x1, y1, x2, y2 = map(float, ends[-1])

        assert point.path is not None
        assert math.dist((x1, y1), (x2, y2)) / scale == pytest.approx(point.path.clearance, abs=3e-5)
        assert f"Gap from band to module {point.path.clearance * 1000:.1f} mm; 1.0 mm are asked for." in svg


def test_the_bands_path_is_drawn_as_long_as_it_is() -> None:
    shown = view(placed(fixing=ON_BANDS))
    point = placed_stack(shown, shown.placements[0]).held.points[0]
    svg = clamp_drawings(shown)[0]
    (tube,) = outlines(svg, f'fill="{LIGHT.steel}"')
    scale = (max(x for x, _ in tube) - min(x for x, _ in tube)) / 0.0318
    path = outlines(svg, f'fill="none" stroke="{LIGHT.accent}" stroke-width="1"')[0]
    around = sum(math.dist(a, b) for a, b in zip(path, path[1:] + path[:1], strict=True))

    assert point.path is not None
    assert around / scale == pytest.approx(point.path.length, rel=1e-3)


@pytest.mark.parametrize(
    ("fixing", "words"),
    [(ON_BOSSES, "in the boss"), (ON_BANDS, "takes 95 to 150 mm"), (ON_PLATE, "round the plate")],
)
@pytest.mark.parametrize("width", [330.0, 400.0, 600.0])
def test_each_place_has_a_section_that_can_be_read(fixing: Fixing, words: str, width: float) -> None:
    shown = view(placed(fixing=fixing))
    pictures = clamp_pictures(shown, width=width)

    assert len(pictures) == len(placed_stack(shown, shown.placements[0]).held.points) >= 2
    for picture in pictures:
        areas = [mark.box for mark in picture.lettering if mark.box]
        assert words in picture.description
        assert not any(a.meets(b, -1.0) for i, a in enumerate(areas) for b in areas[i + 1 :])
        paper = box(0, 0, picture.width, picture.height)
        assert all(paper.contains(box(a.left, a.top, a.right, a.bottom)) for a in areas if a.left > 0)
        assert all(a.left >= 0 for a in areas)
