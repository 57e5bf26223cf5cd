"""What the conversion adds: where the modules stand, what it weighs, what it costs."""

from wattwright.sizing.brief import Brief, Place
from wattwright.sizing.plan import PartLine
from wattwright.units import Kilogram


def room_in(place: Place, brief: Brief) -> int:
    """How many modules of the brief's kind a place takes.

    Notes:
        n = (free length − carrier's ends − removal travel) / pitch, rounded down, at most the carrier's
        slots; 0 where the carrier does not take the kind.
    """
    carrier = place.carrier
    if brief.battery_module.name not in carrier.modules_fitting:
        return 0
    free = place.free_length - carrier.base_length - carrier.removal_travel
    # a hair of tolerance, so that 3 × 45 mm measured as 135 mm is three
    return max(0, min(int(free / brief.battery_module.pitch + 1e-9), carrier.maximum_modules))


def stacks(brief: Brief, modules: int) -> tuple[tuple[Place, int], ...]:
    """How many modules stand at each place used, the places filled in the order of the brief.

    What finds no room is put on the last place (the room limit says so elsewhere).
    """
    left = modules
    filled: list[tuple[Place, int]] = []
    for place in brief.places:
        here = min(left, room_in(place, brief))
        if here > 0:
            filled.append((place, here))
            left -= here
    if left > 0 and brief.places:
        place, here = filled.pop() if filled else (brief.places[-1], 0)
        filled.append((place, here + left))
    return tuple(filled)


def added_mass(brief: Brief, modules: int) -> Kilogram:
    """Mass of everything the conversion puts on the bicycle, the charger left at home."""
    return sum(line.mass for line in parts_list(brief, modules) if line.title != brief.charger.title)


def price(brief: Brief, modules: int) -> float:
    """Price of everything on the parts list, tax included."""
    return sum(line.price for line in parts_list(brief, modules))


def parts_list(brief: Brief, modules: int) -> tuple[PartLine, ...]:
    """Everything to order for that many modules, with mass and price."""
    kind = brief.battery_module
    lines = [
        PartLine(count=1, unit="", title=brief.drive.title, mass=brief.drive.mass, price=brief.drive.price),
        PartLine(
            count=modules, unit="", title=kind.title, mass=modules * kind.mass, price=modules * kind.price
        ),
    ]
    for place, here in stacks(brief, modules):
        carrier = place.carrier
        lines.append(
            PartLine(
                count=1,
                unit="",
                title=f"{carrier.title} ({place.name})",
                mass=carrier.mass + here * carrier.mass_per_module,
                price=carrier.price,
            )
        )
    cable, length = brief.cable, brief.cable_length
    lines.append(
        PartLine(
            count=length,
            unit="m",
            title=cable.title,
            mass=length * cable.mass_per_metre,
            price=length * cable.price_per_metre,
        )
    )
    charger = brief.charger
    lines.append(PartLine(count=1, unit="", title=charger.title, mass=charger.mass, price=charger.price))
    if brief.other_parts_mass or brief.other_parts_price:
        lines.append(
            PartLine(
                count=1,
                unit="",
                title="Fixings, switch, display and small parts",
                mass=brief.other_parts_mass,
                price=brief.other_parts_price,
            )
        )
    return tuple(lines)
