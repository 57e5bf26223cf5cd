"""The pictures of a bicycle for a sheet: side view, then each section where a stack is held."""

from wattwright.documents.bicycle_drawing import bicycle_picture
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.clamp_section import clamp_pictures
from wattwright.documents.drawing import Drawing, render
from wattwright.documents.palette import Palette
from wattwright.documents.sheet import Picture


def frame_pages(view: BicycleView, *, palette: Palette, width: float, half: float) -> tuple[Picture, ...]:
    """Pictures for the sheet, the side view first.

    Args:
        view: The bicycle with its stacks.
        palette: Inks of the sheet.
        width: Of the side view. [px]
        half: Of a section, two of them abreast. [px]
    """
    side = bicycle_picture(view, palette=palette, width=width)
    sections = clamp_pictures(view, palette=palette, width=half)
    return (
        _picture(side, "Side view"),
        *(_picture(section, section.title.removeprefix("Section: ")) for section in sections),
    )


def _picture(drawing: Drawing, title: str) -> Picture:
    return Picture(svg=render(drawing), says=f"{drawing.title}. {drawing.description}", title=title)
