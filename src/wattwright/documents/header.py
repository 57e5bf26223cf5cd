"""What stands in the title block of a sheet."""

from dataclasses import dataclass
from enum import Enum

from wattwright.documents.figures import Units


class Paper(Enum):
    """Paper a sheet is printed on."""

    A4 = "a4"
    LETTER = "us-letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetHeader:
    """Title block of a job sheet; free text except where an enum stands."""

    workshop: str
    title: str
    """Of the job: "Steel mixte, hill round"."""
    number: str
    """Of the job, as the workshop counts."""
    customer: str
    date: str
    """ISO 8601, of the sheet; the only date a sheet knows."""
    revision: str
    units: Units = Units.METRIC
    paper: Paper = Paper.A4
