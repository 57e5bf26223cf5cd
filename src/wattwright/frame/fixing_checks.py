"""The loads of a placement under stated shocks, against what screw, insert, band and friction carry."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wattwright.errors import InputError
from wattwright.frame.clamp import friction_hold
from wattwright.frame.holding import FixingPoint, holding
from wattwright.frame.loads import PointLoad, group_loads, placement_mass, preload, push_of
from wattwright.frame.outline import shape_of
from wattwright.frame.placement import Face, Placement
from wattwright.frame.room import Room
from wattwright.frame.sections import section_at
from wattwright.frame.survey import Boss, Point
from wattwright.parts.fixing import FastenerStrength, FixingShelf, Shock
from wattwright.units import STANDARD_GRAVITY, Kilogram, Metre, Newton, NewtonMetre


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCheck:
    """One load against what carries it."""

    what: str
    """"slip under the carrier", "pull on the insert"."""
    shock: str
    """Name of the shock that asks most."""
    where: Metre
    """s of the fixing that is asked most."""
    load: float
    """[N], or [N m] where something turns."""
    capacity: float
    wanted: float
    """Capacity over load that is asked for."""

    @property
    def ratio(self) -> float:
        """Capacity over load; infinite without load."""
        return self.capacity / self.load if self.load > 0 else math.inf

    @property
    def holds(self) -> bool:
        """Whether it carries with the wanted margin."""
        return self.ratio >= self.wanted - 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingLoads:
    """The loads of a placement."""

    mass: Kilogram
    """Carrier, modules and plate."""
    centre: Point
    """(s, h) on the face."""
    points: tuple[tuple[str, tuple[PointLoad, ...]], ...]
    """By shock: what each fixing takes."""
    torque: NewtonMetre
    """To tighten screws or bands to; 0 for straps."""
    checks: tuple[LoadCheck, ...]
    """The worst of each kind, the least margin first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """A placement with its fixings, ready to be loaded."""

    room: Room
    face: Face
    placement: Placement
    shelf: FixingShelf
    points: tuple[FixingPoint, ...]
    mass: Kilogram
    centre: Point

    def loads(self, shock: Shock) -> tuple[PointLoad, ...]:
        half = shape_of(self.placement.carrier).foot_width / 2
        places = [point.s for point in self.points]
        return group_loads(push_of(shock, self.mass, self.face), self.centre, places, half)

    def boss(self, point: FixingPoint) -> Boss:
        return self.room.frame.bosses[point.boss or 0]


def fixing_loads(room: Room, placement: Placement, shelf: FixingShelf) -> FixingLoads:
    """Loads at a placement's fixings under every shock of the shelf, against what carries them.

    Args:
        room: Of the bicycle.
        placement: One that is held: ``placement_findings`` refuses nothing of its fixing.
        shelf: Rules, strengths and shocks.

    Returns:
        Loads, torque, and the worst check of each kind.

    Raises:
        InputError: If fewer than two fixings hold it, or there is no screw for its bosses.
        NotInCatalogueError: If screw or insert stand in no table.

    Notes:
        Screws: joint by friction, μ (Σ preload − Σ pull) over the shear; no gap, preload over pull; proof
        load and the insert's pull-out over preload and pull together. Slip and gap count ``scatter`` of the
        preload, as tightening by torque scatters; strength counts all of it. Bands: press 2 T sin(θ/2) over
        the pull, friction over the shear and, about the tube's axis, over a sideways push.
    """
    face = room.face(placement.face)
    points = holding(room, face, placement, shelf.rules).points
    if len(points) < 2:
        raise InputError(
            "fixings", len(points), "at least two that hold", "See why the placement is refused."
        )
    mass, centre = placement_mass(placement, points)
    case = _Case(
        room=room, face=face, placement=placement, shelf=shelf, points=points, mass=mass, centre=centre
    )
    by_boss = points[0].boss is not None
    torque = boss_torque(room, placement, shelf, points) if by_boss else _band_torque(placement)
    checks = _screw_checks(case, torque) if by_boss else _band_checks(case)
    return FixingLoads(
        mass=mass,
        centre=centre,
        points=tuple((shock.name, case.loads(shock)) for shock in shelf.shocks),
        torque=torque,
        checks=_worst(list(checks)),
    )


def boss_torque(
    room: Room, placement: Placement, shelf: FixingShelf, points: Sequence[FixingPoint]
) -> NewtonMetre:
    """Torque to tighten a placement's screws to: the least of what inserts and screw take.

    Raises:
        InputError: If the placement names no screw.
        NotInCatalogueError: If screw or insert stand in no table.
    """
    guideline = _strength(placement, shelf).torque
    bosses = [room.frame.bosses[point.boss or 0] for point in points]
    inserts = [shelf.boss_rule(boss.insert, room.frame.tube(boss.tube).material).torque for boss in bosses]
    return min([*inserts, *([] if guideline is None else [guideline])])


def _strength(placement: Placement, shelf: FixingShelf) -> FastenerStrength:
    screw = placement.fixing.screw
    if screw is None:
        raise InputError("screw", None, "the name of a screw for the bosses")
    return shelf.strength(screw.thread, screw.property_class)


def _screw_checks(case: _Case, torque: NewtonMetre) -> Iterator[LoadCheck]:
    """Slip and gaping at the least preload; the screw and the insert at the most."""
    rules, strength = case.shelf.rules, _strength(case.placement, case.shelf)
    most = preload(torque, strength.diameter, rules.torque_factor)
    least = rules.scatter * most
    insert = min(_pull_out(case, point) for point in case.points)
    for shock in case.shelf.shocks:
        shares = case.loads(shock)
        worst = max(shares, key=lambda load: load.pull)
        squeeze = max(0.0, sum(least - load.pull for load in shares))
        shear = sum(load.shear for load in shares)
        yield _check("slip under the carrier", shock, worst.s, shear, rules.friction * squeeze, rules.safety)
        yield _check("gap under a screw", shock, worst.s, worst.pull, least, rules.safety)
        yield _check("screw to its proof load", shock, worst.s, most + worst.pull, strength.proof_force, 1.0)
        yield _check("pull on the insert", shock, worst.s, most + worst.pull, insert, 1.0)
        if (service := strength.axial_dynamic_force) is not None:
            yield _check("service pull on the screw", shock, worst.s, worst.pull, service, 1.0)


def _pull_out(case: _Case, point: FixingPoint) -> Newton:
    boss = case.boss(point)
    if boss.pull_out is not None:
        return boss.pull_out
    return case.shelf.boss_rule(boss.insert, case.room.frame.tube(boss.tube).material).pull_out


def _band_torque(placement: Placement) -> NewtonMetre:
    return placement.fixing.band.torque if placement.fixing.band else 0.0


def _band_pull(case: _Case) -> Newton:
    """Pull that is surely in each band or strap."""
    fixing = case.placement.fixing
    pull = fixing.band.working_force if fixing.band else fixing.strap.working_force if fixing.strap else 0.0
    return case.shelf.rules.scatter * pull


def _band_checks(case: _Case) -> Iterator[LoadCheck]:
    """Lifting off, sliding along the tube, turning around it."""
    rules, pull = case.shelf.rules, _band_pull(case)
    held = [(point, point.path) for point in case.points if point.path is not None]
    for shock in case.shelf.shocks:
        turning = 0.0
        for (point, path), load in zip(held, case.loads(shock), strict=True):
            press = 2.0 * pull * math.sin(min(path.wrap, math.pi) / 2.0)
            hold = friction_hold(path, pull, rules.friction)
            left = max(0.0, hold - rules.friction * load.pull)
            turning += left * _radius(case, point)
            yield _check("lifting off under a band", shock, point.s, load.pull, press, rules.safety)
            yield _check("sliding along the tube", shock, point.s, load.shear, left, rules.safety)
        lever = case.centre[1] + _radius(case, case.points[0])
        turn = abs(shock.sideways) * case.mass * STANDARD_GRAVITY * lever
        yield _check("turning around the tube", shock, case.points[0].s, turn, turning, rules.safety)


def _radius(case: _Case, point: FixingPoint) -> Metre:
    """Of the tube at a band, the lesser of its two: the arm of the band's friction around it."""
    section = section_at(case.room.frame.tube(case.face.tube), point.s / case.face.length)
    return min(section.depth, section.width) / 2


def _check(  # noqa: PLR0917 (one row of a table)
    what: str, shock: Shock, where: Metre, load: float, capacity: float, wanted: float
) -> LoadCheck:
    return LoadCheck(what=what, shock=shock.name, where=where, load=load, capacity=capacity, wanted=wanted)


def _worst(checks: Sequence[LoadCheck]) -> tuple[LoadCheck, ...]:
    """The check of each kind with the least margin, the least of all first."""
    kinds: dict[str, LoadCheck] = {}
    for check in checks:
        if check.what not in kinds or check.ratio < kinds[check.what].ratio:
            kinds[check.what] = check
    return tuple(sorted(kinds.values(), key=lambda check: check.ratio / check.wanted))
