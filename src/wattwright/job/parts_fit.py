"""Do the parts a job names belong together? One sentence for each that does not."""

from collections.abc import Iterator
from difflib import get_close_matches

from wattwright.errors import NotInCatalogueError
from wattwright.job.job import Job
from wattwright.parts.accessories import Charger
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.catalogue import Catalogue
from wattwright.parts.drive import Drive
from wattwright.sizing.mismatch import CHARGER_TOLERANCE


def misfits(job: Job, catalogue: Catalogue) -> tuple[str, ...]:
    """Why parts of the job do not belong together; empty where they do.

    Args:
        job: The job.
        catalogue: To look its parts up in.

    Raises:
        NotInCatalogueError: If a part is unknown; names the nearest.
    """
    kind = catalogue.module(job.module)
    drive = catalogue.drive(job.drive)
    _check_alternatives(job, catalogue)
    return (
        *_charger_misfits(kind, catalogue.charger(job.charger)),
        *_drive_misfits(kind, drive, job),
        *_cable_misfits(drive, job, catalogue),
        *_carrier_misfits(kind, job, catalogue),
    )


def _check_alternatives(job: Job, catalogue: Catalogue) -> None:
    for name in job.alternatives:
        known = (*catalogue.modules, *catalogue.drives)
        if name not in known:
            near = get_close_matches(name, known, n=3, cutoff=0.3) or sorted(known)[:3]
            raise NotInCatalogueError("module or drive", name, near)


def _charger_misfits(kind: BatteryModule, charger: Charger) -> Iterator[str]:
    if charger.voltage > kind.maximum_voltage * (1 + CHARGER_TOLERANCE):
        yield (
            f"DANGER: charger {charger.name!r} ends at {charger.voltage:g} V, module {kind.name!r} bears "
            f"{kind.maximum_voltage:g} V. Never connect them."
        )
    elif charger.voltage < kind.maximum_voltage * (1 - CHARGER_TOLERANCE):
        yield (
            f"Charger {charger.name!r} ends at {charger.voltage:g} V and never fills module {kind.name!r} "
            f"({kind.maximum_voltage:g} V)."
        )
    if charger.chemistry is not kind.chemistry:
        yield (
            f"Charger {charger.name!r} is made for {charger.chemistry.value} cells, module {kind.name!r} has "
            f"{kind.chemistry.value}: ask the module's maker."
        )


def _drive_misfits(kind: BatteryModule, drive: Drive, job: Job) -> Iterator[str]:
    controller = drive.controller
    if kind.maximum_voltage > controller.maximum_voltage:
        yield (
            f"DANGER: module {kind.name!r} reaches {kind.maximum_voltage:g} V, the controller of "
            f"{drive.name!r} bears {controller.maximum_voltage:g} V."
        )
    if kind.nominal_voltage < controller.rollback_start_voltage:
        yield (
            f"Module {kind.name!r} has {kind.nominal_voltage:.1f} V; the controller of {drive.name!r} "
            f"rolls back below {controller.rollback_start_voltage:g} V and would hardly help."
        )
    limit = job.battery_current_limit
    if limit is not None and limit > controller.battery_current_limit:
        yield (
            f"drive.battery_current_limit_a is {limit:g} A; the controller of {drive.name!r} ends at "
            f"{controller.battery_current_limit:g} A."
        )


def _cable_misfits(drive: Drive, job: Job, catalogue: Catalogue) -> Iterator[str]:
    cable = catalogue.cable(job.cable)
    limit = drive.controller.battery_current_limit
    current = limit if job.battery_current_limit is None else min(limit, job.battery_current_limit)
    if cable.maximum_current < current:
        yield f"Cable {cable.name!r} carries {cable.maximum_current:g} A, the drive may draw {current:g} A."


def _carrier_misfits(kind: BatteryModule, job: Job, catalogue: Catalogue) -> Iterator[str]:
    for place in job.places:
        carrier = catalogue.carrier(place.carrier)
        if kind.name not in carrier.modules_fitting:
            takes = ", ".join(carrier.modules_fitting)
            yield f"Place {place.name!r}: carrier {carrier.name!r} takes {takes}, not {kind.name!r}."
