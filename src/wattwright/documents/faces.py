"""The faces the typesetter sets documents in, and the date it writes where nobody names one."""

from datetime import UTC, datetime
from functools import cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import typst

NO_DATE: Final = datetime(1970, 1, 1, tzinfo=UTC)
"""Stands in the file of a document whose date is not a calendar date: the clock is never asked."""


@cache
def typesetter_faces() -> "typst.Fonts":
    """The faces of the package, and the typesetter's own for what they lack; none of the machine's."""
    import typst  # noqa: PLC0415 (start-up)

    with as_file(files("wattwright.data") / "fonts") as folder:
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder])
