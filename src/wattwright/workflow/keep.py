"""Keeping modules: put away over the winter, and through a job's years of service."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from wattwright.errors import InputError
from wattwright.files.calendar import Reminder
from wattwright.job.job import Job
from wattwright.pack.put_away import StorageAnswer
from wattwright.parts.catalogue import Catalogue
from wattwright.units import Kelvin, percent_from_fraction

if TYPE_CHECKING:
    from wattwright.sizing.years import YearsAhead

RING_BEFORE: Final = 7
"""[days] before its date that a reminder rings."""


def reminders(answer: StorageAnswer) -> tuple[Reminder, ...]:
    """The dates to write into a calendar: halfway a look, the day to charge, the day it would be empty.

    The early dates count: where cells and electronics take most.
    """
    stored, dates = answer.stored, answer.dates
    found = []
    if dates.recharge_early is not None:
        halfway = stored.start + (dates.recharge_early - stored.start) / 2
        floor = percent_from_fraction(stored.recharge_at)
        found += [
            Reminder(
                date=halfway,
                title=f"{stored.name}: look at its charge",
                what="Read its rest voltage and enter it in the register; no warmth, no swelling, no smell.",
                days_before=0,
            ),
            Reminder(
                date=dates.recharge_early,
                title=f"{stored.name}: charge it again",
                what=f"By now it may be down to {floor:.0f} %. Charge it to about 40 %, warm and watched.",
                days_before=RING_BEFORE,
            ),
        ]
    if dates.empty_early is not None:
        found.append(
            Reminder(
                date=dates.empty_early,
                title=f"{stored.name}: may be empty",
                what="If it was not charged since: do not charge it blindly. Read its voltage first and "
                "ask the module's manual.",
                days_before=RING_BEFORE,
            )
        )
    return tuple(found)


def job_years(
    job: Job,
    folder: Path,
    catalogue: Catalogue,
    *,
    modules: int | None = None,
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> tuple["YearsAhead", tuple[str, ...]]:
    """The years ahead of a job, with the planned count where none is given; and notes on its tracks.

    Raises:
        InputError: If a value or a track cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    from wattwright.sizing.mismatch import refuse_mismatch  # noqa: PLC0415 - numpy loads when needed
    from wattwright.sizing.planner import plan  # noqa: PLC0415
    from wattwright.sizing.trials import Trials  # noqa: PLC0415
    from wattwright.sizing.years import years_ahead  # noqa: PLC0415
    from wattwright.workflow.briefing import brief_of  # noqa: PLC0415

    if modules is not None and modules < 1:
        raise InputError("--modules", modules, "1 or more")
    progress("reading tracks", 0.0)
    brief, notes = brief_of(job, folder, catalogue)
    refuse_mismatch(brief, catalogue)
    count = modules if modules is not None else plan(brief, progress=progress).shown
    return years_ahead(Trials(brief), count, progress=progress), notes


def twelve(temperatures: Sequence[Kelvin]) -> tuple[Kelvin, ...]:
    """One temperature for every month, or twelve as they are.

    Raises:
        InputError: If there is neither one nor twelve.

    Examples:
        >>> twelve([288.15])[11]
        288.15
    """
    if len(temperatures) not in {1, 12}:
        raise InputError("temperature_c", len(temperatures), "one temperature, or twelve from January on")
    return tuple(temperatures) * (12 // len(temperatures))
