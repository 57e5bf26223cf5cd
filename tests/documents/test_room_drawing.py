"""A stack in its place, to scale."""

import re
from dataclasses import replace

import example_plan as example
import pytest

from wattwright.documents.figures import Units
from wattwright.documents.palette import LIGHT, PRINT
from wattwright.documents.room_drawing import Stack, room_drawing, room_picture

PLACE = example.brief().places[0]


def stack(modules: int, room: int = 6, free_length: float = 0.416) -> Stack:
    place = replace(PLACE, free_length=free_length)
    return Stack(place=place, battery_module=example.MODULE, room=room, modules=modules)


def test_lengths_are_to_one_scale() -> None:
    """A stack of 303 mm in 416 mm: the two dimension lines stand to each other as the lengths do."""
    picture = room_picture(stack(5), width=400.0)
    level = [
        (float(hit[3]) - float(hit[1]), float(hit[2]))
        for mark in picture.marks
        if (hit := re.match(r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="\2"', mark.svg))
    ]
    stacked, travel, free = (width for width, _ in level)

    assert stacked / free == pytest.approx(303 / 416, rel=0.001)
    assert travel / free == pytest.approx(64 / 416, rel=0.002)


@pytest.mark.parametrize("free_length", [0.195, 0.3, 0.4, 0.9])
@pytest.mark.parametrize("modules", [1, 5, 6, 8])
@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("width", [330.0, 440.0])
def test_words_stay_clear_of_each_other_and_inside(
    modules: int, units: Units, width: float, free_length: float
) -> None:
    picture = room_picture(stack(modules, free_length=free_length), units=units, width=width)
    boxes = [mark.box for mark in picture.lettering if mark.box]

    assert not any(a.meets(b, -1.0) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
    assert all(box.left >= 0 and box.right <= width and box.bottom <= picture.height for box in boxes)


def test_what_would_also_fit_is_dashed_and_what_does_not_is_framed() -> None:
    fitting = room_drawing(stack(5), palette=LIGHT)
    crowded = room_drawing(stack(8), palette=LIGHT)

    assert fitting.count("stroke-dasharray") == 1
    assert LIGHT.accent not in fitting
    assert crowded.count(f'fill="{LIGHT.sheet}" stroke="{LIGHT.accent}"') == 2


def test_the_description_says_what_is_to_spare_or_missing() -> None:
    assert "49\u00a0mm to spare" in room_picture(stack(5)).description
    assert "86\u00a0mm too short" in room_picture(stack(8)).description
    assert "1.9\u00a0in to spare" in room_picture(stack(5), units=Units.IMPERIAL).description


def test_a_long_place_is_drawn_no_taller_than_its_share() -> None:
    short = room_picture(stack(1, room=1, free_length=0.2), palette=PRINT)

    assert short.height < 260.0
