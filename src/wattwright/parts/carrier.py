"""The shape of a carrier: how long and wide its foot is, where it is held, how a stack comes off it.

Carrier coordinates, in metres: u along the carrier from its dock end, h outward from the surface it sits on.
"""

from dataclasses import dataclass
from enum import Enum

from wattwright.units import Metre

CarrierPoint = tuple[Metre, Metre]
"""(u, h)."""


class CarrierKind(Enum):
    """What a stack sits on or in."""

    RAIL = "rail"
    BAG = "bag"
    BOX = "box"
    TRAY = "tray"


class Release(Enum):
    """Which way a whole stack leaves its carrier."""

    AWAY_FROM_DOCK = "slides away from the dock"
    TOWARDS_DOCK = "slides over the dock"
    OUTWARD = "lifts off outward"
    SIDEWAYS = "comes off sideways"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A long hole along the carrier: a screw may stand anywhere in it."""

    start: Metre
    """u of the first screw position, on the centre line of the screw."""
    end: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierShape:
    """One carrier as its drawing shows it; its mass, travel and most modules stand in ``Carrier``.

    A stack is dock, modules, end piece, in this order from u = 0; it may be shorter than the carrier.
    """

    kind: CarrierKind
    length: Metre
    """Of the foot: what touches the tube."""
    foot_width: Metre
    """Across the bicycle."""
    foot_height: Metre
    """From the surface it sits on to the underside of the modules above it."""
    web: Metre
    """Thickness of the foot under a screw's head."""
    dock_length: Metre
    """Along the carrier, at its dock end; the end piece takes the rest of ``Carrier.base_length``."""
    dock_height: Metre
    """Of dock and end piece, from the surface."""
    band_height: Metre
    """h at which a band crosses the carrier, in its groove; up to ``foot_height``."""
    overhang_low: Metre
    """h of the lowest edge of the modules' flanks beside the foot: ``foot_height`` where they have none."""
    overhang_inner: Metre
    """Distance of those flanks from the middle line, to their inner face."""
    slots: tuple[Slot, ...]
    """For screws, from the dock end."""
    seats: tuple[Metre, ...]
    """u at which a band or strap may lie, from the dock end."""
    release: Release
    hand_room: Metre
    """Room a hand needs at the end it pulls at, or outside the stack where it lifts off."""
    outline: tuple[CarrierPoint, ...] = ()
    """Closed outline of a bag or box, which stays the same however many modules are in it; () for rails."""
    thickness: Metre = 0.0
    """Of that bag or box across the bicycle; 0 where there is no outline."""
