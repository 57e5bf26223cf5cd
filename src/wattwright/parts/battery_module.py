"""The battery module: cells in series (and parallel) with their own protection electronics."""

from dataclasses import dataclass
from enum import Enum

from wattwright.units import (
    Ampere,
    Coulomb,
    Joule,
    JoulePerMole,
    Kelvin,
    Kilogram,
    Metre,
    Ohm,
    PerSecond,
    Second,
    Volt,
)


class Chemistry(Enum):
    """Cell families with a published open-circuit table (``data/open-circuit-voltage``)."""

    NMC811 = "nmc811"
    NMC532 = "nmc532"
    NCA = "nca"
    LFP = "lfp"
    LCO = "lco"


class WayBack(Enum):
    """How a module that let go for too much current comes back."""

    BY_ITSELF = "by itself"
    AFTER_REST = "after a rest without load"
    BY_CHARGER = "by charger"


class PowerState(Enum):
    """What a module's own electronics are doing while nobody rides."""

    AWAKE = "awake"
    """Output on, ready to ride."""
    STANDBY = "standby"
    """Gone to rest by itself after a while without current; wakes on load."""
    SWITCHED_OFF = "switched off"
    """Output off by its switch; in many modules the electronics stay awake."""
    DEEP_SLEEP = "deep sleep"
    """As it is shipped: wakes only on the charger or a button held down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectionPoint:
    """The module lets go when its current stays above ``current`` for longer than ``duration``."""

    current: Ampere
    duration: Second


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryModule:
    """One kind of module as its maker's data sheet describes it, new and at 25 °C."""

    name: str
    """Key in the catalogue: lower case, hyphens."""
    title: str
    chemistry: Chemistry
    cells_in_series: int
    cells_in_parallel: int
    capacity: Coulomb
    """Rated, whole module."""
    energy: Joule
    """As marked on the case; decides transport."""
    resistance: Ohm
    """Series resistance between the contacts at 25 °C and half charge, protection and contacts included."""
    relaxation_resistance: Ohm
    """R1 of the one RC pair."""
    relaxation_time: Second
    """R1·C1."""
    activation_energy: JoulePerMole
    """Of the resistance, for its growth in the cold (Arrhenius)."""
    maximum_voltage: Volt
    """End of charge."""
    minimum_voltage: Volt
    """Under load, where the module's protection lets go."""
    discharge_protection: tuple[ProtectionPoint, ...]
    """By falling current; the last one is the continuous current (with the time after which it lets go)."""
    continuous_discharge_current: Ampere
    maximum_charge_current: Ampere
    regeneration_current: Ampere
    """Largest short-time charge current while riding; 0 where the maker forbids regeneration."""
    coldest_discharge: Kelvin
    hottest_discharge: Kelvin
    coldest_charge: Kelvin
    hottest_charge: Kelvin
    mass: Kilogram
    pitch: Metre
    """How much longer a stack gets with one more module."""
    width: Metre
    height: Metre
    maximum_parallel: int
    """Most modules of the kind the maker permits in parallel in one pack."""
    maximum_series: int
    price: float
    """One module, in the workshop's currency, tax included."""
    awake_current: Ampere | None = None
    """What its electronics take from all cells in the state; None where the sheet is silent."""
    standby_current: Ampere | None = None
    switched_off_current: Ampere | None = None
    deep_sleep_current: Ampere | None = None
    self_discharge: PerSecond | None = None
    """Of the cells alone, share of *rated* charge per time at 25 °C and half charge; None where not given."""
    way_back: WayBack = WayBack.BY_CHARGER
    """After too much current; where the sheet says nothing, the worst for the ride is taken."""
    rest_before_return: Second = 30.0
    """How long it stays off at least, for the first two ways back; common practice, no source."""
    charge_protection: tuple[ProtectionPoint, ...] = ()
    """As ``discharge_protection``, for charge currents; empty where the sheet gives none."""

    def quiescent_current(self, state: PowerState) -> Ampere | None:
        """What the electronics take in a power state; None where the sheet is silent."""
        return {
            PowerState.AWAKE: self.awake_current,
            PowerState.STANDBY: self.standby_current,
            PowerState.SWITCHED_OFF: self.switched_off_current,
            PowerState.DEEP_SLEEP: self.deep_sleep_current,
        }[state]

    @property
    def nominal_voltage(self) -> Volt:
        """Marked energy over rated capacity."""
        return self.energy / self.capacity
