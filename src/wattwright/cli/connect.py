"""``wattwright connect MODULE``: may these modules be joined now?"""

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli import shown
from wattwright.units import (
    fraction_from_percent,
    kelvin_from_celsius,
    minutes_from_seconds,
    ohms_from_milliohms,
    percent_from_fraction,
)

if TYPE_CHECKING:
    from wattwright.pack.connecting import ConnectAnswer

NOT_YET = 1
"""Exit code where they may not be joined as they are."""
CAUTION = "Join only modules of one kind, undamaged and dry, at rest; the module's manual goes before this."


def connect_command(
    module: Annotated[str, typer.Argument(help="Module, by its catalogue name.")],
    *,
    voltage_v: Annotated[
        list[float] | None, typer.Option(help="Rest voltage of one module; once for each, in stack order.")
    ] = None,
    charge_pct: Annotated[
        list[float] | None, typer.Option(help="Charge of one module in place of its voltage; once for each.")
    ] = None,
    temperature_c: Annotated[float, typer.Option(help="Of all modules.")] = 20.0,
    contact_mohm: Annotated[float, typer.Option(help="Between neighbours, out and back.")] = 2.0,
    joint_limit_a: Annotated[float | None, typer.Option(help="What a contact carries.")] = None,
    catalogue: Annotated[
        list[Path] | None, typer.Option("--catalogue", help="Further catalogue file; may be repeated.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Say whether modules may be joined in parallel now, and if not what to do first.

    Exit code 0 if they may, 1 if not yet, 2 if something given cannot be used.
    """
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.workflow.connect import connect_modules  # noqa: PLC0415 (start-up)

    answer = connect_modules(
        load_catalogue(tuple(catalogue or ())),
        module,
        voltages=voltage_v or (),
        charges=[fraction_from_percent(share) for share in charge_pct or ()],
        temperature=kelvin_from_celsius(temperature_c),
        contact=ohms_from_milliohms(contact_mohm),
        joint_limit=math.inf if joint_limit_a is None else joint_limit_a,
    )
    if as_json:
        shown.show_json(connect_table(answer))
    else:
        _show(answer)
    if not answer.may_join:
        raise typer.Exit(NOT_YET)


def connect_table(answer: "ConnectAnswer") -> dict[str, Any]:
    """The answer as plain tables; keys end in their units."""
    return {
        "may_join": answer.may_join,
        "reasons": list(answer.reasons),
        "first": list(answer.first),
        "charge_not_told_of": [at + 1 for at in answer.cannot_tell],
        "modules": [
            {
                "charge_pct": round(percent_from_fraction(charge.value), 1),
                "charge_low_pct": round(percent_from_fraction(charge.low), 1),
                "charge_high_pct": round(percent_from_fraction(charge.high), 1),
                "peak_current_a": round(float(peak), 3),
            }
            for charge, peak in zip(answer.charges, answer.peak_current, strict=True)
        ],
        "peak_joint_a": round(answer.peak_joint, 3),
        "charge_limit_a": answer.limits[0],
        "discharge_limit_a": answer.limits[1],
        "settled_min": round(minutes_from_seconds(answer.settled), 1)
        if math.isfinite(answer.settled)
        else None,
        "target_voltage_v": round(answer.target_voltage, 2),
        "caution": CAUTION,
    }


def _show(answer: "ConnectAnswer") -> None:
    shown.say("They may be joined." if answer.may_join else "Do not join them yet.")
    rows = [
        (
            str(at + 1),
            f"{percent_from_fraction(charge.value):.0f} %",
            f"{percent_from_fraction(charge.low):.0f} to {percent_from_fraction(charge.high):.0f} %",
            f"{peak:.1f} A",
        )
        for at, (charge, peak) in enumerate(zip(answer.charges, answer.peak_current, strict=True))
    ]
    columns = ("module", ">charge", ">it could be", ">largest equalising current")
    shown.console().print(shown.table("Equalising, worst case of the readings", columns, rows))
    shown.lines("Why not", answer.reasons)
    shown.lines("First", answer.first)
    shown.lines("Caution", [CAUTION])
