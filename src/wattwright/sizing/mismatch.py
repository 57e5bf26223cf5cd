"""Parts that do not belong together are refused, with what would do in their place."""

from collections.abc import Iterable
from typing import Final

from wattwright.errors import InputError
from wattwright.parts.accessories import Charger
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.catalogue import Catalogue
from wattwright.parts.drive import Drive
from wattwright.sizing.brief import Brief

CHARGER_TOLERANCE: Final = 0.01
"""Share by which a charger may end off the module's own end of charge; assumption."""


def refuse_mismatch(brief: Brief, catalogue: Catalogue | None = None) -> None:
    """Refuse parts that do not belong together.

    Args:
        brief: The job.
        catalogue: To name in the way out what would fit; none is named without.

    Raises:
        InputError: Naming the part, its value and what would do.
    """
    kind, drive, charger = brief.battery_module, brief.drive, brief.charger
    shelf = catalogue or Catalogue()
    if kind.maximum_voltage > drive.controller.maximum_voltage:
        raise InputError(
            "pack.module",
            kind.name,
            f"a module of at most {drive.controller.maximum_voltage:.1f} V full",
            f"“{drive.title}” bears no more, “{kind.title}” reaches {kind.maximum_voltage:.1f} V."
            + _would_fit(other.name for other in shelf.modules.values() if module_suits(other, drive)),
        )
    if kind.nominal_voltage < drive.controller.cutoff_voltage:
        raise InputError(
            "pack.module",
            kind.name,
            f"a module of more than {drive.controller.cutoff_voltage:.1f} V nominal",
            f"“{drive.title}” switches off below that."
            + _would_fit(other.name for other in shelf.modules.values() if module_suits(other, drive)),
        )
    if not charger_suits(charger, kind):
        raise InputError(
            "pack.charger",
            charger.name,
            f"a {kind.chemistry.value} charger of {kind.maximum_voltage:.1f} V",
            f"“{charger.title}” is for {charger.chemistry.value}, {charger.voltage:.1f} V."
            + _would_fit(other.name for other in shelf.chargers.values() if charger_suits(other, kind)),
        )


def module_suits(kind: BatteryModule, drive: Drive) -> bool:
    """Whether the controller bears the full module and does not switch off at its nominal voltage."""
    controller = drive.controller
    return (
        kind.maximum_voltage <= controller.maximum_voltage
        and kind.nominal_voltage >= controller.cutoff_voltage
    )


def charger_suits(charger: Charger, kind: BatteryModule) -> bool:
    """Whether the charger is made for those cells and ends where the module is full."""
    return (
        charger.chemistry is kind.chemistry
        and abs(charger.voltage / kind.maximum_voltage - 1.0) <= CHARGER_TOLERANCE
    )


def _would_fit(names: Iterable[str]) -> str:
    fitting = sorted(names)
    return f" Would fit: {', '.join(fitting)}." if fitting else ""
