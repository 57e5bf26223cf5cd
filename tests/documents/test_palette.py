"""Inks on their papers can be read."""

from itertools import product

import pytest

from wattwright.documents.palette import DARK, LIGHT, PRINT, Palette, contrast


@pytest.mark.parametrize(
    ("palette", "ink", "ground"),
    list(product((LIGHT, DARK, PRINT), ("ink", "soft", "accent"), ("paper", "sheet"))),
)
def test_every_ink_for_words_reaches_the_contrast_of_text(palette: Palette, ink: str, ground: str) -> None:
    """WCAG 2.2 (W3C 2023), success criterion 1.4.3, level AA: 4.5 to 1 for text (memory)."""
    assert contrast(getattr(palette, ink), getattr(palette, ground)) >= 4.5


def test_contrast_of_a_published_pair() -> None:
    """#767676 on white is the lightest grey that passes: 4.54 to 1, as the WCAG texts have it (memory)."""
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


def test_print_is_black_on_white_and_marks_what_decides_by_weight() -> None:
    assert PRINT.paper == "#ffffff"
    assert PRINT.accent == PRINT.ink == "#000000"
    assert PRINT.heavy > LIGHT.heavy
