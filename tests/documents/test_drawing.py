"""The renderer of drawings."""

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.documents.drawing import (
    Box,
    Drawing,
    Mark,
    Pen,
    dimension,
    hatching,
    lettering,
    line,
    number,
    render,
)
from wattwright.errors import InputError

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*marks: Mark, title: str = "t", description: str = "d") -> ET.Element:
    picture = Drawing(title=title, description=description, width=100.0, height=50.0, marks=marks)
    return ET.fromstring(render(picture))  # noqa: S314 - our own text


@given(words=st.text(max_size=40))
def test_any_words_give_well_formed_svg_that_says_them(words: str) -> None:
    root = drawn(lettering(words, (0.0, 20.0), "#000000"), title=words, description=words)

    said = root.find(f"{SVG}text")
    assert said is not None
    assert (said.text or "") == lettering(words, (0.0, 0.0), "#000000").text


def test_a_drawing_tells_what_it_is_to_those_who_cannot_see_it() -> None:
    root = drawn(title="a & b", description="<c>")

    assert root.get("role") == "img"
    assert [child.tag for child in root] == [f"{SVG}title", f"{SVG}desc"]
    assert [child.text for child in root] == ["a & b", "<c>"]


@given(
    left=st.floats(-200, 200), top=st.floats(-200, 200), width=st.floats(1, 300), height=st.floats(1, 300),
    right=st.booleans(),
)  # fmt: skip
def test_hatching_stays_inside_its_box(
    left: float, top: float, width: float, height: float, *, right: bool
) -> None:
    box = Box(left=left, top=top, right=left + width, bottom=top + height)
    path = hatching(box, Pen(stroke="#000000"), leans_right=right).svg
    corners = [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)]

    assert all(left - 0.01 <= x <= left + width + 0.01 for x, _ in corners)
    assert all(top - 0.01 <= y <= top + height + 0.01 for _, y in corners)


def test_hatching_leans_the_way_it_is_told() -> None:
    box = Box(left=0.0, top=0.0, right=80.0, bottom=80.0)

    def rises(*, leans_right: bool) -> set[bool]:
        path = hatching(box, Pen(stroke="#000000"), leans_right=leans_right).svg
        ends = re.findall(r"M(-?[\d.]+) (-?[\d.]+)L(-?[\d.]+) (-?[\d.]+)", path)
        return {float(y2) < float(y1) for _, y1, _, y2 in ends}

    assert rises(leans_right=True) == {True}
    assert rises(leans_right=False) == {False}


def test_a_dimension_line_carries_its_text_above_its_middle() -> None:
    marks = dimension((10.0, 40.0), (90.0, 40.0), "332", Pen(stroke="#000000"), drop=20.0)
    words = next(mark for mark in marks if mark.box)

    assert words.text == "332"
    assert words.box is not None
    assert (words.box.left + words.box.right) / 2 == pytest.approx(50.0)
    assert words.box.bottom <= 40.0


def test_a_dimension_too_short_for_its_text_has_it_beside() -> None:
    pen = Pen(stroke="#000000")
    right = dimension((10.0, 40.0), (20.0, 40.0), "332 mm", pen)[-1].box
    left = dimension((90.0, 40.0), (100.0, 40.0), "332 mm", pen, rightmost=110.0)[-1].box

    assert right is not None
    assert left is not None
    assert right.left > 20.0
    assert left.right < 90.0


def test_lettering_too_small_to_read_is_refused() -> None:
    with pytest.raises(InputError, match="13 px or more"):
        lettering("small", (0.0, 0.0), "#000000", size=9.0)


def test_a_place_that_is_not_finite_is_refused() -> None:
    with pytest.raises(InputError, match="finite"):
        line((0.0, float("nan")), (1.0, 1.0), Pen(stroke="#000000"))


def test_numbers_are_short() -> None:
    assert [number(value) for value in (1.0, 0.126, -0.001, 1234.5)] == ["1", "0.13", "0", "1234.5"]
