"""Regeneration into a full pack: the floor by voltage and current, and the charge that leaves room for it."""

import math
from dataclasses import replace
from typing import Final

import numpy as np

from wattwright.pack.resistance import arrhenius_factor
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.current_floors import ampere, modules, whole
from wattwright.sizing.limits import Aim, Change, Limit, Side
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.seasons import coldest_weather
from wattwright.sizing.trials import Trials, usual_case
from wattwright.units import Ampere, Fraction, Ohm, Volt, milliohms_from_ohms
from wattwright.working import Quantity, Source, Standing, Working

OVERVOLTAGE_PER_CELL: Final = 0.05
"""[V] Between end of charge and the protection's letting go; common practice, no source."""
ROOMY_START: Final[Fraction] = 0.7
"""Charge at which a trial descent is ridden so that a full pack does not hold its regeneration back."""
PRACTICE: Final = Source(
    text="data sheets; 0.05 V per cell above end of charge: common practice, no source",
    standing=Standing.COMMON_PRACTICE,
)


def headroom(brief: Brief) -> Volt:
    """From the module's end of charge to where its protection is taken to let go."""
    return OVERVOLTAGE_PER_CELL * brief.battery_module.cells_in_series


def regenerates(brief: Brief) -> bool:
    """Whether the drive can brake back into the pack at all."""
    return not brief.drive.freewheels and brief.drive.controller.regeneration_current_limit > 0


def cold_resistance(brief: Brief) -> Ohm:
    """One new module's R0 + R1 in the coldest month of any ride."""
    kind = brief.battery_module
    coldest = min(coldest_weather(brief, ride).temperature for ride in brief.rides)
    return (kind.resistance + kind.relaxation_resistance) * float(
        arrhenius_factor(coldest, kind.activation_energy)
    )


def borne_by_each(brief: Brief) -> Ampere:
    """What one full module bears: its own limit, and the rise in voltage the protection leaves room for."""
    return min(brief.battery_module.regeneration_current, headroom(brief) / cold_resistance(brief))


def regeneration_floor(brief: Brief, aim: Aim) -> Limit | None:
    """Modules that bear the drive's regeneration into a full pack; None where the drive cannot regenerate.

    Notes:
        n = max(I_regen / I_module, I_regen (R0 + R1) / ΔV), rounded up: a full module must neither get more
        current than it takes, nor rise by more than ΔV above its end of charge. For a controller that holds
        its full regeneration up to there; one that tapers at the end of charge asks for less.
    """
    if not regenerates(brief):
        return None
    kind, current = brief.battery_module, brief.drive.controller.regeneration_current_limit
    each = borne_by_each(brief)
    count = whole(current / each) if each > 0 else MOST_MODULES + 1
    resistance = milliohms_from_ohms(cold_resistance(brief))
    room = headroom(brief)
    return Limit(
        subject="regeneration into a full pack",
        side=Side.FLOOR,
        modules=count,
        because=f"Braking returns up to {current:g} A; one full module bears {each:.1f} A: it takes "
        f"{kind.regeneration_current:g} A at most, and may rise {room:.2f} V."
        if each > 0
        else "The module's maker forbids regeneration: switch it off in the controller.",
        working=Working(
            title="regeneration into a full pack",
            formula="n = max(I_regen / I_module, I_regen · R / ΔV), rounded up",
            values=(
                ampere("I_regen", "regeneration limit of the controller", current),
                ampere(
                    "I_module", "largest charge current of one module while riding", kind.regeneration_current
                ),
                Quantity(
                    symbol="R",
                    meaning="one module, R0 + R1, coldest month",
                    value=resistance,
                    unit="mΩ",
                    digits=0,
                ),
                Quantity(symbol="ΔV", meaning="room above end of charge", value=room, unit="V", digits=2),
            ),
            result=modules(count),
            source=PRACTICE,
        ),
        loosen=_less(current, aim.below(count), each),
        reachable=each > 0,
        at_count=tuple((n, ampere("I", "into each module", current / n)) for n in aim.counts(count))
        if each > 0
        else (),
        bound=ampere("I_full", "what one full module bears", each) if each > 0 else None,
    )


def _less(before: Ampere, target: int, each: Ampere) -> tuple[Change, ...]:
    """Braking back with no more than so many modules bear, or not at all."""
    after = math.floor(10.0 * max(target, 0) * each) / 10.0
    if after >= before:
        return ()
    return (
        Change(
            what=f"set regeneration to {after:g} A" if after > 0 else "switch regeneration off",
            field="drive.regeneration_current_limit_a",
            before=before,
            after=after,
            unit="A",
            modules=max(target, 1),
        ),
    )


def roomy_start(trials: Trials, ride: PlannedRide, count: int) -> Fraction:
    """The most charge to start the ride with so that braking never finds the pack full.

    Notes:
        A trial started at 70 % shows how far the charge climbs above its start on the way, in the wished
        share of samples; that much is left free. A ride that starts at less than that needs nothing.
    """
    lower = replace(ride, start_charge=min(ROOMY_START, ride.start_charge))
    case = usual_case(trials.brief, lower)
    outcome = trials.outcome(case, count, quick=True)
    climbed = (outcome.charge_at_mark - outcome.charge_at_mark[0]).max(axis=0)
    return 1.0 - max(float(np.quantile(climbed, trials.brief.wishes.confidence)), 0.0)
