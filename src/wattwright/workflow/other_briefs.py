"""The same job with other modules and drives of the catalogue, to be worked out beside it."""

from dataclasses import replace
from typing import Final

from wattwright.errors import NotInCatalogueError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.job.job import Job
from wattwright.parts.accessories import Carrier, Charger
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.catalogue import Catalogue
from wattwright.sizing.brief import Brief
from wattwright.sizing.mismatch import charger_suits
from wattwright.workflow.drive_setting import drive_with_help

MOST_PAIRS: Final = 12
"""So many pairs of module and drive are worked out; of more, each module and each drive by itself."""


def other_briefs(brief: Brief, job: Job, catalogue: Catalogue) -> tuple[Brief, ...]:
    """The same job with other modules, other drives, and both where these are few.

    Args:
        brief: The job's own.
        job: Names the others; where it names none, every other module and every other drive is tried.
        catalogue: To look them up in.

    Raises:
        NotInCatalogueError: If a name is neither a module nor a drive.
    """
    modules, drives = _named(job, catalogue)
    pairs = [(module, drive) for module in (job.module, *modules) for drive in (job.drive, *drives)][1:]
    if len(pairs) > MOST_PAIRS:
        pairs = [(module, drive) for module, drive in pairs if job.module == module or job.drive == drive]
    return tuple(_brief_with(brief, module, drive, job, catalogue) for module, drive in pairs)


def _named(job: Job, catalogue: Catalogue) -> tuple[list[str], list[str]]:
    """Names of the other modules and of the other drives."""
    known = {**catalogue.modules, **catalogue.drives}
    for name in job.alternatives:
        if name not in known:
            raise NotInCatalogueError("module or drive", name, _nearest(name, known))
    asked = job.alternatives or sorted(known)
    return (
        [name for name in asked if name in catalogue.modules and name != job.module],
        [name for name in asked if name in catalogue.drives and name != job.drive],
    )


def _nearest(name: str, known: dict[str, object]) -> list[str]:
    from difflib import get_close_matches  # noqa: PLC0415 - only for a slip of the pen

    return get_close_matches(name, known, n=3, cutoff=0.3) or sorted(known)[:3]


def _brief_with(brief: Brief, module: str, drive: str, job: Job, catalogue: Catalogue) -> Brief:
    other = brief
    if module != job.module:
        other = _with_module(brief, catalogue.module(module), catalogue)
    if drive != job.drive:
        other = replace(other, drive=drive_with_help(catalogue.drive(drive), job.help))
    return other


def with_fitting_parts(job: Job, catalogue: Catalogue) -> Job:
    """The job with a charger and carriers that take its module, where the catalogue has them."""
    kind = catalogue.module(job.module)
    places = tuple(
        replace(place, carrier=_carrier_for(kind, catalogue.carrier(place.carrier), catalogue).name)
        for place in job.places
    )
    return replace(
        job, charger=_charger_for(kind, catalogue.charger(job.charger), catalogue).name, places=places
    )


def _with_module(brief: Brief, kind: BatteryModule, catalogue: Catalogue) -> Brief:
    """Another module, with a charger and carriers that take it where the catalogue has them."""
    return replace(
        brief,
        battery_module=kind,
        open_circuit=open_circuit_table(kind.chemistry).voltage,
        charger=_charger_for(kind, brief.charger, catalogue),
        places=tuple(
            replace(place, carrier=_carrier_for(kind, place.carrier, catalogue)) for place in brief.places
        ),
    )


def _charger_for(kind: BatteryModule, usual: Charger, catalogue: Catalogue) -> Charger:
    """The charger that suits and comes nearest to the usual one's current; the usual one where none suits."""
    suiting = [charger for charger in catalogue.chargers.values() if charger_suits(charger, kind)]
    if charger_suits(usual, kind):
        return usual
    return min(suiting, key=lambda charger: abs(charger.current - usual.current), default=usual)


def _carrier_for(kind: BatteryModule, usual: Carrier, catalogue: Catalogue) -> Carrier:
    """The usual carrier if it takes the kind, else the one of most nearly its length that does."""
    if kind.name in usual.modules_fitting:
        return usual
    suiting = [carrier for carrier in catalogue.carriers.values() if kind.name in carrier.modules_fitting]
    return min(
        suiting, key=lambda carrier: abs(carrier.maximum_modules - usual.maximum_modules), default=usual
    )
