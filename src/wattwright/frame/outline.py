"""The outline of a stack on its carrier, and the room it needs to come off."""

from dataclasses import dataclass

from wattwright.frame.survey import Point
from wattwright.parts.accessories import Carrier
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.carrier import CarrierShape, Release
from wattwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlinePart:
    """One piece of an outline: a closed outline, and its stretch across the bicycle."""

    name: str
    """"foot", "dock", "modules", "end piece", "bag", "plate", "release"."""
    outline: tuple[Point, ...]
    """In carrier, face or plane coordinates, as the function that made it says."""
    low: Metre
    """z from here,"""
    high: Metre
    """to here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StackOutline:
    """A carrier with n modules: what it fills, and ways it comes off."""

    parts: tuple[OutlinePart, ...]
    release: tuple[OutlinePart, ...]
    """Room swept on the way off, a hand's room included; one free way is enough. () without modules."""


def stack_outline(carrier: Carrier, battery_module: BatteryModule, modules: int) -> StackOutline:
    """The outline of a carrier with ``modules`` modules in carrier coordinates, dock at u = 0.

    Args:
        carrier: With its ``shape``.
        battery_module: Pitch along the carrier, width across the bicycle, height outward.
        modules: 0 or more; 0 is the bare carrier.

    Returns:
        Outlines in (u, h). [m]

    Raises:
        ValueError: If the carrier has no shape; shells make sure that it has.
    """
    shape = shape_of(carrier)
    row = module_row(carrier, battery_module, modules)
    body = _body(shape, battery_module)
    if shape.outline:
        bag = OutlinePart(
            name="bag", outline=shape.outline, low=-shape.thickness / 2, high=shape.thickness / 2
        )
        return StackOutline(
            parts=(bag,), release=_release(carrier, battery_module, row, body) if modules else ()
        )
    half = battery_module.width / 2
    parts = [
        _box("foot", (0.0, shape.length), (0.0, shape.foot_height), shape.foot_width / 2),
        _box("dock", (0.0, shape.dock_length), (0.0, shape.dock_height), half),
    ]
    if modules:
        end = row[1] + carrier.base_length - shape.dock_length
        parts.append(_box("modules", row, body, half))
        parts.append(_box("end piece", (row[1], end), (0.0, shape.dock_height), half))
    filled = tuple(part for part in parts if part.outline[0] != part.outline[2])
    return StackOutline(parts=filled, release=_release(carrier, battery_module, row, body) if modules else ())


def shape_of(carrier: Carrier) -> CarrierShape:
    """The carrier's shape; ValueError where only its length is known."""
    if carrier.shape is None:
        raise ValueError(f"carrier {carrier.name!r} has no shape")
    return carrier.shape


def module_row(carrier: Carrier, battery_module: BatteryModule, modules: int) -> tuple[Metre, Metre]:
    """Where along the carrier the row of modules begins and ends (u)."""
    start = shape_of(carrier).dock_length
    return start, start + modules * battery_module.pitch


def _body(shape: CarrierShape, battery_module: BatteryModule) -> tuple[Metre, Metre]:
    """Height of the modules' lowest edge and of their top (h)."""
    return min(shape.overhang_low, shape.foot_height), shape.foot_height + battery_module.height


def _box(
    name: str, along: tuple[Metre, Metre], outward: tuple[Metre, Metre], half_width: Metre
) -> OutlinePart:
    (u0, u1), (h0, h1) = along, outward
    return OutlinePart(
        name=name, outline=((u0, h0), (u1, h0), (u1, h1), (u0, h1)), low=-half_width, high=half_width
    )


def _release(
    carrier: Carrier, battery_module: BatteryModule, row: tuple[Metre, Metre], body: tuple[Metre, Metre]
) -> tuple[OutlinePart, ...]:
    """What the modules with their end piece sweep, and the room for the hand that moves them."""
    shape, half = shape_of(carrier), battery_module.width / 2
    start, end = row[0], row[1] + (0.0 if shape.outline else carrier.base_length - shape.dock_length)
    way = carrier.removal_travel + shape.hand_room
    return {
        Release.AWAY_FROM_DOCK: (_box("release", (start, end + way), body, half),),
        Release.TOWARDS_DOCK: (_box("release", (start - way, end), body, half),),
        Release.OUTWARD: (_box("release", (start, end), (body[0], body[1] + way), half),),
        Release.SIDEWAYS: tuple(
            OutlinePart(
                name=f"release to the {side}",
                outline=_box("", (start, end), body, half).outline,
                low=-half - (way if side == "left" else 0.0),
                high=half + (way if side == "right" else 0.0),
            )
            for side in ("left", "right")
        ),
    }[shape.release]
