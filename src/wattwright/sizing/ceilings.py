"""Ceilings besides room: mass, budget, the module's own parallel limit, charging time."""

import math
from collections.abc import Callable
from typing import Final

from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass, price
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.limits import Aim, Change, Limit, Side
from wattwright.sizing.search import MOST_MODULES
from wattwright.units import ampere_hours_from_coulombs, hours_from_seconds
from wattwright.working import Quantity, Source, Standing, Working

SHEETS: Final = Source(text="data sheets and catalogue prices", standing=Standing.MAKER)


def _count(value: float) -> Quantity:
    return Quantity(symbol="n", meaning="modules", value=value, unit="modules", digits=0)


def _most(allowed: Callable[[int], bool]) -> int:
    """Highest count up to MOST_MODULES for which the (antitone) condition holds; 0 where none does."""
    count = 0
    while count < MOST_MODULES and allowed(count + 1):
        count += 1
    return count


def mass_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """Most modules within the mass the customer allows; None where it does not matter."""
    most = brief.wishes.added_mass
    if most is None:
        return None

    def kilograms(symbol: str, meaning: str, mass: float) -> Quantity:
        return Quantity(symbol=symbol, meaning=meaning, value=mass, unit="kg", digits=2)

    count = _most(lambda n: added_mass(brief, n) <= most + 1e-9)
    target = aim.above(count)
    after = math.ceil(100.0 * added_mass(brief, target) - 1e-6) / 100.0
    here = added_mass(brief, count)
    because = (
        f"{modules_in_words(count).capitalize()} and all that goes with them add {here:.1f} kg; "
        f"{most:g} kg are allowed."
        if count
        else f"Without any module the conversion adds {here:.1f} kg already; {most:g} kg are allowed."
    )
    return Limit(
        subject="added mass",
        side=Side.CEILING,
        modules=count,
        because=because,
        working=Working(
            title="added mass",
            formula="m(n) = m_drive + n · m_module + m_carriers + m_cable + m_small ≤ m_allowed",
            values=(
                kilograms("m_0", "conversion without modules", added_mass(brief, 0)),
                kilograms("m_module", "one module", brief.battery_module.mass),
                kilograms(f"m({count})", "with that many", here),
                kilograms("m_allowed", "wished at most", most),
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=f"allow {1000 * (after - most):.0f} g more",
                field="wishes.added_mass_kg",
                before=most,
                after=after,
                unit="kg",
                modules=target,
            ),
        ),
        at_count=tuple((n, kilograms("m", "added", added_mass(brief, n))) for n in aim.counts(count)),
        bound=kilograms("m_allowed", "wished at most", most),
    )


def budget_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """Most modules within the budget; None where it does not matter."""
    most, currency = brief.wishes.budget, brief.wishes.currency
    if most is None:
        return None

    def money(symbol: str, meaning: str, amount: float) -> Quantity:
        return Quantity(symbol=symbol, meaning=meaning, value=amount, unit=currency, digits=0)

    count = _most(lambda n: price(brief, n) <= most + 1e-9)
    target, here = aim.above(count), price(brief, count)
    after = float(math.ceil(price(brief, target) - 1e-6))
    because = (
        f"{modules_in_words(count).capitalize()} and all that goes with them cost {here:.0f} {currency}; "
        f"{most:.0f} are set aside."
        if count
        else f"Without any module the parts cost {here:.0f} {currency} already; {most:.0f} are set aside."
    )
    return Limit(
        subject="budget",
        side=Side.CEILING,
        modules=count,
        because=because,
        working=Working(
            title="budget",
            formula="p(n) = p_drive + n · p_module + p_carriers + p_cable + p_charger + p_small ≤ budget",
            values=(
                money("p_0", "parts without modules", price(brief, 0)),
                money("p_module", "one module", brief.battery_module.price),
                money(f"p({count})", "with that many", here),
                money("budget", "set aside", most),
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=f"add {after - most:.0f} {currency} to the budget",
                field="wishes.budget",
                before=most,
                after=after,
                unit=currency,
                modules=target,
            ),
        ),
        at_count=tuple((n, money("p", "parts", price(brief, n))) for n in aim.counts(count)),
        bound=money("budget", "set aside", most),
    )


def parallel_ceiling(brief: Brief, aim: Aim) -> Limit:
    """Most modules the maker permits side by side."""
    count = brief.battery_module.maximum_parallel
    target = aim.above(count)
    return Limit(
        subject="module's parallel limit",
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
        loosen=(
            Change(
                what=f"take a module whose maker permits {target} in parallel",
                field="pack.module",
                before=float(count),
                after=float(target),
                unit="modules",
                modules=target,
            ),
        ),
    )


def charge_time_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """Most modules the charger fills in the time there is; None where it does not matter.

    Notes:
        Constant current alone, t = n Q / I: the constant-voltage end adds to it, so this is the most generous
        reading.
    """
    most = brief.wishes.charge_hours
    if most is None:
        return None
    charge, current = brief.battery_module.capacity, brief.charger.current
    count = min(math.floor(most * current / charge + 1e-9), MOST_MODULES)
    target = aim.above(count)

    def hours(symbol: str, meaning: str, time: float) -> Quantity:
        return Quantity(symbol=symbol, meaning=meaning, value=hours_from_seconds(time), unit="h")

    return Limit(
        subject="charging time",
        side=Side.CEILING,
        modules=count,
        because=f"The charger's {current:g} A fill {modules_in_words(count)} in the "
        f"{hours_from_seconds(most):g} h there are.",
        working=Working(
            title="charging time",
            formula="n = t · I_charger / Q_module, rounded down; constant current alone, so at the least",
            values=(
                hours("t", "time for a full charge", most),
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
        loosen=_longer_or_stronger(brief, most, target),
        at_count=tuple((n, hours("t", "for a full charge", n * charge / current)) for n in aim.counts(count)),
        bound=hours("t", "time for a full charge", most),
    )


def _longer_or_stronger(brief: Brief, most: float, target: int) -> tuple[Change, ...]:
    """More time, or a charger of more current."""
    charge, current = target * brief.battery_module.capacity, brief.charger.current
    time = math.ceil(10.0 * hours_from_seconds(charge / current) - 1e-6) / 10.0
    stronger = math.ceil(10.0 * charge / most - 1e-6) / 10.0
    return (
        Change(
            what=f"allow {time:g} h for a full charge",
            field="wishes.charge_time_h",
            before=hours_from_seconds(most),
            after=time,
            unit="h",
            modules=target,
        ),
        Change(
            what=f"take a charger of at least {stronger:g} A",
            field="pack.charger",
            before=current,
            after=stronger,
            unit="A",
            modules=target,
        ),
    )
