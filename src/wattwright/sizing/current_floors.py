"""Floors from data sheets alone: nameplate current, one module off, charge current."""

import math
from typing import Final

from wattwright.sizing.brief import Brief
from wattwright.sizing.in_words import in_words
from wattwright.sizing.limits import Aim, Change, Limit, Side
from wattwright.units import Ampere
from wattwright.working import Quantity, Source, Standing, Working

SHEETS: Final = Source(text="data sheets of module, drive and charger", standing=Standing.MAKER)


def whole(quotient: float) -> int:
    """Rounded up, but a hair over a whole number counts as that number.

    >>> whole(1.5), whole(2.0000000001), whole(0.2)
    (2, 2, 1)
    """
    return max(1, math.ceil(quotient - 1e-9))


def ampere(symbol: str, meaning: str, value: Ampere) -> Quantity:
    """A current as a working shows it."""
    return Quantity(symbol=symbol, meaning=meaning, value=value, unit="A")


def modules(value: float) -> Quantity:
    """A count as a working shows it."""
    return Quantity(symbol="n", meaning="modules", value=value, unit="modules", digits=0)


def nameplate_floor(brief: Brief, aim: Aim) -> Limit:
    """The controller's battery-current limit over what one module gives for good.

    Notes:
        n = I_limit / I_module, rounded up.
    """
    limit = brief.drive.controller.battery_current_limit
    each = brief.battery_module.continuous_discharge_current
    count = whole(limit / each)
    bound = ampere("I_module", "continuous discharge current of one module", each)
    return Limit(
        subject="controller current",
        side=Side.FLOOR,
        modules=count,
        because=f"The controller may draw {limit:g} A and one module gives {each:g} A for good.",
        working=Working(
            title="controller current by the nameplate",
            formula="n = I_limit / I_module, rounded up",
            values=(ampere("I_limit", "battery-current limit of the controller", limit), bound),
            result=modules(count),
            source=SHEETS,
        ),
        loosen=lower_limit(brief, aim.below(count)),
        at_count=tuple(
            (n, ampere("I", "from each module at the limit", limit / n)) for n in aim.counts(count)
        ),
        bound=bound,
    )


def one_off_floor(brief: Brief, aim: Aim) -> Limit | None:
    """Enough modules that the rest still carry the controller's limit when one lets go; None if not wished.

    Notes:
        (n − 1) I_module ≥ I_limit.
    """
    if not brief.wishes.one_module_off:
        return None
    limit = brief.drive.controller.battery_current_limit
    each = brief.battery_module.continuous_discharge_current
    count = whole(limit / each) + 1
    fewer = (
        f"with {in_words(count - 1)}, the rest would carry {(count - 2) * each:g} A"
        if count > 2
        else "with one, nothing would be left"
    )
    bound = ampere("I_module", "continuous discharge current of one module", each)
    return Limit(
        subject="one module off",
        side=Side.FLOOR,
        modules=count,
        because=f"If one of {in_words(count)} lets go, the rest still carry the controller's {limit:g} A; "
        f"{fewer}.",
        working=Working(
            title="one module off",
            formula="(n − 1) · I_module ≥ I_limit",
            values=(ampere("I_limit", "battery-current limit of the controller", limit), bound),
            result=modules(count),
            source=SHEETS,
        ),
        loosen=lower_limit(brief, aim.below(count), spare=1),
        at_count=tuple(
            (n, ampere("I", "from each of the rest at the limit", limit / (n - 1)))
            for n in aim.counts(count, least=2)
        ),
        bound=bound,
    )


def lower_limit(brief: Brief, count: int, *, spare: int = 0) -> tuple[Change, ...]:
    """The controller current that ``count`` modules, ``spare`` of them off, carry for good."""
    before = brief.drive.controller.battery_current_limit
    after = (count - spare) * brief.battery_module.continuous_discharge_current
    if not 0.0 < after < before:
        return ()
    return (
        Change(
            what=f"set the controller's battery current to {after:g} A",
            field="drive.battery_current_limit_a",
            before=before,
            after=after,
            unit="A",
            modules=count,
        ),
    )


def charge_floor(brief: Brief, aim: Aim) -> Limit:
    """The charger's current over what one module takes.

    Notes:
        n = I_charger / I_module, rounded up.
    """
    current, each = brief.charger.current, brief.battery_module.maximum_charge_current
    count = whole(current / each)
    bound = ampere("I_module", "largest charge current of one module", each)
    return Limit(
        subject="charge current",
        side=Side.FLOOR,
        modules=count,
        because=f"The charger gives {current:g} A and one module takes at most {each:g} A.",
        working=Working(
            title="charge current",
            formula="n = I_charger / I_module, rounded up",
            values=(ampere("I_charger", "charger's current", current), bound),
            result=modules(count),
            source=SHEETS,
        ),
        loosen=_smaller_charger(current, aim.below(count), each),
        at_count=tuple((n, ampere("I", "into each module", current / n)) for n in aim.counts(count)),
        bound=bound,
    )


def _smaller_charger(before: Ampere, count: int, each: Ampere) -> tuple[Change, ...]:
    if count < 1:
        return ()
    after = count * each
    return (
        Change(
            what=f"take a charger of at most {after:g} A",
            field="pack.charger",
            before=before,
            after=after,
            unit="A",
            modules=count,
        ),
    )
