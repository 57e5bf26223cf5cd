"""The catalogue's drive as the job sets it."""

from dataclasses import replace

from wattwright.errors import InputError
from wattwright.job.job import Job
from wattwright.parts.drive import Drive
from wattwright.units import Ampere, Fraction


def drive_as_set(drive: Drive, job: Job) -> Drive:
    """The catalogue's drive with the limits and the help the fitter sets.

    Raises:
        InputError: If a limit is set above the controller's own.
    """
    own = drive.controller
    controller = replace(
        own,
        battery_current_limit=_limit_set(
            "drive.battery_current_limit_a", job.battery_current_limit, own.battery_current_limit
        ),
        regeneration_current_limit=_limit_set(
            "drive.regeneration_current_limit_a",
            job.regeneration_current_limit,
            own.regeneration_current_limit,
        ),
    )
    return drive_with_help(replace(drive, controller=controller), job.help)


def _limit_set(field: str, wished: Ampere | None, own: Ampere) -> Ampere:
    if wished is None:
        return own
    if wished > own:
        raise InputError(field, wished, f"at most the controller's {own:g} A", "Or leave it out.")
    return wished


def drive_with_help(drive: Drive, share: Fraction) -> Drive:
    """The drive at a lower level of assistance: that share of its multiple and of its power."""
    law = drive.assist
    return replace(drive, assist=replace(law, multiple=law.multiple * share, power=law.power * share))
