"""A job's pack as it really behaves on its rides: unequal modules, what lets go, which limit avoids it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wattwright.errors import InputError
from wattwright.job.job import Job
from wattwright.pack.branches import PlacedModule, Stack, pack_of
from wattwright.pack.cascade import CurrentLimit, holding_limit
from wattwright.pack.guarding import conditions_of
from wattwright.pack.heat import Shelter, surroundings_of
from wattwright.pack.network import Ask, PackCourse, pack_course
from wattwright.pack.supply import supply_of
from wattwright.parts.catalogue import Catalogue
from wattwright.units import Fraction, Ohm
from wattwright.workflow.plan_job import plan_job

if TYPE_CHECKING:
    from wattwright.sizing.plan import Plan, RideAnswer


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RideBehaviour:
    """One ride in one season, through the network."""

    ride: str
    season: str
    course: PackCourse
    limit: CurrentLimit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PackBehaviour:
    """What the pack does on every ride of the job."""

    plan: "Plan"
    modules: int
    rides: tuple[RideBehaviour, ...]


def pack_behaviour(
    job: Job,
    folder: Path,
    catalogue: Catalogue,
    *,
    charges: Sequence[Fraction] = (),
    capacities_left: Sequence[Fraction] = (),
    contact: Ohm = 0.0,
    shelter: Shelter = Shelter.OPEN,
    in_sun: bool = False,
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> PackBehaviour:
    """Ride the job's rides once more with every module by itself.

    Args:
        job: As read.
        folder: That its track files are relative to.
        catalogue: Of parts.
        charges: Of the first modules at the start; the others begin as the ride says.
        capacities_left: Of the first modules, on top of the season's age; the others have the season's.
        contact: Between neighbours in the stack, out and back. [Ω]
        shelter: Open carrier or closed bag.
        in_sun: Whether a high summer sun shines on it all the way.
        progress: Told what is being worked out, and the share done.

    Raises:
        InputError: If a value cannot be used, or more modules are described than there are.
        NotInCatalogueError: If a part is not in the catalogue.

    Notes:
        The power is the central sample's of each ride, as planned with equal modules; all stand in one stack.
        Where unequal ones let go, the drive is taken to ask on for the same power.
    """
    plan = plan_job(job, folder, catalogue, alternatives=False, progress=progress)
    count = plan.shown
    for field, given in (("charge_pct", charges), ("capacity_left_pct", capacities_left)):
        if len(given) > count:
            raise InputError(field, len(given), f"at most one for each of {count} modules")
    rides = tuple(
        _behaviour(plan, answer, charges, capacities_left, contact, shelter=shelter, in_sun=in_sun)
        for answer in plan.answers
    )
    return PackBehaviour(plan=plan, modules=count, rides=rides)


def _behaviour(
    plan: "Plan",
    answer: "RideAnswer",
    charges: Sequence[Fraction],
    capacities_left: Sequence[Fraction],
    contact: Ohm,
    *,
    shelter: Shelter,
    in_sun: bool,
) -> RideBehaviour:
    kind, season, trace = plan.brief.battery_module, answer.season, answer.outcome.trace
    count = plan.shown
    usual = PlacedModule(
        charge=answer.ride.start_charge,
        temperature=season.temperature,
        capacity_left=season.capacity_left,
        resistance_risen=season.resistance_risen,
    )
    placed = tuple(_placed(usual, at, charges, capacities_left) for at in range(count))
    pack = pack_of(
        supply_of(kind, count, plan.brief.open_circuit), kind, [Stack(modules=placed, contact=contact)]
    )
    around = surroundings_of(
        kind, count, air=season.temperature, speed=np.asarray(trace.speed), shelter=shelter, in_sun=in_sun
    )
    time, power = trace.time, trace.battery_current * trace.pack_voltage
    highest = plan.brief.drive.controller.battery_current_limit
    conditions = conditions_of(kind)
    course = pack_course(
        pack,
        time,
        power,
        ask=Ask.POWER,
        conditions=conditions,
        current_limit=highest,
        surroundings=around,
        distance=trace.distance,
    )
    limit = holding_limit(pack, time, power, highest, conditions=conditions, surroundings=around)
    return RideBehaviour(ride=answer.ride.name, season=season.title, course=course, limit=limit)


def _placed(
    usual: PlacedModule, at: int, charges: Sequence[Fraction], capacities_left: Sequence[Fraction]
) -> PlacedModule:
    return PlacedModule(
        charge=charges[at] if at < len(charges) else usual.charge,
        temperature=usual.temperature,
        capacity_left=usual.capacity_left * (capacities_left[at] if at < len(capacities_left) else 1.0),
        resistance_risen=usual.resistance_risen,
    )
