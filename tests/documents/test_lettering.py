"""Widths of lettering against the faces themselves."""

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from wattwright.documents.lettering import Face, printable, text_width, wrapped

CUTS = {
    Face.TEXT: "next-regular",
    Face.TEXT_BOLD: "next-bold",
    Face.FIGURES: "mono-regular",
    Face.FIGURES_BOLD: "mono-bold",
}


@pytest.mark.parametrize("face", Face)
@pytest.mark.parametrize(
    "text", ["last year of service ≥ 5", "controller current", "0123456789 − Wh", "Žižkov, Øre"]
)
def test_widths_are_those_of_the_face(face: Face, text: str) -> None:
    """Pillow lays out the same font file; kerning, which we leave out, is switched off there."""
    data = files("wattwright.data") / "fonts" / f"atkinson-hyperlegible-{CUTS[face]}.ttf"
    with data.open("rb") as stream:
        font = ImageFont.truetype(stream, size=1000, layout_engine=ImageFont.Layout.BASIC)
    apart = sum(font.getlength(character) for character in text)

    assert text_width(text, 1000.0, face) == pytest.approx(apart, rel=0.002)


@given(text=st.text(max_size=80), widest=st.floats(40.0, 300.0))
def test_lines_are_never_wider_than_asked_and_lose_no_letter(text: str, widest: float) -> None:
    shown = printable(text)
    lines = wrapped(shown, widest, 13.0)

    assert all(text_width(line, 13.0) <= widest for line in lines)
    assert "".join(lines).replace(" ", "") == shown.replace(" ", "")


@given(text=st.text(max_size=80))
def test_what_is_printable_survives_xml(text: str) -> None:
    """XML 1.0 (W3C, fifth edition), production 2: no control characters but tab and line ends (memory)."""
    kept = printable(text)

    assert all(ord(character) >= 0x20 for character in kept)
    assert not any(0xD800 <= ord(character) <= 0xDFFF or character in "\ufffe\uffff" for character in kept)
