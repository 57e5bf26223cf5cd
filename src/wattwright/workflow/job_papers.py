"""What leaves the workshop of a plan: job sheet and drawing, written whole or not at all."""

from pathlib import Path
from typing import TYPE_CHECKING

from wattwright.documents.figures import Units
from wattwright.documents.header import Paper, SheetHeader
from wattwright.errors import FileError
from wattwright.files.written import write_bytes, write_text

if TYPE_CHECKING:
    from wattwright.job.job import Job
    from wattwright.sizing.plan import Plan


def sheet_header(job: "Job", *, units: Units = Units.METRIC, paper: Paper = Paper.A4) -> SheetHeader:
    """The title block of a job's sheet."""
    return SheetHeader(
        workshop=job.workshop,
        title=job.title,
        number=job.number,
        customer=job.customer,
        date=job.date,
        revision="1",
        units=units,
        paper=paper,
    )


def write_sheet(plan: "Plan", header: SheetHeader, path: Path) -> None:
    """Write the job sheet, as PDF or HTML by the ending of its name.

    Raises:
        FileError: If the name ends otherwise, or the file cannot be written.
    """
    from wattwright.documents.job_sheet import job_sheet_html, job_sheet_pdf  # noqa: PLC0415 (start-up)

    if path.suffix.lower() in {".html", ".htm"}:
        write_text(path, job_sheet_html(plan, header), replace=True)
    elif path.suffix.lower() == ".pdf":
        write_bytes(path, job_sheet_pdf(plan, header), replace=True)
    else:
        raise FileError(
            str(path), "a sheet is written as PDF or HTML only", "Let its name end in .pdf or .html."
        )


def write_drawing(plan: "Plan", path: Path) -> None:
    """Write the window as SVG. Errors as ``write_sheet``."""
    from wattwright.documents.window_drawing import window_drawing  # noqa: PLC0415 (start-up)

    write_text(path, window_drawing(plan.window, chosen=plan.chosen), replace=True)
