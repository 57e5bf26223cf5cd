"""The window as a picture."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import example_plan as example
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wattwright.documents.drawing import Drawing
from wattwright.documents.palette import DARK, LIGHT, PRINT
from wattwright.documents.window_drawing import window_drawing, window_picture
from wattwright.sizing.limits import Limit, Window, window

WORDS = st.text("abcdefghij äß≥אב", min_size=1, max_size=60)


@st.composite
def windows(draw: st.DrawFn) -> Window:
    """Up to nine floors and nine ceilings between 0 and 40, open or empty, ties included."""
    floors: list[Limit] = [
        replace(
            example.LAST_YEAR,
            subject=draw(WORDS),
            modules=draw(st.integers(1, 40)),
            reachable=draw(st.booleans()),
        )
        for _ in range(draw(st.integers(1, 9)))
    ]
    ceilings = [
        replace(example.DOWN_TUBE, subject=draw(WORDS), modules=draw(st.integers(0, 40)))
        for _ in range(draw(st.integers(1, 9)))
    ]
    return window([*floors, *ceilings])


def overlapping(picture: Drawing) -> list[tuple[str, str]]:
    boxes = [(mark.text, mark.box) for mark in picture.lettering if mark.text.strip()]
    return [
        (first, second)
        for index, (first, one) in enumerate(boxes)
        for second, other in boxes[index + 1 :]
        if one is not None and other is not None and one.meets(other, -0.5)
    ]


def outside(picture: Drawing) -> list[str]:
    return [
        mark.text
        for mark in picture.lettering
        if mark.box is not None
        and (mark.box.left < -0.5 or mark.box.right > picture.width + 0.5 or mark.box.top < -0.5
             or mark.box.bottom > picture.height + 0.5)
    ]  # fmt: skip


def upright_lines(picture: Drawing) -> list[tuple[float, float, float]]:
    pattern = r'<line x1="([-\d.]+)" y1="([-\d.]+)" x2="([-\d.]+)" y2="([-\d.]+)"'
    found = [
        tuple(map(float, hit.groups())) for mark in picture.marks if (hit := re.match(pattern, mark.svg))
    ]
    return [(x1, min(y1, y2), max(y1, y2)) for x1, y1, x2, y2 in found if x1 == x2]


@settings(max_examples=80, deadline=None)
@given(limits=windows(), width=st.sampled_from([360.0, 680.0, 960.0]))
def test_no_name_meets_another_or_leaves_the_drawing(limits: Window, width: float) -> None:
    chosen = limits.counts[0] if limits.is_open else None
    picture = window_picture(limits, chosen=chosen, width=width)

    assert overlapping(picture) == []
    assert outside(picture) == []


@settings(max_examples=60, deadline=None)
@given(limits=windows())
def test_no_leader_runs_through_a_name(limits: Window) -> None:
    picture = window_picture(limits, chosen=None, width=960.0)

    crossed = [
        mark.text
        for mark in picture.lettering
        for x, top, bottom in upright_lines(picture)
        if mark.box is not None
        and mark.text.strip()
        and mark.box.left < x < mark.box.right
        and top < mark.box.bottom - 3.5
        and bottom > mark.box.top + 3.5
    ]
    assert crossed == []


def test_every_limit_is_named_with_its_count() -> None:
    plan = example.plan()
    words = [mark.text for mark in window_picture(plan.window, chosen=5).lettering]

    for limit in plan.window.floors:
        assert limit.subject in words
        assert f"≥ {limit.modules}" in words
    for limit in plan.window.ceilings:
        assert limit.subject in words
        assert f"≤ {limit.modules}" in words


def test_only_the_two_that_decide_wear_the_accent() -> None:
    picture = window_picture(example.plan().window, chosen=5, palette=LIGHT)
    accented = {mark.text for mark in picture.lettering if LIGHT.accent in mark.svg}

    assert accented == {"last year of service", "≥ 5", "down tube", "≤ 6"}


def test_in_print_what_decides_is_heavier_because_colour_is_gone() -> None:
    svg = window_drawing(example.plan().window, chosen=5, palette=PRINT, width=680.0)

    assert f'stroke-width="{PRINT.heavy}"' in svg
    assert not re.search(r"#(?!([0-9a-f]{2})\1\1)[0-9a-f]{6}", svg)


def test_the_chosen_count_alone_is_inked() -> None:
    svg = window_drawing(example.plan().window, chosen=5, palette=LIGHT)

    assert svg.count(f'fill="{LIGHT.ink}" stroke="{LIGHT.ink}"') == 1


def test_an_empty_window_hatches_both_ways_and_says_how_many_are_missing() -> None:
    far_apart = window([replace(example.LAST_YEAR, modules=7), example.SHORT_TUBE])
    picture = window_picture(far_apart, chosen=None, shown=7)

    assert "3 modules too few" in [mark.text for mark in picture.lettering]
    assert "empty" in picture.title
    hatched = [
        tuple(map(float, re.findall(r"M(-?[\d.]+)", mark.svg)))
        for mark in picture.marks
        if "<path" in mark.svg
    ]
    assert len(hatched) == 2
    assert max(hatched[0]) > min(hatched[1])


def test_an_unreachable_floor_says_how_far_was_tried() -> None:
    beyond = window([replace(example.LAST_YEAR, modules=13, reachable=False), example.DOWN_TUBE])
    words = [mark.text for mark in window_picture(beyond, chosen=None, shown=6).lettering]

    assert "> 12" in words
    assert "no count tried is enough" in words


@pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT])
def test_hostile_names_give_well_formed_svg(palette: object) -> None:
    svg = window_drawing(example.hostile_plan().window, chosen=5, palette=palette)  # type: ignore[arg-type]
    said = "".join(ET.fromstring(svg).itertext())  # noqa: S314 - our own text

    assert "<script>alert('x')</script> & \"quotes\"" in said
    assert "עברית שלום 12 ק״מ" in said


def test_the_same_window_gives_the_same_drawing() -> None:
    assert window_drawing(example.many_limits(8, 9), chosen=8) == window_drawing(
        example.many_limits(8, 9), chosen=8
    )
