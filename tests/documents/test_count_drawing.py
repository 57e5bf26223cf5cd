"""Limits count by count."""

from dataclasses import replace

import example_plan as example
import pytest

from wattwright.documents.count_drawing import can_be_drawn, count_drawing, count_picture
from wattwright.documents.figures import Units
from wattwright.documents.palette import LIGHT

DRAWN = [limit for limit in example.LIMITS if can_be_drawn(limit)]


@pytest.mark.parametrize("limit", DRAWN, ids=lambda limit: limit.subject)
def test_counts_that_will_do_are_filled(limit: example.Limit) -> None:
    svg = count_drawing(limit, chosen=None, palette=LIGHT)
    will_do = sum(
        count >= limit.modules if limit.side is example.Side.FLOOR else count <= limit.modules
        for count, _ in limit.at_count
    )

    assert svg.count("<circle") == len(limit.at_count)
    assert svg.count(f'r="4" fill="{LIGHT.ink}"') == will_do


def test_value_and_bound_are_written_for_the_chosen_count() -> None:
    picture = count_picture(example.LAST_YEAR, chosen=5)

    assert "17\u00a0% at 5, held against 15\u00a0%" in [mark.text for mark in picture.lettering]
    assert picture.description.startswith("1: \u221262\u00a0%; 2: ")


def test_imperial_values_are_drawn_in_their_own_scale() -> None:
    words = {mark.text for mark in count_picture(example.DOWN_TUBE, chosen=5, units=Units.IMPERIAL).lettering}

    assert "length needed, in" in words
    assert "14.4\u00a0in at 5, held against 16.4\u00a0in" in words


def test_words_do_not_meet_even_with_sixteen_counts_and_a_long_name() -> None:
    many = replace(
        example.LAST_YEAR,
        subject="the long way home over the pass in the last winter of service",
        at_count=example.by_count("s", "charge left", "%", 0, *range(-60, 100, 10)),
    )
    picture = count_picture(many, chosen=9, width=216.0)
    boxes = [mark.box for mark in picture.lettering if mark.box and mark.text]

    assert not any(a.meets(b, -2.0) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
    assert all(box.left >= 0 and box.right <= picture.width for box in boxes)


def test_a_limit_without_counts_or_bound_is_not_drawn() -> None:
    assert not can_be_drawn(replace(example.LAST_YEAR, bound=None))
    assert not can_be_drawn(replace(example.LAST_YEAR, at_count=()))
