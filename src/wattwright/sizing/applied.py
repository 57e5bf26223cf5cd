"""A change, made: the brief as it would be if the fitter did what the change says."""

import re
from collections.abc import Callable
from dataclasses import replace

from wattwright.sizing.brief import Brief, Wishes
from wattwright.sizing.limits import Change
from wattwright.units import fraction_from_percent, metres_from_mm, seconds_from_hours

PLACE = re.compile(r"places\[(\d+)\]\.free_length_mm")


def applied(brief: Brief, change: Change) -> Brief | None:
    """The brief with one change made; None where the change edits nothing of it (a charge on the way).

    >>> from wattwright.sizing.limits import Change
    >>> change = Change(what="", field="", before=0.0, after=1.0, unit="charges", modules=2)
    >>> applied(None, change) is None
    True
    """
    place = PLACE.fullmatch(change.field)
    if place is not None:
        return _with_length(brief, int(place[1]), metres_from_mm(change.after))
    make = _MAKERS.get(change.field)
    return None if make is None else make(brief, change.after)


def with_help(brief: Brief, help_pct: float) -> Brief:
    """The brief with that level of assistance, in per cent of the drive's full help."""
    wanted = fraction_from_percent(help_pct)
    share, law = wanted / brief.help, brief.drive.assist
    gentler = replace(law, multiple=law.multiple * share, power=law.power * share)
    return replace(brief, help=wanted, drive=replace(brief.drive, assist=gentler))


def _with_length(brief: Brief, index: int, length: float) -> Brief:
    places = list(brief.places)
    places[index] = replace(places[index], free_length=length)
    return replace(brief, places=tuple(places))


def _wishing(make: Callable[[Wishes, float], Wishes]) -> Callable[[Brief, float], Brief]:
    return lambda brief, value: replace(brief, wishes=make(brief.wishes, value))


def _with_limit(brief: Brief, current: float) -> Brief:
    controller = replace(brief.drive.controller, battery_current_limit=current)
    return replace(brief, drive=replace(brief.drive, controller=controller))


def _with_regeneration(brief: Brief, current: float) -> Brief:
    controller = replace(brief.drive.controller, regeneration_current_limit=current)
    return replace(brief, drive=replace(brief.drive, controller=controller))


_MAKERS: dict[str, Callable[[Brief, float], Brief]] = {
    "wishes.reserve_pct": _wishing(
        lambda wishes, value: replace(wishes, reserve=fraction_from_percent(value))
    ),
    "wishes.confidence_pct": _wishing(
        lambda wishes, value: replace(wishes, confidence=fraction_from_percent(value))
    ),
    "wishes.years": _wishing(lambda wishes, value: replace(wishes, years=value)),
    "wishes.added_mass_kg": _wishing(lambda wishes, value: replace(wishes, added_mass=value)),
    "wishes.budget": _wishing(lambda wishes, value: replace(wishes, budget=value)),
    "wishes.charge_time_h": _wishing(
        lambda wishes, value: replace(wishes, charge_hours=seconds_from_hours(value))
    ),
    "drive.battery_current_limit_a": _with_limit,
    "drive.regeneration_current_limit_a": _with_regeneration,
    "drive.help_pct": with_help,
    "pack.charger": lambda brief, value: replace(brief, charger=replace(brief.charger, current=value)),
    "pack.module": lambda brief, value: replace(
        brief, battery_module=replace(brief.battery_module, maximum_parallel=int(value))
    ),
}
"""By the job file's key; the value comes as the file has it."""
