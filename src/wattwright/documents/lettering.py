"""How wide lettering is, and where it breaks: read from a table of the faces' advance widths."""

import json
from enum import Enum
from functools import cache, lru_cache
from importlib.resources import files
from typing import Final
from unicodedata import category, combining, east_asian_width

TEXT_FACE: Final = "Atkinson Hyperlegible Next"
FIGURE_FACE: Final = "Atkinson Hyperlegible Mono"
SMALLEST: Final = 13.0
"""No lettering in a drawing is smaller. [px]"""
ASCENT: Final = 0.79
"""Highest ordinary letter above the base line, over the type size; rounded up from the faces."""
DESCENT: Final = 0.24
"""Lowest ordinary letter below the base line, over the type size."""


class Face(Enum):
    """Which face a piece of lettering is set in; the value names its column in the table of widths."""

    TEXT = "text"
    TEXT_BOLD = "text bold"
    FIGURES = "figures"
    FIGURES_BOLD = "figures bold"

    @property
    def is_bold(self) -> bool:
        """Whether the heavier cut."""
        return self in (Face.TEXT_BOLD, Face.FIGURES_BOLD)

    @property
    def family(self) -> str:
        """Family name, as fonts are asked for."""
        return TEXT_FACE if self in (Face.TEXT, Face.TEXT_BOLD) else FIGURE_FACE


@cache
def _widths() -> dict[str, dict[str, int]]:
    table = files("wattwright.data") / "fonts" / "advance-widths.json"
    widths: dict[str, dict[str, int]] = json.loads(table.read_text(encoding="utf-8"))
    return widths


@lru_cache(maxsize=8192)
def text_width(text: str, size: float, face: Face = Face.TEXT) -> float:
    """Width of one line of lettering, without kerning, in the unit of ``size``.

    Characters the faces lack count as a full square where they are wide (ideographs, pictures), else
    as 0.65 of one.

    >>> text_width("0000", 10.0, Face.FIGURES) == 4 * text_width("1", 10.0, Face.FIGURES)
    True
    """
    widths = _widths()[face.value]
    return sum(widths.get(character) or _guessed(character) for character in text) * size / 1000.0


def _guessed(character: str) -> int:
    if combining(character) or category(character) in ("Cf", "Mn", "Me"):
        return 0
    return 1300 if east_asian_width(character) in "WF" or ord(character) > 0x1F000 else 650


@lru_cache(maxsize=2048)
def wrapped(text: str, widest: float, size: float, face: Face = Face.TEXT) -> tuple[str, ...]:
    """Text broken into lines no wider than ``widest``: between words, inside a word only if it must be.

    >>> wrapped("the last year of service", 80.0, 13.0)
    ('the last year', 'of service')
    """
    lines: list[str] = []
    for word in filter(None, text.split(" ")):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, face) <= widest:
            lines[-1] = joined
        else:
            lines.extend(_pieces(word, widest, size, face))
    return tuple(lines) or ("",)


def _pieces(word: str, widest: float, size: float, face: Face) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and text_width(pieces[-1] + character, size, face) > widest:
            pieces.append("")
        pieces[-1] += character
    return pieces


def printable(text: str) -> str:
    r"""Text without what no document can print: control characters and halves of surrogate pairs.

    >>> printable("bell\x07 and\ttab")
    'bell and tab'
    """
    return "".join(_printable(character) for character in text)


def _printable(character: str) -> str:
    if character in "\t\n\r\v\f":
        return " "
    return "" if category(character) in ("Cc", "Cs") or character in "\ufffe\uffff" else character
