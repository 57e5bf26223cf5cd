"""The brief: everything the decision needs to know of one job, with parts and paths in hand."""

from dataclasses import dataclass
from enum import Enum

from wattwright.parts.accessories import Cable, Carrier, Charger
from wattwright.parts.assist_class import AssistClass
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import Drive
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.spread import Spread
from wattwright.units import FloatArray, Fraction, Kelvin, Kilogram, Metre, MetrePerSecond, Radian, Second


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """Usual weather of one month at the hours of riding."""

    temperature: Kelvin
    temperature_spread: Kelvin
    """Standard deviation from day to day."""
    wind: MetrePerSecond
    """Usual wind at 10 m over open land."""
    humidity: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Twelve months, January first, and where the wind usually comes from."""

    months: tuple[Month, ...]
    wind_from: Radian | None
    """Usual direction, clockwise from north; None where it comes from anywhere."""
    station_altitude: Metre
    shelter: Fraction
    """Wind at rider height over wind at 10 m: about 0.5 among houses, 0.7 in the open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRide:
    """One ride of the customer: the road, how often, and when."""

    name: str
    path: RidePath
    times_per_week: float
    months: tuple[int, ...]
    """1 to 12."""
    load: Kilogram
    """Carried on this ride besides the rider."""
    start_charge: Fraction
    """Usual charge at the start; 1 after a full charge."""
    charged_after: bool
    """Whether the pack is charged before the next ride of the day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Room for one stack: a stretch of tube or rack, measured with a tape for now."""

    name: str
    free_length: Metre
    carrier: Carrier


class RankBy(Enum):
    """What alternatives are ranked by."""

    PRICE = "price"
    MASS = "mass"
    ARRIVAL = "arrival"
    COUNT = "count"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What the customer wants held."""

    confidence: Fraction
    """Share of rides that must arrive: 0.9."""
    reserve: Fraction
    """Charge to be left on arrival: 0.15."""
    years: float
    """Years of service the last of which must still be ridden."""
    added_mass: Kilogram | None
    """Most the conversion may add; None if it does not matter."""
    budget: float | None
    """Most the parts may cost, tax included; None if it does not matter."""
    one_module_off: bool
    """Whether the drive's full current must be carried with one module off."""
    charge_hours: Second | None
    """Longest charge from empty; None if it does not matter."""
    currency: str
    rank_by: RankBy


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """One job, ready to be worked out."""

    title: str
    rider: Rider
    bicycle: Bicycle
    rides: tuple[PlannedRide, ...]
    climate: Climate
    assist_class: AssistClass
    drive: Drive
    battery_module: BatteryModule
    open_circuit: FloatArray
    """(points,) of one cell of the module's chemistry [V], on a uniform grid of charge from 0 to 1."""
    charger: Charger
    cable: Cable
    cable_length: Metre
    """One way, stack to controller."""
    places: tuple[Place, ...]
    other_parts_mass: Kilogram
    """Fixings, switch, display and the like."""
    other_parts_price: float
    spread: Spread
    wishes: Wishes
    storage_temperature: Kelvin
    """Where the pack stands when it is not ridden: the shed."""
    storage_charge: Fraction
    """At which charge it usually stands."""
    charge_temperature: Kelvin
    samples: int
    seed: int
    help: Fraction = 1.0
    """Share of the drive's full help that ``drive`` is set to, as the job file says it."""
