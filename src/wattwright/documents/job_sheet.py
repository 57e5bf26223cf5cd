"""The job sheet: one plan as a printed document and as a self-contained web page."""

from wattwright.documents.header import Paper, SheetHeader
from wattwright.sizing.plan import Plan

__all__ = ["Paper", "SheetHeader", "job_sheet_html", "job_sheet_pdf"]


def job_sheet_pdf(plan: Plan, header: SheetHeader) -> bytes:
    """The job sheet as PDF."""
    raise NotImplementedError


def job_sheet_html(plan: Plan, header: SheetHeader) -> str:
    """The job sheet as one self-contained HTML file."""
    raise NotImplementedError
