"""Fixings: screws into bosses, band clamps, offset plates, straps; the rules that allow or forbid them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from wattwright.errors import NotInCatalogueError
from wattwright.units import Kilogram, Metre, Newton, NewtonMetre, SquareMetre
from wattwright.working import Source


class FixingKind(Enum):
    """How a carrier is held."""

    BOSSES = "bosses"
    BANDS = "bands"
    PLATE_ON_BOSSES = "plate-on-bosses"
    PLATE_ON_BANDS = "plate-on-bands"
    STRAPS = "straps"


class Material(Enum):
    """What a tube is made of."""

    STEEL = "steel"
    ALUMINIUM = "aluminium"
    TITANIUM = "titanium"
    CARBON = "carbon"
    BAMBOO = "bamboo"
    OTHER = "other"


class Insert(Enum):
    """How a boss sits in its tube."""

    BRAZED = "brazed"
    RIVETED = "riveted"
    MOULDED = "moulded"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandClamp:
    """A metal band drawn taut around tube and carrier."""

    name: str
    title: str
    width: Metre
    """Along the tube."""
    thickness: Metre
    shortest: Metre
    """Shortest inner length it can be drawn to."""
    longest: Metre
    working_force: Newton
    """Pull in the band when tightened to ``torque``."""
    torque: NewtonMetre
    mass: Kilogram
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetPlate:
    """A plate between bosses (or bands) and carrier that raises it, and shifts it in steps.

    It is cut to length: as long as its holes ask for, and ``edge_distance`` at both ends.
    """

    name: str
    title: str
    thickness: Metre
    """How much it raises the carrier."""
    width: Metre
    steps: tuple[Metre, ...]
    """Shifts of the carrier along the face away from where the bosses alone would hold it; 0 is no shift."""
    edge_distance: Metre
    """From the middle of the last hole or band to the plate's end."""
    mass_per_metre: float
    """[kg/m]"""
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Strap:
    """A textile strap around tube and bag."""

    name: str
    title: str
    width: Metre
    longest: Metre
    working_force: Newton
    mass: Kilogram
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A screw for a boss."""

    name: str
    title: str
    thread: str
    """As in the table of fasteners: "M5x0.8"."""
    property_class: str
    """As in the table of fasteners: "8.8", "A2-70"."""
    length: Metre
    """Under the head."""
    mass: Kilogram
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerStrength:
    """What one thread in one property class carries."""

    thread: str
    property_class: str
    diameter: Metre
    pitch: Metre
    stress_area: SquareMetre
    proof_force: Newton
    """Load under which it may not stretch for good: proof load, or 0.2 % limit of stainless steel."""
    preload: Newton | None
    """Guideline preload; None where the source states none."""
    torque: NewtonMetre | None
    """Guideline torque for that preload."""
    axial_service_force: Newton | None
    """Guideline service force along the screw, static."""
    axial_dynamic_force: Newton | None
    """Guideline service force along the screw, pulsating."""
    radial_service_force: Newton | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Prohibition:
    """A way of fixing that is not permitted on a material."""

    kind: FixingKind
    material: Material
    because: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class BossRule:
    """What an insert in a tube of some material takes, where the maker of the frame says nothing else."""

    insert: Insert
    material: Material
    torque: NewtonMetre
    """Most to tighten to."""
    pull_out: Newton
    """Most pull along the screw."""
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingRules:
    """Allowed and forbidden combinations, distances and friction: data with sources."""

    prohibitions: tuple[Prohibition, ...]
    boss_rules: tuple[BossRule, ...]
    engagement: float
    """Least thread in engagement, in diameters."""
    minimum_spacing: Metre
    """Between the outermost two fixings of a carrier."""
    largest_overhang: float
    """Most of the carrier's length beyond its outermost fixing."""
    band_clearance: Metre
    """Between a taut band and the modules' flanks."""
    slot_margin: Metre
    """Kept from the ends of a slot."""
    friction: float
    """Between carrier, band and painted tube; low on purpose."""
    torque_factor: float
    """K of T = K d F, dry."""
    scatter: float
    """Least share of the reckoned preload that is surely there."""
    safety: float
    """Capacity over load asked for."""
    sources: Mapping[str, Source]
    """Of each figure above, by its name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shock:
    """A stated shock: the load of the carried mass, as a multiple of its weight, in one direction."""

    name: str
    forward: float
    """Multiples of the weight; negative is backward."""
    upward: float
    sideways: float
    """To the rider's right."""
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingShelf:
    """The fixings that can be bought, by name, with their rules and the strength of their screws."""

    rules: FixingRules
    shocks: tuple[Shock, ...]
    strengths: tuple[FastenerStrength, ...]
    bands: Mapping[str, BandClamp] = field(default_factory=dict)
    plates: Mapping[str, OffsetPlate] = field(default_factory=dict)
    straps: Mapping[str, Strap] = field(default_factory=dict)
    screws: Mapping[str, Screw] = field(default_factory=dict)

    def boss_rule(self, insert: Insert, material: Material) -> BossRule:
        """What an insert in a tube of that material takes.

        Raises:
            NotInCatalogueError: If the rules have no such pair; names those they have.
        """
        wanted = f"{insert.value} boss in {material.value}"
        found = {f"{rule.insert.value} boss in {rule.material.value}": rule for rule in self.rules.boss_rules}
        if wanted not in found:
            raise NotInCatalogueError("boss", wanted, list(found))
        return found[wanted]

    def strength(self, thread: str, property_class: str) -> FastenerStrength:
        """The strength of a screw.

        Raises:
            NotInCatalogueError: If the table has no such thread and class; names those it has.
        """
        wanted = f"{thread} {property_class}"
        found = {f"{row.thread} {row.property_class}": row for row in self.strengths}
        if wanted not in found:
            raise NotInCatalogueError("fastener", wanted, list(found))
        return found[wanted]
