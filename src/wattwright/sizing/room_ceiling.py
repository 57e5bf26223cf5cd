"""The ceiling from the room measured on the bicycle, place by place."""

import math
from typing import Final

from wattwright.sizing.brief import Brief, Place
from wattwright.sizing.build_up import room_in
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.limits import Aim, Change, Limit, Side
from wattwright.units import Metre, mm_from_metres
from wattwright.working import Quantity, Source, Standing, Working

TAPE: Final = Source(
    text="lengths measured on this bicycle; carrier's data sheet", standing=Standing.MEASURED
)


def room_ceiling(brief: Brief, aim: Aim) -> Limit | None:
    """How many modules the measured places take together; None where nothing was measured.

    Notes:
        n = Σ (free length − carrier's ends − removal travel) / pitch, each rounded down, each at most the
        carrier's slots.
    """
    if not brief.places:
        return None
    total = sum(room_in(place, brief) for place in brief.places)
    pitch = mm_from_metres(brief.battery_module.pitch)
    return Limit(
        subject=brief.places[0].name if len(brief.places) == 1 else "room on the bicycle",
        side=Side.CEILING,
        modules=total,
        because=_because(brief, total),
        working=Working(
            title="room",
            formula="n = Σ (free length − carrier's ends − removal travel) / pitch, each rounded down",
            values=(Quantity(symbol="p", meaning="pitch of the modules", value=pitch, unit="mm"),),
            result=_count(total),
            source=TAPE,
            steps=tuple(_place_step(brief, place) for place in brief.places),
        ),
        loosen=_more_room(brief, total, aim.above(total)),
    )


def room_left(place: Place, brief: Brief) -> Metre:
    """Length still free beside the stack the place takes; the whole of it where the carrier does not fit."""
    here = room_in(place, brief)
    taken = place.carrier.base_length + place.carrier.removal_travel + here * brief.battery_module.pitch
    return place.free_length - (taken if here else 0.0)


def _because(brief: Brief, total: int) -> str:
    unfit = "".join(_unfit(place, brief) for place in brief.places)
    roomiest = max(brief.places, key=lambda place: room_left(place, brief))
    spare = mm_from_metres(room_left(roomiest, brief))
    if len(brief.places) == 1:
        left = f" and leaves {spare:.0f} mm" if total else ""
        return f"The {roomiest.name} takes {modules_in_words(total)} on its carrier{left}.{unfit}"
    each = ", ".join(f"{place.name} {room_in(place, brief)}" for place in brief.places)
    return (
        f"The places measured take {total} together: {each}. Most room is left at the {roomiest.name}: "
        f"{spare:.0f} mm.{unfit}"
    )


def _unfit(place: Place, brief: Brief) -> str:
    if brief.battery_module.name in place.carrier.modules_fitting:
        return ""
    return f" “{place.carrier.title}” ({place.name}) is not made for this module."


def _count(value: float) -> Quantity:
    return Quantity(symbol="n", meaning="modules", value=value, unit="modules", digits=0)


def _millimetres(symbol: str, meaning: str, length: Metre) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=mm_from_metres(length), unit="mm", digits=0)


def _place_step(brief: Brief, place: Place) -> Working:
    carrier = place.carrier
    return Working(
        title=place.name,
        formula="n = (L − L_ends − L_travel) / p, rounded down, at most the carrier's slots",
        values=(
            _millimetres("L", "free length", place.free_length),
            _millimetres("L_ends", "carrier's ends", carrier.base_length),
            _millimetres("L_travel", "travel to take the stack off", carrier.removal_travel),
            _millimetres("p", "pitch", brief.battery_module.pitch),
            Quantity(
                symbol="slots", meaning="carrier's slots", value=carrier.maximum_modules, unit="", digits=0
            ),
            _millimetres("L_left", "left over", room_left(place, brief)),
        ),
        result=_count(room_in(place, brief)),
        source=TAPE,
    )


def _more_room(brief: Brief, total: int, target: int) -> tuple[Change, ...]:
    """For each place the millimetres that would win the wanted modules, the nearest first."""
    changes = []
    for index, place in enumerate(brief.places):
        carrier, more = place.carrier, room_in(place, brief) + target - total
        if brief.battery_module.name not in carrier.modules_fitting or more > carrier.maximum_modules:
            continue
        wanted = carrier.base_length + carrier.removal_travel + more * brief.battery_module.pitch
        before, after = mm_from_metres(place.free_length), float(math.ceil(mm_from_metres(wanted) - 1e-6))
        changes.append(
            Change(
                what=f"find {after - before:.0f} mm more at the {place.name}",
                field=f"places[{index}].free_length_mm",
                before=before,
                after=after,
                unit="mm",
                modules=target,
            )
        )
    return tuple(sorted(changes, key=lambda change: change.after - change.before))
