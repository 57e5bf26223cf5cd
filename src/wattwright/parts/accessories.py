"""What goes with modules and drive: chargers, carriers, cables."""

from dataclasses import dataclass

from wattwright.parts.battery_module import Chemistry
from wattwright.parts.carrier import CarrierShape
from wattwright.units import Ampere, Fraction, Kilogram, Metre, SquareMetre, Volt


@dataclass(frozen=True, slots=True, kw_only=True)
class Charger:
    """A charger: constant current, then constant voltage."""

    name: str
    title: str
    chemistry: Chemistry
    voltage: Volt
    current: Ampere
    efficiency: Fraction
    mass: Kilogram
    price: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """What a stack sits on or in: base + pitch·n long, and with a ``shape`` where its drawing is known."""

    name: str
    title: str
    modules_fitting: tuple[str, ...]
    """Names of the module kinds it takes."""
    base_length: Metre
    """End pieces and dock, without modules."""
    removal_travel: Metre
    """Free length needed beside the stack to take it off."""
    maximum_modules: int
    mass: Kilogram
    mass_per_module: Kilogram
    price: float
    shape: CarrierShape | None = None
    """As its drawing shows it; None where only its length is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """A two-core lead between stack and controller, by the metre."""

    name: str
    title: str
    area: SquareMetre
    mass_per_metre: Kilogram
    price_per_metre: float
    maximum_current: Ampere
