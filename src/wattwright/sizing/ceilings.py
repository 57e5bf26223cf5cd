"""Ceilings: room, mass, budget, the module's own parallel limit, charging time."""

import math
from collections.abc import Callable

from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass, price, room_in
from wattwright.sizing.limits import Change, Limit, Side
from wattwright.sizing.search import MOST_MODULES
from wattwright.units import ampere_hours_from_coulombs, hours_from_seconds, mm_from_metres
from wattwright.working import Quantity, Source, Standing, Working

SHEETS = Source(text="data sheets and catalogue prices", standing=Standing.MAKER)
TAPE = Source(text="lengths measured on this bicycle; carrier's data sheet", standing=Standing.MEASURED)


def _count(value: float) -> Quantity:
    return Quantity(symbol="n", meaning="modules", value=value, unit="modules", digits=0)


def room_ceiling(brief: Brief, target: int | None = None) -> Limit | None:
    """How many modules the measured places take together; None where nothing was measured.

    ``target`` is the count the changes should lift it to, one more where not given; so in all ceilings here.
    """
    if not brief.places:
        return None
    pitch = brief.battery_module.pitch
    steps = tuple(_place_step(brief, index) for index in range(len(brief.places)))
    counts = [room_in(place, brief) for place in brief.places]
    total = sum(counts)
    names = " and ".join(place.name for place in brief.places)
    each = ", ".join(f"{place.name} {count}" for place, count in zip(brief.places, counts, strict=True))
    return Limit(
        subject=names if len(brief.places) == 1 else "room on the bicycle",
        side=Side.CEILING,
        modules=total,
        because=f"The room measured takes {total}: {each}."
        if len(brief.places) > 1
        else f"The {names} takes {total} with the carrier meant for it.",
        working=Working(
            title="room",
            formula="n = Σ (free length − carrier ends − removal travel) / pitch, each rounded down",
            values=(
                Quantity(symbol="p", meaning="pitch of the modules", value=mm_from_metres(pitch), unit="mm"),
            ),
            result=_count(total),
            source=TAPE,
            steps=steps,
        ),
        loosen=_more_room(brief, total, _aim(total, target)),
        reachable=True,
    )


def _place_step(brief: Brief, index: int) -> Working:
    place = brief.places[index]
    carrier = place.carrier
    return Working(
        title=place.name,
        formula="n = (L − L_ends − L_travel) / p, rounded down, at most the carrier's slots",
        values=(
            Quantity(
                symbol="L",
                meaning="free length",
                value=mm_from_metres(place.free_length),
                unit="mm",
                digits=0,
            ),
            Quantity(
                symbol="L_ends",
                meaning="carrier's ends",
                value=mm_from_metres(carrier.base_length),
                unit="mm",
                digits=0,
            ),
            Quantity(
                symbol="L_travel",
                meaning="travel to take the stack off",
                value=mm_from_metres(carrier.removal_travel),
                unit="mm",
                digits=0,
            ),
            Quantity(
                symbol="p", meaning="pitch", value=mm_from_metres(brief.battery_module.pitch), unit="mm"
            ),
            Quantity(
                symbol="slots", meaning="carrier's slots", value=carrier.maximum_modules, unit="", digits=0
            ),
        ),
        result=_count(room_in(place, brief)),
        source=TAPE,
    )


def _aim(count: int, target: int | None) -> int:
    """The count the changes should lift a ceiling to; one more where not given."""
    return count + 1 if target is None else target


def _more_room(brief: Brief, total: int, aim: int) -> tuple[Change, ...]:
    """For each place the millimetres that would win the wanted modules, the nearest first."""
    changes = []
    for index, place in enumerate(brief.places):
        carrier, here = place.carrier, room_in(place, brief)
        fits = brief.battery_module.name in carrier.modules_fitting
        more = here + aim - total
        if not fits or more > carrier.maximum_modules:
            continue
        wanted = carrier.base_length + carrier.removal_travel + more * brief.battery_module.pitch
        short = mm_from_metres(wanted - place.free_length)
        changes.append(
            Change(
                what=f"find {short:.0f} mm more at the {place.name}",
                field=f"places[{index}].free_length_mm",
                before=mm_from_metres(place.free_length),
                after=mm_from_metres(wanted),
                unit="mm",
                modules=aim,
            )
        )
    return tuple(sorted(changes, key=lambda change: change.after - change.before))


def mass_ceiling(brief: Brief, target: int | None = None) -> Limit | None:
    """Most modules within the mass the customer allows; None where it does not matter."""
    most = brief.wishes.added_mass
    if most is None:
        return None
    count = _most(lambda n: added_mass(brief, n) <= most + 1e-9)
    aim = _aim(count, target)
    return Limit(
        subject="added mass",
        side=Side.CEILING,
        modules=count,
        because=f"{count} modules make {added_mass(brief, count):.1f} kg in all; {most:.1f} kg are allowed.",
        working=Working(
            title="added mass",
            formula="m(n) = m_drive + n · m_module + m_carriers + m_cable + m_small ≤ m_allowed",
            values=(
                Quantity(
                    symbol="m_0",
                    meaning="conversion without modules",
                    value=added_mass(brief, 0),
                    unit="kg",
                    digits=2,
                ),
                Quantity(
                    symbol="m_module",
                    meaning="one module",
                    value=brief.battery_module.mass,
                    unit="kg",
                    digits=2,
                ),
                Quantity(
                    symbol=f"m({count})",
                    meaning="with that many",
                    value=added_mass(brief, count),
                    unit="kg",
                    digits=2,
                ),
                Quantity(symbol="m_allowed", meaning="wished at most", value=most, unit="kg", digits=2),
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=f"allow {1000 * (added_mass(brief, aim) - most):.0f} g more",
                field="wishes.added_mass_kg",
                before=most,
                after=added_mass(brief, aim),
                unit="kg",
                modules=aim,
            ),
        ),
        at_count=tuple(
            (n, Quantity(symbol="m", meaning="added", value=added_mass(brief, n), unit="kg", digits=2))
            for n in range(max(count - 2, 1), count + 3)
        ),
        bound=Quantity(symbol="m_allowed", meaning="wished at most", value=most, unit="kg", digits=2),
    )


def budget_ceiling(brief: Brief, target: int | None = None) -> Limit | None:
    """Most modules within the budget; None where it does not matter."""
    most, currency = brief.wishes.budget, brief.wishes.currency
    if most is None:
        return None
    count = _most(lambda n: price(brief, n) <= most + 1e-9)
    aim = _aim(count, target)
    return Limit(
        subject="budget",
        side=Side.CEILING,
        modules=count,
        because=f"{count} modules make {price(brief, count):.0f} {currency} of parts; "
        f"{most:.0f} are set aside.",
        working=Working(
            title="budget",
            formula="p(n) = p_drive + n · p_module + p_carriers + p_cable + p_charger + p_small ≤ budget",
            values=(
                Quantity(
                    symbol="p_0",
                    meaning="parts without modules",
                    value=price(brief, 0),
                    unit=currency,
                    digits=0,
                ),
                Quantity(
                    symbol="p_module",
                    meaning="one module",
                    value=brief.battery_module.price,
                    unit=currency,
                    digits=0,
                ),
                Quantity(
                    symbol=f"p({count})",
                    meaning="with that many",
                    value=price(brief, count),
                    unit=currency,
                    digits=0,
                ),
                Quantity(symbol="budget", meaning="set aside", value=most, unit=currency, digits=0),
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=f"add {price(brief, aim) - most:.0f} {currency} to the budget",
                field="wishes.budget",
                before=most,
                after=price(brief, aim),
                unit=currency,
                modules=aim,
            ),
        ),
        at_count=tuple(
            (n, Quantity(symbol="p", meaning="parts", value=price(brief, n), unit=currency, digits=0))
            for n in range(max(count - 2, 1), count + 3)
        ),
        bound=Quantity(symbol="budget", meaning="set aside", value=most, unit=currency, digits=0),
    )


def parallel_ceiling(brief: Brief) -> Limit:
    """Most modules the maker permits side by side."""
    count = brief.battery_module.maximum_parallel
    return Limit(
        subject="parallel limit of the module",
        side=Side.CEILING,
        modules=count,
        because=f"The module's maker permits at most {count} in parallel.",
        working=Working(
            title="parallel limit",
            formula="n ≤ n_parallel",
            values=(),
            result=_count(count),
            source=Source(text="data sheet of the module", standing=Standing.MAKER),
        ),
    )


def charge_time_ceiling(brief: Brief, target: int | None = None) -> Limit | None:
    """Most modules the charger fills in the time there is; None where it does not matter.

    Notes:
        Constant current alone, t = n Q / I: the constant-voltage end adds to it, so this is the most generous
        reading.
    """
    most = brief.wishes.charge_hours
    if most is None:
        return None
    charge, current = brief.battery_module.capacity, brief.charger.current
    count = math.floor(most * current / charge + 1e-9)
    aim = _aim(count, target)
    return Limit(
        subject="charging time",
        side=Side.CEILING,
        modules=count,
        because=f"The charger's {current:.1f} A fill {count} modules in the "
        f"{hours_from_seconds(most):.1f} h there are.",
        working=Working(
            title="charging time",
            formula="n = t · I_charger / Q_module, rounded down; constant current alone",
            values=(
                Quantity(
                    symbol="t", meaning="time for a full charge", value=hours_from_seconds(most), unit="h"
                ),
                Quantity(symbol="I_charger", meaning="charger's current", value=current, unit="A"),
                Quantity(
                    symbol="Q_module",
                    meaning="one module",
                    value=ampere_hours_from_coulombs(charge),
                    unit="Ah",
                    digits=2,
                ),
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=f"allow {hours_from_seconds(aim * charge / current):.1f} h for a full charge",
                field="wishes.charge_time_h",
                before=hours_from_seconds(most),
                after=hours_from_seconds(aim * charge / current),
                unit="h",
                modules=aim,
            ),
        ),
    )


def _most(allowed: Callable[[int], bool]) -> int:
    """Highest count up to MOST_MODULES for which the (antitone) condition holds; 0 where none does."""
    count = 0
    while count < MOST_MODULES and allowed(count + 1):
        count += 1
    return count
