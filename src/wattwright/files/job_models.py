"""The tables of a job file: one bicycle's conversion as the fitter writes it down.

Ranges are wide physical bounds (common practice, no source) against slips of the pen and of the unit.
Defaults are assumptions a fitter would start from; ``job check`` says which were taken.
"""

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, ClassVar, Final

from pydantic import Field, model_validator

from wattwright.files.edge import Edge, contradiction
from wattwright.job.job import JobPlace, JobRide
from wattwright.ride.rider import Rider
from wattwright.ride.spread import Spread
from wattwright.sizing.brief import RankBy, Wishes

ALL_MONTHS: Final = list(range(1, 13))
MINIMUM_DISTANCE_KM: Final = 0.3


class HeadTable(Edge):
    """Whose bicycle it is, and where it will be ridden."""

    title: str = Field(min_length=1, max_length=200)
    number: str = Field(default="", max_length=60)
    """The workshop's own number for the job."""
    customer: str = Field(default="", max_length=200)
    workshop: str = Field(default="", max_length=200)
    date: dt.date
    """Of this state of the job: 2026-11-25, without quotes."""
    region: str = Field(min_length=1, max_length=60)
    """Name of the legal class the bicycle is meant to stay in."""
    catalogues: list[str] = Field(default_factory=list)
    """Own catalogue files, relative to this file; later ones win."""
    survey: str = Field(default="", max_length=400)
    """Frame file of this bicycle, relative to this file; left out where nobody measured the frame."""
    notes: str = Field(default="", max_length=4000)


class RiderTable(Edge):
    """The rider's body and habits."""

    record: ClassVar[type] = Rider

    mass_kg: float = Field(ge=20, le=250)
    """With clothes."""
    power_w: float = Field(default=90.0, ge=0, le=600)
    """At the crank, on the flat, for an hour."""
    power_per_grade_w_per_pct: float = Field(default=10.0, ge=0, le=100)
    """How much harder the rider pushes for each per cent uphill."""
    cadence_rpm: float = Field(default=70.0, ge=30, le=120)
    easing_speed_km_h: float = Field(default=24.0, ge=5, le=70)
    """From here the rider pedals less and less,"""
    coasting_speed_km_h: float = Field(default=32.0, ge=6, le=80)
    """and from here not at all."""
    strongest_push_n: float = Field(default=250.0, ge=20, le=1500)
    """At the wheel, starting off or on a wall."""

    @model_validator(mode="after")
    def _eases_before_it_coasts(self) -> "RiderTable":
        if self.easing_speed_km_h >= self.coasting_speed_km_h:
            raise contradiction(
                "easing_speed_km_h",
                self.easing_speed_km_h,
                f"below coasting_speed_km_h ({self.coasting_speed_km_h:g} km/h)",
            )
        return self


class BicycleTable(Edge):
    """The bicycle before its conversion, without rider, load and drive."""

    title: str = Field(min_length=1, max_length=200)
    mass_kg: float = Field(ge=4, le=120)
    tyre: str | None = None
    """Size on the driven wheel's tyre: "47-622"; or give roll_out_mm, or wheel_radius_mm."""
    roll_out_mm: float | None = Field(default=None, ge=900, le=2600)
    """Way of one wheel turn with the rider up: the better figure."""
    wheel_radius_mm: float | None = Field(default=None, ge=140, le=410)
    """Rolling radius of the driven wheel."""
    wheel_inertia_kg_m2: float = Field(default=0.20, ge=0.02, le=2)
    """Both wheels together; 0.14 for light racing wheels (Martin 1998)."""
    surface: str | None = None
    """Name of a tyre and surface; or give rolling_coefficient."""
    rolling_coefficient: float | None = Field(default=None, ge=0.001, le=0.06)
    posture: str | None = None
    """Name of a posture; or give drag_area_m2."""
    drag_area_m2: float | None = Field(default=None, ge=0.12, le=2.0)
    """CdA of rider, bicycle and luggage."""
    drivetrain_efficiency_pct: float = Field(default=95.0, ge=70, le=100)
    """Crank to wheel."""
    lowest_gear: float = Field(default=1.0, ge=0.2, le=8)
    """Front teeth over back teeth in the lowest gear: wheel turns per crank turn."""
    highest_gear: float = Field(default=3.5, ge=0.3, le=12)

    @model_validator(mode="after")
    def _says_each_thing_once(self) -> "BicycleTable":
        self._one_of("tyre", "roll_out_mm", "wheel_radius_mm")
        self._one_of("surface", "rolling_coefficient")
        self._one_of("posture", "drag_area_m2")
        if self.lowest_gear > self.highest_gear:
            raise contradiction(
                "lowest_gear", self.lowest_gear, f"at most highest_gear ({self.highest_gear:g})"
            )
        return self

    def _one_of(self, *keys: str) -> None:
        given = [key for key in keys if getattr(self, key) is not None]
        if not given:
            raise contradiction(keys[0], None, " or ".join(keys))
        if len(given) > 1:
            raise contradiction(given[1], getattr(self, given[1]), f"left out beside {given[0]}")


class RideTable(Edge):
    """One ride of the customer: a track file, or distance and ascent for want of one."""

    record: ClassVar[type] = JobRide

    name: str = Field(min_length=1, max_length=120)
    file: str = ""
    """Track file (GPX, TCX, FIT, CSV), relative to this file."""
    distance_km: float = Field(default=0.0, ge=0, le=1000)
    """Of a ride without a file."""
    ascent_m: float = Field(default=0.0, ge=0, le=20_000)
    """Sum of all climbs of a ride without a file; or, one way, of one whose track has no elevation."""
    stops: int = Field(default=0, ge=0, le=2000)
    """Standing stops of a ride without a file."""
    there_and_back: bool = False
    """Whether the track is one way of a round trip."""
    assume_flat: bool = False
    """Whether a track without elevation is to be taken as flat."""
    times_per_week: float = Field(ge=0, le=100)
    months: list[Annotated[int, Field(ge=1, le=12)]] = Field(
        default_factory=lambda: list(ALL_MONTHS), min_length=1, max_length=12
    )
    """In which it is ridden, 1 to 12."""
    load_kg: float = Field(default=0.0, ge=0, le=300)
    """Carried on this ride besides the rider."""
    start_charge_pct: float = Field(default=100.0, ge=10, le=100)
    charged_after: bool = True
    """Whether the pack is charged before the next ride."""

    @model_validator(mode="after")
    def _has_a_road(self) -> "RideTable":
        if self.file and self.distance_km:
            raise contradiction("distance_km", self.distance_km, "left out where a file gives the road")
        if not self.file and not self.distance_km:
            raise contradiction("distance_km", None, "0.3 to 1000 km, or a track by its file")
        if not self.file and self.distance_km < MINIMUM_DISTANCE_KM:
            raise contradiction(
                "distance_km", self.distance_km, "0.3 to 1000 km", "Shorter ways decide nothing."
            )
        if self.distance_km and self.ascent_m > 150 * self.distance_km:
            raise contradiction(
                "ascent_m", self.ascent_m, f"at most {150 * self.distance_km:g} m for {self.distance_km:g} km"
            )
        if self.assume_flat and self.ascent_m:
            raise contradiction("assume_flat", self.assume_flat, "left out where ascent_m is given")
        if self.file and self.stops:
            raise contradiction("stops", self.stops, "left out where a file gives the road")
        if len(set(self.months)) != len(self.months):
            raise contradiction("months", self.months, "a list that names each month once")
        return self


class ClimateTable(Edge):
    """Twelve months, January first, and where the wind usually comes from."""

    preset: str = ""
    """Name of a shipped climate; it fills whatever is not given here."""
    temperature_c: list[Annotated[float, Field(ge=-45, le=50)]] = Field(min_length=12, max_length=12)
    """At the hours of riding, by month."""
    temperature_spread_k: list[Annotated[float, Field(ge=0, le=20)]] = Field(min_length=12, max_length=12)
    """Standard deviation from day to day, by month."""
    wind_m_s: list[Annotated[float, Field(ge=0, le=25)]] = Field(min_length=12, max_length=12)
    """Usual wind at 10 m over open land, by month."""
    humidity_pct: list[Annotated[float, Field(ge=0, le=100)]] = Field(min_length=12, max_length=12)
    wind_from_deg: float | None = Field(default=None, ge=0, le=360)
    """Usual direction, clockwise from north; left out where it comes from anywhere."""
    station_altitude_m: float = Field(default=0.0, ge=-430, le=5500)
    shelter_pct: float = Field(default=60.0, ge=0, le=100)
    """Wind at the rider over wind at 10 m: about 50 among houses, 70 in the open."""


class DriveChoiceTable(Edge):
    """The drive, by its name in the catalogue, and how the fitter sets it."""

    renamed: ClassVar[Mapping[str, str]] = {"name": "drive"}

    name: str = Field(min_length=1, max_length=60)
    battery_current_limit_a: float | None = Field(default=None, gt=0, le=150)
    """Where the controller is set lower than its own limit."""
    regeneration_current_limit_a: float | None = Field(default=None, ge=0, le=150)
    """Where regeneration is set lower than the controller's own limit; 0 switches it off."""
    help_pct: float = Field(default=100.0, ge=10, le=100)
    """Share of the drive's help the rider usually takes."""


class PackChoiceTable(Edge):
    """Module, charger and cable, by their names in the catalogue."""

    module: str = Field(min_length=1, max_length=60)
    charger: str = Field(min_length=1, max_length=60)
    cable: str = Field(min_length=1, max_length=60)
    cable_length_m: float = Field(default=1.5, ge=0.05, le=10)
    """One way, stack to controller."""
    alternatives: list[str] = Field(default_factory=list)
    """Other modules and drives of the catalogue to work out beside these."""


class PlaceTable(Edge):
    """Room for one stack, measured with a tape, and the carrier meant for it."""

    record: ClassVar[type] = JobPlace

    name: str = Field(min_length=1, max_length=120)
    free_length_mm: float = Field(ge=30, le=3000)
    carrier: str = Field(min_length=1, max_length=60)


class WishesTable(Edge):
    """What the customer wants held."""

    record: ClassVar[type] = Wishes
    renamed: ClassVar[Mapping[str, str]] = {"charge_time": "charge_hours"}

    confidence_pct: float = Field(default=90.0, ge=50, le=99.9)
    """Share of rides that must arrive with the reserve."""
    reserve_pct: float = Field(default=15.0, ge=0, le=80)
    """Charge to be left on arrival."""
    years: float = Field(default=5.0, ge=0, le=25)
    """Years of service, the last of which must still be ridden."""
    added_mass_kg: float | None = Field(default=None, ge=0.5, le=100)
    """Most the conversion may add; left out if it does not matter."""
    budget: float | None = Field(default=None, ge=0, le=1_000_000)
    """Most the parts may cost, tax included; left out if it does not matter."""
    one_module_off: bool = False
    """Whether the drive's full current must be carried with one module off."""
    charge_time_h: float | None = Field(default=None, ge=0.1, le=100)
    """Longest charge from empty; left out if it does not matter."""
    currency: str = Field(default="EUR", min_length=1, max_length=8)
    rank_by: RankBy = Field(default=RankBy.PRICE, strict=False)
    """What alternatives are ranked by."""


class OtherPartsTable(Edge):
    """Fixings, switch, display and the like: what is not listed one by one."""

    renamed: ClassVar[Mapping[str, str]] = {"mass": "other_parts_mass", "price": "other_parts_price"}

    mass_kg: float = Field(default=0.6, ge=0, le=50)
    price: float = Field(default=60.0, ge=0, le=100_000)


class SpreadTable(Edge):
    """Standard deviations of what is not known exactly."""

    record: ClassVar[type] = Spread

    mass_kg: float = Field(default=2.0, ge=0, le=50)
    drag_area_pct: float = Field(default=8.0, ge=0, le=50)
    rolling_coefficient_pct: float = Field(default=15.0, ge=0, le=60)
    rider_power_pct: float = Field(default=15.0, ge=0, le=60)
    wind_pct: float = Field(default=50.0, ge=0, le=100)
    """Of the month's usual wind."""
    capacity_pct: float = Field(default=2.0, ge=0, le=30)
    """From specimen to specimen."""
    resistance_pct: float = Field(default=8.0, ge=0, le=60)


class StorageTable(Edge):
    """Where the pack stands when it is not ridden."""

    renamed: ClassVar[Mapping[str, str]] = {"temperature": "storage_temperature", "charge": "storage_charge"}

    temperature_c: float = Field(default=15.0, ge=-40, le=60)
    charge_pct: float = Field(default=80.0, ge=0, le=100)
    """At which charge it usually stands."""
    charge_temperature_c: float = Field(default=18.0, ge=-20, le=60)
    """Where it is charged."""


class SamplingTable(Edge):
    """How the spread is drawn."""

    samples: int = Field(default=1000, ge=128, le=100_000)
    seed: int = Field(default=1, ge=0, le=1_000_000)
    """The same seed gives the same answer."""


class JobTables(Edge):
    """A job file."""

    job: HeadTable
    rider: RiderTable
    bicycle: BicycleTable
    rides: list[RideTable] = Field(min_length=1, max_length=200)
    climate: ClimateTable
    drive: DriveChoiceTable
    pack: PackChoiceTable
    places: list[PlaceTable] = Field(min_length=1, max_length=50)
    other_parts: OtherPartsTable = Field(default_factory=OtherPartsTable)
    wishes: WishesTable = Field(default_factory=WishesTable)
    spread: SpreadTable = Field(default_factory=SpreadTable)
    storage: StorageTable = Field(default_factory=StorageTable)
    sampling: SamplingTable = Field(default_factory=SamplingTable)

    @model_validator(mode="after")
    def _names_rides_and_places_once(self) -> "JobTables":
        for key, names in (
            ("rides", [ride.name for ride in self.rides]),
            ("places", [place.name for place in self.places]),
        ):
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise contradiction(key, twice, "a list in which every name stands once")
        return self
