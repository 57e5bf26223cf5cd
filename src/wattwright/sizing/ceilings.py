"""Ceilings besides room: mass, budget, the module's own parallel limit, charging time."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass, price
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.limits import Aim, Change, Limit, Side
from wattwright.sizing.search import MOST_MODULES
from wattwright.units import ampere_hours_from_coulombs, grams_from_kilograms, hours_from_seconds
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Purse:
    """Something that every module takes from: what the customer allows in mass, or in money."""

    subject: str
    formula: str
    field: str
    symbol: str
    unit: str
    digits: int
    most: float
    """What is allowed."""
    each: float
    """What one module takes by itself."""
    takes: str
    """"add" or "cost"."""
    wished: str
    """The second half of the sentence: "10 kg are allowed"."""

    def quantity(self, symbol: str, meaning: str, value: float) -> Quantity:
        """An amount as a working shows it."""
        return Quantity(symbol=symbol, meaning=meaning, value=value, unit=self.unit, digits=self.digits)


def mass_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """Most modules within the mass the customer allows; None where it does not matter."""
    most = brief.wishes.added_mass
    if most is None:
        return None
    purse = Purse(
        subject="added mass",
        formula="m(n) = m_drive + n · m_module + m_carriers + m_cable + m_small ≤ m_allowed",
        field="wishes.added_mass_kg",
        symbol="m",
        unit="kg",
        digits=2,
        most=most,
        each=brief.battery_module.mass,
        takes="add",
        wished=f"{most:g} kg are allowed",
    )
    return _within(
        purse,
        lambda n: added_mass(brief, n),
        aim,
        lambda more: f"allow {grams_from_kilograms(more):.0f} g more",
    )


def budget_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """Most modules within the budget; None where it does not matter."""
    most, currency = brief.wishes.budget, brief.wishes.currency
    if most is None:
        return None
    purse = Purse(
        subject="budget",
        formula="p(n) = p_drive + n · p_module + p_carriers + p_cable + p_charger + p_small ≤ p_allowed",
        field="wishes.budget",
        symbol="p",
        unit=currency,
        digits=0,
        most=most,
        each=brief.battery_module.price,
        takes="cost",
        wished=f"{most:.0f} are set aside",
    )
    return _within(
        purse, lambda n: price(brief, n), aim, lambda more: f"add {more:.0f} {currency} to the budget"
    )


def _within(
    purse: Purse, taken: Callable[[int], float], aim: Aim, more_in_words: Callable[[float], str]
) -> Limit:
    """The highest count that a purse allows."""
    count = _most(lambda n: taken(n) <= purse.most + 1e-9)
    target, here = aim.above(count), taken(count)
    after = _rounded_up(taken(target), purse.digits)
    bound = purse.quantity(f"{purse.symbol}_allowed", "wished at most", purse.most)
    return Limit(
        subject=purse.subject,
        side=Side.CEILING,
        modules=count,
        because=_taken_in_words(purse, count, here),
        working=Working(
            title=purse.subject,
            formula=purse.formula,
            values=(
                purse.quantity(f"{purse.symbol}_0", "all but the modules and their carriers", taken(0)),
                purse.quantity(f"{purse.symbol}_module", "one module", purse.each),
                purse.quantity(f"{purse.symbol}({count})", "with that many", here),
                bound,
            ),
            result=_count(count),
            source=SHEETS,
        ),
        loosen=(
            Change(
                what=more_in_words(after - purse.most),
                field=purse.field,
                before=purse.most,
                after=after,
                unit=purse.unit,
                modules=target,
            ),
        ),
        at_count=tuple((n, purse.quantity(purse.symbol, "in all", taken(n))) for n in aim.counts(count)),
        bound=bound,
    )


def _taken_in_words(purse: Purse, count: int, here: float) -> str:
    amount = f"{here:.{min(purse.digits, 1)}f} {purse.unit}"
    if count == 0:
        return f"Without any module the parts {purse.takes} {amount} already; {purse.wished}."
    whole = f"{modules_in_words(count).capitalize()} and all that goes with {'it' if count == 1 else 'them'}"
    return f"{whole} {purse.takes} {amount}; {purse.wished}."


def _rounded_up(value: float, digits: int) -> float:
    return math.ceil(value * 10.0**digits - 1e-6) / 10.0**digits


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
    time, stronger = _rounded_up(hours_from_seconds(charge / current), 1), _rounded_up(charge / most, 1)
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
