"""Planning a job: the step the command line and the bench call."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from wattwright.job.job import Job
from wattwright.parts.catalogue import Catalogue
from wattwright.workflow.briefing import brief_of
from wattwright.workflow.other_briefs import other_briefs

if TYPE_CHECKING:
    from wattwright.sizing.plan import Plan


def plan_job(
    job: Job,
    folder: Path,
    catalogue: Catalogue,
    *,
    alternatives: bool = True,
    notes: tuple[str, ...] = (),
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> "Plan":
    """Work the job out.

    Args:
        job: As read.
        folder: That its track files are relative to.
        catalogue: Of parts.
        alternatives: Whether other modules and drives are worked out beside.
        notes: What the fitter should know already, such as defaults taken.
        progress: Told what is being worked out, and the share done.

    Raises:
        InputError: If a value or a track cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    from wattwright.sizing.mismatch import refuse_mismatch  # noqa: PLC0415 - as below
    from wattwright.sizing.planner import plan  # noqa: PLC0415 - numpy and the engine load when needed

    progress("reading tracks", 0.0)
    brief, said = brief_of(job, folder, catalogue)
    refuse_mismatch(brief, catalogue)
    others = other_briefs(brief, job, catalogue) if alternatives else ()
    return plan(brief, others=others, notes=notes + said, progress=progress)
