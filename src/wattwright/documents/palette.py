"""Inks and papers: the tokens of the look, for screens by day and night, for print, and for web pages."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """What each kind of line, area and letter is drawn with; CSS colours."""

    paper: str
    """Ground of the page."""
    sheet: str
    """Drawing surface, fields."""
    ink: str
    """Text, lines, what is chosen."""
    soft: str
    """Secondary text, dimension lines."""
    line: str
    """Rules, hatching, the inner half of a spread."""
    hair: str
    """Land, table rules, the outer part of a spread."""
    steel: str
    """Tubes and carriers."""
    accent: str
    """What decides, what is open, what the hand can move."""
    heavy: float
    """Width of a line that decides; meaning never rests on colour alone. [drawing units]"""


LIGHT: Final = Palette(
    paper="#f6f3ea",
    sheet="#fffdf7",
    ink="#1c2b33",
    soft="#5d6d75",
    line="#b9c0bd",
    hair="#dcddd3",
    steel="#cfd6d6",
    accent="#c63f1f",  # a shade below the sketch's #c8401f, which has 4.497 to 1 on paper where 4.5 is asked
    heavy=2.5,
)
DARK: Final = Palette(
    paper="#0f1d29",
    sheet="#132635",
    ink="#e8eef0",
    soft="#9fb2bd",
    line="#3d5667",
    hair="#22394a",
    steel="#2c4354",
    accent="#ff8a5c",
    heavy=2.5,
)
PRINT: Final = Palette(
    paper="#ffffff",
    sheet="#ffffff",
    ink="#000000",
    soft="#3f3f3f",
    line="#9a9a9a",
    hair="#dedede",
    steel="#d0d0d0",
    accent="#000000",
    heavy=3.5,
)
IN_PAGE: Final = Palette(
    paper="var(--paper)",
    sheet="var(--sheet)",
    ink="var(--ink)",
    soft="var(--soft)",
    line="var(--line)",
    hair="var(--hair)",
    steel="var(--steel)",
    accent="var(--accent)",
    heavy=3.0,
)
"""For drawings inside a web page that switches between light, dark and print by itself."""


def tokens(palette: Palette) -> dict[str, str]:
    """The colours of a palette by name, for a style sheet."""
    names = ("paper", "sheet", "ink", "soft", "line", "hair", "steel", "accent")
    return {name: getattr(palette, name) for name in names}


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours written #rrggbb, 1 to 21.

    Notes:
        (L1 + 0.05) / (L2 + 0.05) with the lighter relative luminance first; text wants 4.5, large text
        and graphics 3. [1]_

    References:
        .. [1] W3C, Web Content Accessibility Guidelines 2.2 (2023), success criteria 1.4.3 and 1.4.11
           and the definitions of contrast ratio and relative luminance. (memory)

    Examples:
        >>> round(contrast("#ffffff", "#000000"), 1)
        21.0
    """
    lighter, darker = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = (int(colour[start : start + 2], 16) / 255.0 for start in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
