"""From a job file's job to a brief: parts by name, tracks to paths, rides of one charge joined."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from wattwright.errors import InputError
from wattwright.files.assist_classes import assist_class_named
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.files.tracks import read_track
from wattwright.job.job import Job, JobPlace, JobRide
from wattwright.parts.accessories import Carrier, Charger
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.catalogue import Catalogue
from wattwright.parts.drive import Drive
from wattwright.ride.path_building import joined_paths, path_from_track
from wattwright.ride.synthetic import synthetic_path
from wattwright.sizing.brief import Brief, Place, PlannedRide


def brief_of(job: Job, folder: Path, catalogue: Catalogue) -> tuple[Brief, tuple[str, ...]]:
    """The job with its parts looked up and its tracks laid out as paths.

    Args:
        job: As read.
        folder: That the job's track files are relative to.
        catalogue: To look the parts up in.

    Returns:
        The brief, and what the fitter should know of the tracks.

    Raises:
        InputError: If a track cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    kind = catalogue.module(job.module)
    rides, notes = planned_rides(job.rides, folder)
    brief = Brief(
        title=job.title,
        rider=job.rider,
        bicycle=job.bicycle,
        rides=rides,
        climate=job.climate,
        assist_class=assist_class_named(job.region),
        drive=drive_as_set(catalogue.drive(job.drive), job),
        battery_module=kind,
        open_circuit=open_circuit_table(kind.chemistry).voltage,
        charger=catalogue.charger(job.charger),
        cable=catalogue.cable(job.cable),
        cable_length=job.cable_length,
        places=tuple(_place(place, catalogue) for place in job.places),
        other_parts_mass=job.other_parts_mass,
        other_parts_price=job.other_parts_price,
        spread=job.spread,
        wishes=job.wishes,
        storage_temperature=job.storage_temperature,
        storage_charge=job.storage_charge,
        charge_temperature=job.charge_temperature,
        samples=job.samples,
        seed=job.seed,
    )
    return brief, notes


def drive_as_set(drive: Drive, job: Job) -> Drive:
    """The catalogue's drive with the limits and the help the fitter sets.

    Raises:
        InputError: If a limit is set above the controller's own.
    """
    controller, law = drive.controller, drive.assist
    limit = job.battery_current_limit
    if limit is not None and limit > controller.battery_current_limit:
        raise InputError(
            "drive.battery_current_limit_a",
            limit,
            f"at most the controller's {controller.battery_current_limit:g} A",
        )
    regeneration = job.regeneration_current_limit
    if regeneration is not None and regeneration > controller.regeneration_current_limit:
        raise InputError(
            "drive.regeneration_current_limit_a",
            regeneration,
            f"at most the controller's {controller.regeneration_current_limit:g} A",
        )
    return replace(
        drive,
        controller=replace(
            controller,
            battery_current_limit=controller.battery_current_limit if limit is None else limit,
            regeneration_current_limit=(
                controller.regeneration_current_limit if regeneration is None else regeneration
            ),
        ),
        assist=replace(law, multiple=law.multiple * job.help, power=law.power * job.help),
    )


def planned_rides(rides: Sequence[JobRide], folder: Path) -> tuple[tuple[PlannedRide, ...], tuple[str, ...]]:
    """Each ride's path; rides without a charge between them become one."""
    planned: list[PlannedRide] = []
    notes: list[str] = []
    chain: list[PlannedRide] = []
    for ride in rides:
        one, said = _planned(ride, folder)
        notes += said
        chain.append(one)
        if ride.charged_after:
            planned.append(_on_one_charge(chain))
            chain = []
    if chain:
        planned.append(_on_one_charge(chain))
    return tuple(planned), tuple(notes)


def _on_one_charge(chain: Sequence[PlannedRide]) -> PlannedRide:
    """Rides between two charges as one: the heaviest load, the rarer habit, the months they share."""
    if len(chain) == 1:
        return chain[0]
    name = " + ".join(ride.name for ride in chain)
    months = set(chain[0].months).intersection(*(ride.months for ride in chain[1:]))
    return replace(
        chain[0],
        name=name,
        path=joined_paths(name, *(ride.path for ride in chain)),
        load=max(ride.load for ride in chain),
        times_per_week=min(ride.times_per_week for ride in chain),
        months=tuple(sorted(months)) or chain[0].months,
        charged_after=True,
    )


def _planned(ride: JobRide, folder: Path) -> tuple[PlannedRide, list[str]]:
    if ride.file:
        built = path_from_track(
            read_track(folder / ride.file).track,
            assume_flat=ride.assume_flat,
            there_and_back=ride.there_and_back,
        )
        path = built.path
        notes = [
            f"“{ride.name}”: {repair.count} × {repair.what}, first {repair.where}."
            for repair in built.repairs
        ]
        notes += [f"“{ride.name}”: {note}" for note in built.notes]
    else:
        factor = 2.0 if ride.there_and_back else 1.0
        path = synthetic_path(factor * ride.distance, factor * ride.ascent, stops=round(factor * ride.stops))
        notes = [f"“{ride.name}” has no recording: hills and stops are made up to its distance and ascent."]
    planned = PlannedRide(
        name=ride.name,
        path=path,
        times_per_week=ride.times_per_week,
        months=ride.months,
        load=ride.load,
        start_charge=ride.start_charge,
        charged_after=ride.charged_after,
    )
    return planned, notes


def _place(place: JobPlace, catalogue: Catalogue) -> Place:
    return Place(name=place.name, free_length=place.free_length, carrier=catalogue.carrier(place.carrier))


def other_briefs(brief: Brief, job: Job, catalogue: Catalogue) -> tuple[Brief, ...]:
    """The same job with other modules, or with other drives.

    Args:
        brief: The job's own.
        job: Names the others; where it names none, every other module and every other drive is tried.
        catalogue: To look them up in.

    Raises:
        NotInCatalogueError: If a name is neither a module nor a drive.
    """
    modules = [name for name in job.alternatives if name in catalogue.modules]
    drives = [name for name in job.alternatives if name in catalogue.drives]
    for name in job.alternatives:
        if name not in catalogue.modules and name not in catalogue.drives:
            catalogue.module(name)  # raises, naming the nearest
    if not job.alternatives:
        modules, drives = sorted(catalogue.modules), sorted(catalogue.drives)
    with_modules = (
        _with_module(brief, catalogue.module(name), catalogue) for name in modules if name != job.module
    )
    with_drives = (
        replace(brief, drive=replace(catalogue.drive(name))) for name in drives if name != job.drive
    )
    return (*with_modules, *with_drives)


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
    suiting = [
        charger
        for charger in catalogue.chargers.values()
        if charger.chemistry is kind.chemistry and abs(charger.voltage / kind.maximum_voltage - 1.0) <= 0.01
    ]
    return min(suiting, key=lambda charger: abs(charger.current - usual.current), default=usual)


def _carrier_for(kind: BatteryModule, usual: Carrier, catalogue: Catalogue) -> Carrier:
    """The usual carrier if it takes the kind, else the one of most nearly its length that does."""
    if kind.name in usual.modules_fitting:
        return usual
    suiting = [carrier for carrier in catalogue.carriers.values() if kind.name in carrier.modules_fitting]
    return min(
        suiting, key=lambda carrier: abs(carrier.maximum_modules - usual.maximum_modules), default=usual
    )
