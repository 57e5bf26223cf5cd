"""The bicycle in side view: true to scale, readable, and saying why at the place."""

import math
import re
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from shapely import Polygon, box

from frame_examples import BAG, BOTTLE_BOSSES, ON_BANDS, ON_BOSSES, REFERENCE, RULES, SHELF, frame_of, placed
from wattwright.documents.bicycle_drawing import bicycle_drawing, bicycle_picture
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.drawing import Drawing, Mark
from wattwright.documents.frame_pages import frame_pages
from wattwright.documents.palette import DARK, LIGHT, PRINT
from wattwright.frame.build import Deck
from wattwright.frame.findings import placement_findings
from wattwright.frame.geometry import GeometryTable
from wattwright.frame.placement import Fixing, Placement, Reason
from wattwright.frame.room import room_of
from wattwright.frame.survey import ClearanceKind, FrameKind, Obstacle
from wattwright.parts.fixing import FixingKind, Material

DECK = Deck(length=0.40, width=0.12, thickness=0.014, gap=0.02, material=Material.ALUMINIUM)
PUMP = Obstacle(
    name="pump", kind=ClearanceKind.PUMP, outline=((-0.09, 0.30), (-0.06, 0.18)), radius=0.014,
    low=-0.014, high=0.014,
)  # fmt: skip
KINDS: dict[str, tuple[GeometryTable, dict[str, Any], str]] = {
    "diamond": (REFERENCE, {}, "above down tube"),
    "step-through": (
        replace(REFERENCE, kind=FrameKind.STEP_THROUGH, top_tube_on_seat=0.2, top_tube_below_head=0.10),
        {}, "behind seat tube",
    ),
    "mixte": (
        replace(REFERENCE, kind=FrameKind.MIXTE), {"mudguard_gap": 0.012, "rack": DECK},
        "above rear rack",
    ),
    "longtail": (
        replace(REFERENCE, kind=FrameKind.LONGTAIL, chain_stay=0.85, rear_radius=0.30),
        {"rack": replace(DECK, length=0.75)}, "above rear rack",
    ),
    "cargo": (
        replace(REFERENCE, kind=FrameKind.CARGO, front_radius=0.254), {"platform": DECK},
        "above front platform",
    ),
    "folding": (
        replace(
            REFERENCE, kind=FrameKind.FOLDING, rear_radius=0.203, front_radius=0.203,
            bottom_bracket_drop=-0.07, stack=0.52, chain_stay=0.40, seat_tube=0.4, top_tube_on_seat=0.3,
        ),
        {}, "above main beam",
    ),
    "tandem": (replace(REFERENCE, kind=FrameKind.TANDEM, stoker_distance=0.71), {}, "above keel tube"),
    "small-wheels": (
        replace(
            REFERENCE, kind=FrameKind.SMALL_WHEELS, rear_radius=0.254, front_radius=0.254,
            bottom_bracket_drop=-0.03,
        ),
        {}, "above down tube",
    ),
}  # fmt: skip


def view(kind: str, **changed: Any) -> BicycleView:  # noqa: ANN401
    """A bicycle of a kind with four modules, two dashed ones elsewhere, and a pump where there is room."""
    table, equipment, face = KINDS[kind]
    bosses = () if kind == "folding" else BOTTLE_BOSSES
    room = room_of(frame_of(table, bosses=bosses, obstacles=(PUMP,), **equipment))
    fixing = ON_BOSSES if face == "above down tube" else ON_BANDS
    stack = placed(face=face, offset=0.2 if fixing is ON_BOSSES else 0.14, fixing=fixing)
    ghost = replace(stack, face=next(reversed(room.faces)), offset=0.03, modules=2)
    return BicycleView(
        **{"room": room, "rules": RULES, "placements": (stack,), "ghosts": (ghost,), **changed}
    )


def area(mark: Mark) -> Polygon:
    """The ground a piece of lettering takes, turned or not."""
    assert mark.box is not None
    upright = box(mark.box.left, mark.box.top, mark.box.right, mark.box.bottom)
    return Polygon(mark.corners) if mark.corners else upright


def check_lettering(picture: Drawing) -> None:
    """No lettering meets another or leaves the drawing."""
    areas = [(mark.text, area(mark)) for mark in picture.lettering]
    met = [(one, other) for (one, a), (other, b) in combinations(areas, 2) if a.intersection(b).area > 4.0]
    paper = box(0, 0, picture.width, picture.height)

    assert met == []
    assert [text for text, ground in areas if not paper.contains(ground)] == []
    assert len(areas) > 5


def circles(svg: str) -> list[tuple[float, float, float]]:
    found = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', svg)
    return [(float(x), float(y), float(r)) for x, y, r in found]


@pytest.mark.parametrize("width", [760.0, 960.0, 1400.0])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_frame_is_drawn_and_can_be_read(kind: str, width: float) -> None:
    check_lettering(bicycle_picture(view(kind), width=width))


@pytest.mark.parametrize("kind", KINDS)
def test_wheels_stand_as_far_apart_as_they_do(kind: str) -> None:
    """Wheelbase over wheel radius on paper is that of the survey: one scale, both ways."""
    shown = view(kind)
    rear, front = shown.room.frame.wheels
    drawn = circles(bicycle_drawing(shown))
    scale = max(r for _, _, r in drawn) / max(rear.radius, front.radius)
    hubs = [
        next((x, y) for x, y, r in drawn if abs(r - wheel.radius * scale) < 0.02 and sign * x < sign * middle)
        for wheel, sign, middle in ((rear, 1, 480.0), (front, -1, 480.0))
    ]

    assert (hubs[1][0] - hubs[0][0]) / scale == pytest.approx(front.centre[0] - rear.centre[0], abs=2e-4)
    assert (hubs[0][1] - hubs[1][1]) / scale == pytest.approx(front.centre[1] - rear.centre[1], abs=2e-4)


def test_tubes_have_their_true_width_and_bosses_their_distance() -> None:
    """A down tube of 31.8 mm with bosses 64 mm apart, against wheels of 348 mm radius."""
    shown = view("diamond")
    svg = bicycle_drawing(shown)
    scale = max(r for _, _, r in circles(svg)) / 0.348
    outlines = re.findall(r'<polygon points="([^"]+)" fill="' + LIGHT.steel, svg)
    corners = [[tuple(map(float, pair.split(","))) for pair in text.split()] for text in outlines]
    widths = {round(math.dist(one[0], one[3]) / scale * 1000, 1) for one in corners if len(one) == 4}
    rings = [(x, y) for x, y, r in circles(svg) if r == 3.2]

    assert any(width == pytest.approx(31.8, abs=0.1) for width in widths)
    assert math.dist(*rings) / scale == pytest.approx(0.064, abs=1e-4)


def test_dimension_lines_are_as_long_as_they_say() -> None:
    """Where "carrier 232 mm" stands, the line between its arrows, over the scale, is 232 mm."""
    shown = view("diamond")
    picture = bicycle_picture(shown)
    svg = "\n".join(mark.svg for mark in picture.marks)
    scale = max(r for _, _, r in circles(svg)) / 0.348
    at = next(i for i, mark in enumerate(picture.marks) if mark.text == "carrier 232\u00a0mm")
    ends = re.match(
        r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)"', picture.marks[at - 3].svg
    )

    assert ends is not None
    x1, y1, x2, y2 = map(float, ends.groups())
    assert math.dist((x1, y1), (x2, y2)) / scale == pytest.approx(0.232, abs=1e-4)


def test_modules_are_numbered_from_the_dock() -> None:
    numbers = [mark.text for mark in bicycle_picture(view("diamond")).lettering if mark.text.isdigit()]

    assert numbers == ["1", "2", "3", "4"]


def test_a_refused_place_says_why_at_the_place() -> None:
    """Four modules behind the seat tube meet the rear wheel: the judge's sentence stands there."""
    refused = placed(face="behind seat tube", offset=0.12, fixing=ON_BANDS)
    shown = view("diamond", refused=(refused,), ghosts=())
    found = placement_findings(shown.room, refused, RULES)
    of_room = [one for one in found if one.reason in {Reason.OVERLAP, Reason.RELEASE, Reason.OFF_THE_FACE}]
    worst = max(of_room, key=lambda one: one.short_by)
    picture = bicycle_picture(shown)
    accented = " ".join(mark.text for mark in picture.lettering if LIGHT.accent in mark.svg)

    assert worst.because in accented
    assert worst.because in picture.description
    check_lettering(picture)


def test_what_cannot_be_beside_the_chosen_stack_names_it() -> None:
    """Alone it fits below the top tube; beside the stack on the down tube it does not."""
    refused = placed(face="below top tube", offset=0.1, fixing=ON_BANDS)
    shown = view("diamond", refused=(refused,), ghosts=())

    assert placement_findings(shown.room, refused, RULES) == ()
    assert "Sill rail for a tube, four modules" in bicycle_picture(shown).description.split("refused: ")[1]


def test_ghosts_are_dashed_and_chosen_ones_inked() -> None:
    with_ghost, without = bicycle_drawing(view("diamond")), bicycle_drawing(view("diamond", ghosts=()))
    ghost_pen = f'stroke="{LIGHT.soft}" stroke-width="1.25" stroke-dasharray="4 3"'

    assert with_ghost.count(ghost_pen) == without.count(ghost_pen) + 5  # foot, dock, two modules, end piece
    assert without.count(f'fill="{LIGHT.ink}" stroke="{LIGHT.ink}"') == 4


def test_the_same_bicycle_gives_the_same_text_with_title_and_description() -> None:
    first, second = bicycle_drawing(view("mixte")), bicycle_drawing(view("mixte"))

    assert first == second
    assert first.startswith("<svg")
    assert 'role="img"' in first
    assert "<title>example, side view to scale</title><desc>4 modules above rear rack" in first
    assert min(float(size) for size in re.findall(r'font-size="([\d.]+)"', first)) >= 13.0


def test_dark_and_print_use_their_own_inks_only() -> None:
    dark, printed = (bicycle_drawing(view("diamond"), palette=palette) for palette in (DARK, PRINT))

    assert not {LIGHT.ink, LIGHT.steel, LIGHT.accent, LIGHT.sheet} & set(re.findall(r"#[0-9a-f]{6}", dark))
    assert set(re.findall(r"#[0-9a-f]{6}", printed)) <= {
        PRINT.ink, PRINT.soft, PRINT.line, PRINT.hair, PRINT.steel, PRINT.sheet,
    }  # fmt: skip


@pytest.mark.parametrize(
    "stack",
    [
        placed(face="above top tube", carrier=BAG, offset=0.02,
               fixing=Fixing(kind=FixingKind.STRAPS, strap=next(iter(SHELF.straps.values())))),
        placed(modules=0),
        placed(modules=3, offset=0.18, dock_first=False, fixing=Fixing(
            kind=FixingKind.PLATE_ON_BOSSES, screw=SHELF.screws["m5x16-a2"], plate=SHELF.plates["shim-5"],
            step=-0.02,
        )),
    ],
    ids=["bag", "bare carrier", "plate"],
)  # fmt: skip
def test_bags_bare_carriers_and_plates_are_drawn(stack: Placement) -> None:
    picture = bicycle_picture(view("diamond", placements=(stack,), ghosts=()))

    check_lettering(picture)
    assert sum(mark.text.isdigit() for mark in picture.lettering) in {0, stack.modules}


def test_a_sheet_gets_the_side_view_and_each_section() -> None:
    pages = frame_pages(view("diamond"), palette=PRINT, width=680.0, half=330.0)

    assert [page.title for page in pages] == [
        "Side view",
        "Boss at 280 mm above down tube",
        "Boss at 344 mm above down tube",
    ]
    assert all(page.svg.startswith("<svg") and page.says for page in pages)
