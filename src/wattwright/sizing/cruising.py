"""A customer who knows only how fast they want to get there: the speed to hold for that average."""

from dataclasses import replace
from typing import Final

from wattwright.errors import InputError
from wattwright.parts.drive import AssistKind
from wattwright.sizing.brief import Brief
from wattwright.sizing.trials import Trials, usual_case
from wattwright.units import MetrePerSecond, km_h_from_metres_per_second

AMPLE_MODULES: Final = 12
"""So that the pack does not slow the search."""
HALVINGS: Final = 7
"""Finds the held speed to 0.1 km/h between 5 km/h and the cut-off."""
SLOWEST: Final[MetrePerSecond] = 1.4


def holding_average(brief: Brief, average: MetrePerSecond) -> Brief:
    """The brief with a drive that holds the speed which gives that average while moving, over its first ride.

    Raises:
        InputError: If the drive cannot make that average below its cut-off; says what it can.
    """
    fastest = _moving_average(_held(brief, brief.drive.assist.cutoff))
    if average > fastest:
        raise InputError(
            "speed_km_h",
            round(km_h_from_metres_per_second(average), 1),
            f"at most {km_h_from_metres_per_second(fastest):.1f}",
            f"“{brief.drive.title}” reaches no higher average on this ride.",
        )
    slow, fast = SLOWEST, brief.drive.assist.cutoff
    for _ in range(HALVINGS):
        held = 0.5 * (slow + fast)
        if _moving_average(_held(brief, held)) < average:
            slow = held
        else:
            fast = held
    return _held(brief, fast)


def _held(brief: Brief, speed: MetrePerSecond) -> Brief:
    law = replace(brief.drive.assist, kind=AssistKind.HELD_SPEED, speed=speed)
    return replace(brief, drive=replace(brief.drive, assist=law))


def _moving_average(brief: Brief) -> MetrePerSecond:
    """Of the central lane."""
    outcome = Trials(brief).outcome(usual_case(brief, brief.rides[0]), AMPLE_MODULES, quick=True)
    return outcome.distance / float(outcome.time[0] - outcome.standing[0])
