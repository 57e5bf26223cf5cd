"""Where a carrier is put and what holds it; and why it cannot be there, in millimetres."""

from dataclasses import dataclass
from enum import Enum

from wattwright.frame.survey import ClearanceKind, Point, Side
from wattwright.parts.accessories import Carrier
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.fixing import BandClamp, FixingKind, OffsetPlate, Screw, Strap
from wattwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Keepout:
    """Room that is taken: a core in the side plane grown by a radius, and a stretch across the bicycle.

    Exact for discs (wheels, cranks), lines with a radius (bars, cables) and outlines (tubes).
    """

    name: str
    kind: ClearanceKind
    core: tuple[Point, ...]
    """One point, a line of two, or a closed outline of three or more."""
    radius: Metre
    low: Metre
    """z from here,"""
    high: Metre
    """to here."""
    clearance: Metre
    """Distance to keep from it, in the side plane and across."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceBoss:
    """A boss as a face sees it."""

    s: Metre
    thread: str
    index: int
    """Of the boss in ``Frame.bosses``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A stretch of tube or rack with an outward side. Face coordinates: s along the surface, h outward.

    ``point = origin + s · along + h · outward`` leads to the side plane.
    """

    name: str
    """"below down tube"."""
    tube: str
    side: Side
    origin: Point
    """On the surface, at the start of the tube's axis."""
    along: Point
    """Unit vector along the surface from the tube's start to its end."""
    outward: Point
    """Unit vector away from the tube."""
    length: Metre
    """Of the surface; s runs from 0 to here."""
    usable: tuple[Metre, Metre]
    """s between the tubes it meets; equal where nothing is left."""
    bosses: tuple[FaceBoss, ...]
    """By rising s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """How one carrier is held; what the kind does not use is None."""

    kind: FixingKind
    screw: Screw | None = None
    """For bosses, and for a plate on bosses."""
    band: BandClamp | None = None
    plate: OffsetPlate | None = None
    step: Metre = 0.0
    """Shift of the carrier on a plate on bosses, one of its steps; positive towards larger s."""
    strap: Strap | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A stack of n modules on a carrier on a face, and its fixing."""

    face: str
    """Name of the face."""
    carrier: Carrier
    """With its ``shape``."""
    battery_module: BatteryModule
    modules: int
    """0 is the bare carrier."""
    offset: Metre
    """s of the end of the carrier's foot that has the smaller s."""
    dock_first: bool
    """Whether the dock is at the end with the smaller s."""
    fixing: Fixing


class Reason(Enum):
    """What kind of refusal."""

    TOO_MANY_MODULES = "more modules than the carrier takes"
    LONGER_THAN_CARRIER = "stack longer than its carrier"
    OUTSIDE_BAG = "modules outside the bag"
    MODULE_KIND = "carrier does not take this module"
    OFF_THE_FACE = "carrier beyond the end of the face"
    OVERLAP = "no room"
    RELEASE = "no way off"
    STACKS = "two stacks"
    FORBIDDEN = "fixing not permitted here"
    BOSSES = "bosses and slots"
    THREAD = "thread too short"
    SPACING = "fixings too close"
    OVERHANG = "too far beyond its fixings"
    BAND_LENGTH = "band length"
    BAND_FOULS = "band fouls the module"
    BAND_BLOCKED = "something in the band's way"
    PLATE = "plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """One reason why a placement cannot be."""

    reason: Reason
    where: str
    """What it meets: "front wheel at full lock", "top tube", "band at 120 mm"."""
    short_by: Metre
    """By how much it fails: the length that is wanting; 0 where it is no matter of length."""
    because: str
    """One sentence with its figures."""
    spot: Point | None = None
    """Where, in the side plane."""
