"""The job sheet in print: one plan as a PDF."""

import json
from dataclasses import asdict
from datetime import UTC, date, datetime, time
from importlib.resources import files
from typing import Final

from wattwright.documents.faces import NO_DATE, typesetter_faces
from wattwright.documents.header import Paper, SheetHeader
from wattwright.documents.job_page import job_sheet_html
from wattwright.documents.lettering import printable
from wattwright.documents.palette import PRINT
from wattwright.documents.sheet_content import sheet_content
from wattwright.sizing.plan import Plan

__all__ = ["Paper", "SheetHeader", "job_sheet_html", "job_sheet_pdf"]

PRINT_WIDTH: Final = 680.0
"""180 mm at 96 px to the inch: what A4 leaves between its margins."""
PRINT_TALL: Final = {Paper.A4: 36.0, Paper.LETTER: 32.0}
"""Height of a panel: two profiles to a page."""
PRINT_HALF: Final = 330.0
"""Two drawings abreast."""
PRINT_SMALL: Final = 218.0
"""Three drawings abreast."""
LONGEST_WORD: Final = 18
PIECE: Final = 6
"""Words longer than the first may be broken after every so many characters as the second says."""
BREAK: Final = "\u200b"


def job_sheet_pdf(plan: Plan, header: SheetHeader) -> bytes:
    """The job sheet as PDF.

    Args:
        plan: The answer, open window or empty.
        header: Title block; its units, paper and date are the sheet's.

    Returns:
        A PDF file. The same plan and header give the same bytes.
    """
    import typst  # noqa: PLC0415 - the typesetter is only needed here, and the command line starts without it

    content = sheet_content(
        plan,
        header,
        palette=PRINT,
        width=PRINT_WIDTH,
        tall=PRINT_TALL[header.paper],
        half=PRINT_HALF,
        small=PRINT_SMALL,
    )
    template = files("wattwright.documents") / "templates" / "job-sheet.typ"
    inputs = {"sheet": json.dumps(_settable(asdict(content))), "paper": header.paper.value}
    pdf: bytes = typst.compile(
        template.read_bytes(), font_paths=typesetter_faces(), sys_inputs=inputs, timestamp=_timestamp(header)
    )
    return pdf


def _timestamp(header: SheetHeader) -> datetime:
    try:
        return datetime.combine(date.fromisoformat(header.date), time(), UTC)
    except ValueError:
        return NO_DATE


def _settable(value: object) -> object:
    """The same tree, its words free of what cannot be printed and long ones with places to break."""
    if isinstance(value, dict):
        return {key: entry if key == "svg" else _settable(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [_settable(entry) for entry in value]
    return (
        " ".join(_broken(word) for word in printable(value).split(" ")) if isinstance(value, str) else value
    )


def _broken(word: str) -> str:
    if len(word) <= LONGEST_WORD:
        return word
    return BREAK.join(word[start : start + PIECE] for start in range(0, len(word), PIECE))
