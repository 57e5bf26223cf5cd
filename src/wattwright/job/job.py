"""The job: one bicycle's conversion as the fitter keeps it; parts and tracks by name."""

from dataclasses import dataclass

from wattwright.parts.bicycle import Bicycle
from wattwright.ride.rider import Rider
from wattwright.ride.spread import Spread
from wattwright.sizing.brief import Climate, Wishes
from wattwright.units import Ampere, Fraction, Kelvin, Kilogram, Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRide:
    """One ride of the job: a track file, or distance and ascent for want of one."""

    name: str
    file: str
    """Path relative to the job file; "" for a ride without a recording."""
    distance: Metre
    """Of a ride without a recording; 0 otherwise."""
    ascent: Metre
    """Of a ride without a recording, or one way of a track without elevation; 0 otherwise."""
    stops: int
    """Of a ride without a recording."""
    there_and_back: bool
    """Whether the track is one way of a round trip."""
    assume_flat: bool
    """The fitter's word that a track without elevation is flat."""
    times_per_week: float
    months: tuple[int, ...]
    load: Kilogram
    start_charge: Fraction
    charged_after: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPlace:
    """Room for one stack, and the carrier meant for it."""

    name: str
    free_length: Metre
    carrier: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One customer's bicycle, whole."""

    title: str
    number: str
    customer: str
    workshop: str
    date: str
    """ISO 8601, as written in the job."""
    region: str
    """Name of an assist class in ``data/assist-classes``."""
    rider: Rider
    bicycle: Bicycle
    rides: tuple[JobRide, ...]
    climate: Climate
    module: str
    drive: str
    charger: str
    cable: str
    cable_length: Metre
    places: tuple[JobPlace, ...]
    battery_current_limit: Ampere | None
    """Where the fitter sets the controller lower than its own limit."""
    regeneration_current_limit: Ampere | None
    """Where the fitter sets regeneration lower than the controller's own limit; 0 switches it off."""
    help: Fraction
    """Share of the law's help the rider usually takes: a lower level of assistance."""
    other_parts_mass: Kilogram
    other_parts_price: float
    alternatives: tuple[str, ...]
    """Other modules and drives to work out beside the chosen ones."""
    spread: Spread
    wishes: Wishes
    storage_temperature: Kelvin
    storage_charge: Fraction
    charge_temperature: Kelvin
    samples: int
    seed: int
    catalogues: tuple[str, ...] = ()
    """The customer's or workshop's own catalogue files, relative to the job file; later ones win."""
    survey: str = ""
    """Frame file of this bicycle, relative to the job file; "" where nobody measured the frame."""
    notes: str = ""
