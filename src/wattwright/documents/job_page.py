"""The job sheet on a screen: one plan as a self-contained web page."""

from base64 import b64encode
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from wattwright.documents.drawing import render
from wattwright.documents.header import SheetHeader
from wattwright.documents.lettering import FIGURE_FACE, TEXT_FACE, printable
from wattwright.documents.palette import DARK, IN_PAGE, LIGHT, PRINT, Palette, tokens
from wattwright.documents.sheet import Sheet
from wattwright.documents.sheet_content import sheet_content
from wattwright.documents.window_drawing import window_picture
from wattwright.sizing.plan import Plan

if TYPE_CHECKING:
    from jinja2 import Environment

PAGE_WIDTH: Final = 960.0
NARROW_WIDTH: Final = 360.0
"""Of the window on a screen too narrow for the wide one."""
PAGE_TALL: Final = 70.0
PAGE_HALF: Final = 440.0
PAGE_SMALL: Final = 290.0
FACES: Final = (
    (TEXT_FACE, 400, "atkinson-hyperlegible-next-regular"),
    (TEXT_FACE, 700, "atkinson-hyperlegible-next-bold"),
    (FIGURE_FACE, 400, "atkinson-hyperlegible-mono-regular"),
    (FIGURE_FACE, 700, "atkinson-hyperlegible-mono-bold"),
)


def job_sheet_html(plan: Plan, header: SheetHeader) -> str:
    """The job sheet as one HTML file: no script, no request to anywhere, fonts and drawings inside.

    Args:
        plan: The answer, open window or empty.
        header: Title block; its units are the sheet's.

    Returns:
        A whole document. The same plan and header give the same text.
    """
    sheet = sheet_content(
        plan, header, palette=IN_PAGE, width=PAGE_WIDTH, tall=PAGE_TALL, half=PAGE_HALF, small=PAGE_SMALL
    )
    narrow = window_picture(
        plan.window, chosen=plan.chosen, shown=plan.shown, palette=IN_PAGE, width=NARROW_WIDTH
    )
    template = _environment().get_template("job-sheet.html")
    return template.render(
        sheet=sheet, narrow={"svg": render(narrow)}, sections=_sections(sheet), style=_style()
    )


def _sections(sheet: Sheet) -> tuple[tuple[str, str, bool], ...]:
    """Where one can jump to: anchor, words, and whether the sheet has it."""
    return (
        ("rides", "Rides", True),
        ("limits", "Limits", True),
        ("places", "Places", bool(sheet.rooms)),
        ("parts", "Parts", True),
        ("settings", "Settings", bool(sheet.settings)),
        ("alternatives", "Alternatives", bool(sheet.alternatives)),
        ("asked", "Worked out for", True),
        ("cautions", "Cautions", bool(sheet.cautions)),
        ("notes", "Notes", bool(sheet.notes)),
        ("workings", "Workings", bool(sheet.workings)),
    )


@cache
def _environment() -> "Environment":
    from jinja2 import Environment, PackageLoader, StrictUndefined  # noqa: PLC0415 - only where a page is made

    return Environment(
        loader=PackageLoader("wattwright.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )


@cache
def _style() -> str:
    """Faces, then the style sheet with the inks of day, night and print."""
    template = _environment().get_template("job-sheet.css")
    inks = {
        name: _declared(palette) for name, palette in (("light", LIGHT), ("dark", DARK), ("print", PRINT))
    }
    return "\n".join(_face(*face) for face in FACES) + "\n" + template.render(inks)


def _declared(palette: Palette) -> str:
    return " ".join(f"--{name}: {colour};" for name, colour in tokens(palette).items())


def _face(family: str, weight: int, name: str) -> str:
    data = (files("wattwright.data") / "fonts" / f"{name}.woff2").read_bytes()
    source = f'url("data:font/woff2;base64,{b64encode(data).decode("ascii")}") format("woff2")'
    return f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: {source}; }}'
