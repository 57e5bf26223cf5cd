"""The tables of a catalogue file: what a data sheet says, in the units it says it in.

Ranges are wide physical bounds for small battery modules and bicycle drives (common practice, no source):
they catch slips of the pen and of the unit, not unusual parts.
"""

from collections.abc import Mapping
from itertools import pairwise
from typing import ClassVar, Final

from pydantic import Field, model_validator

from wattwright.files.carrier_models import ShapeTable
from wattwright.files.edge import Edge, contradiction
from wattwright.parts.accessories import Cable, Carrier, Charger
from wattwright.parts.battery_module import BatteryModule, Chemistry, ProtectionPoint
from wattwright.parts.drive import AssistKind, AssistLaw, Controller, Drive, Motor, MotorPosition
from wattwright.units import torque_constant_from_speed_constant
from wattwright.working import Standing

CELL_VOLTAGES: Final[Mapping[Chemistry, tuple[float, float, float]]] = {
    Chemistry.NMC811: (2.5, 3.7175, 4.2),
    Chemistry.NMC532: (2.8, 3.7488, 4.2),
    Chemistry.NCA: (2.7, 3.6655, 4.2),
    Chemistry.LFP: (2.0, 3.1936, 3.65),
    Chemistry.LCO: (3.0, 3.8, 4.2),
}
"""[V] Lowest, mean and highest of one cell. Lowest and mean: equilibrium tables of Chen 2020, Mohtat 2020,
Kim 2011 and Prada 2013; highest for LFP 3.65 V (common practice, no source; Prada 2013 ends at 3.60 V).
LCO (memory)."""

NAME_FORM: Final = r"^[a-z0-9][a-z0-9-]{1,59}$"


class ProtectionTable(Edge):
    """One point of the module's over-current protection."""

    record: ClassVar[type] = ProtectionPoint

    current_a: float = Field(gt=0, le=300)
    """The module lets go when its current stays above this"""
    duration_s: float = Field(gt=0, le=86400)
    """for longer than this."""


class ModuleTable(Edge):
    """One kind of battery module, new and at 25 °C, as its maker's data sheet describes it."""

    record: ClassVar[type] = BatteryModule

    name: str = Field(pattern=NAME_FORM)
    """Lower case, digits and hyphens; jobs ask for the module by this name."""
    title: str = Field(min_length=1, max_length=120)
    """As it stands on the parts list."""
    chemistry: Chemistry = Field(strict=False)
    """Cell family; it decides the open-circuit voltage and the ageing model."""
    cells_in_series: int = Field(ge=1, le=30)
    cells_in_parallel: int = Field(ge=1, le=20)
    capacity_ah: float = Field(ge=0.2, le=60)
    """Rated, whole module."""
    energy_wh: float = Field(ge=1, le=2000)
    """As marked on the case; it decides transport."""
    resistance_mohm: float = Field(ge=1, le=3000)
    """Between the contacts at 25 °C and half charge, after some seconds; protection and contacts included."""
    relaxation_resistance_mohm: float = Field(ge=0, le=3000)
    """What comes on top within minutes: R1 of one RC pair."""
    relaxation_time_s: float = Field(ge=1, le=3600)
    """R1·C1."""
    activation_energy_kj_per_mol: float = Field(ge=0, le=80)
    """How steeply the resistance grows in the cold; 20 to 35 is usual."""
    maximum_voltage_v: float = Field(ge=3, le=130)
    """End of charge."""
    minimum_voltage_v: float = Field(ge=2, le=120)
    """Under load, where the module's protection lets go."""
    discharge_protection: list[ProtectionTable] = Field(min_length=1, max_length=4)
    """By falling current and rising time; the last is the continuous current."""
    continuous_discharge_current_a: float = Field(gt=0, le=200)
    maximum_charge_current_a: float = Field(gt=0, le=200)
    regeneration_current_a: float = Field(ge=0, le=200)
    """Largest short-time charge current while riding; 0 where the maker forbids regeneration."""
    coldest_discharge_c: float = Field(ge=-50, le=30)
    hottest_discharge_c: float = Field(ge=30, le=90)
    coldest_charge_c: float = Field(ge=-30, le=30)
    hottest_charge_c: float = Field(ge=30, le=80)
    mass_kg: float = Field(ge=0.05, le=15)
    pitch_mm: float = Field(ge=10, le=600)
    """How much longer a stack gets with one more module."""
    width_mm: float = Field(ge=10, le=600)
    height_mm: float = Field(ge=10, le=600)
    maximum_parallel: int = Field(ge=1, le=100)
    """Most modules of this kind the maker permits in parallel in one pack."""
    maximum_series: int = Field(ge=1, le=10)
    price: float = Field(ge=0, le=100_000)
    """One module, tax included."""
    awake_current_ma: float | None = Field(default=None, ge=0, le=50)
    """What its electronics take while awake; where these four are not given, usual values stand in."""
    standby_current_ma: float | None = Field(default=None, ge=0, le=50)
    """At rest by itself, waking on load."""
    switched_off_current_ma: float | None = Field(default=None, ge=0, le=50)
    """Switched off; often the same as awake, as the switch opens the output only."""
    deep_sleep_current_ma: float | None = Field(default=None, ge=0, le=50)
    """As shipped, waking on the charger."""
    self_discharge_pct_per_month: float | None = Field(default=None, ge=0, le=20)
    """Of the cells alone, of rated charge, at 25 °C and half charge. Not the yearly permanent loss."""

    @model_validator(mode="after")
    def _voltages_belong_to_its_cells(self) -> "ModuleTable":
        low, _, high = (self.cells_in_series * voltage for voltage in CELL_VOLTAGES[self.chemistry])
        cells = f"{self.cells_in_series} {self.chemistry.value} cells in series"
        if not 0.96 * high <= self.maximum_voltage_v <= 1.001 * high:
            raise contradiction(
                "maximum_voltage_v", self.maximum_voltage_v, f"{0.96 * high:.2f} to {high:.2f} V for {cells}"
            )
        if not low - 1e-9 <= self.minimum_voltage_v < 0.9 * high:
            raise contradiction(
                "minimum_voltage_v", self.minimum_voltage_v, f"{low:.2f} to {0.9 * high:.2f} V for {cells}"
            )
        return self

    @model_validator(mode="after")
    def _energy_belongs_to_its_capacity(self) -> "ModuleTable":
        mean = self.cells_in_series * CELL_VOLTAGES[self.chemistry][1]
        energy = mean * self.capacity_ah
        if abs(self.energy_wh - energy) > 0.05 * energy:
            raise contradiction(
                "energy_wh",
                self.energy_wh,
                f"within 5 % of {energy:.1f} Wh ({self.capacity_ah:g} Ah at {mean:.1f} V, the mean of "
                f"{self.cells_in_series} {self.chemistry.value} cells)",
                "Check cells, capacity and energy against the data sheet.",
            )
        return self

    @model_validator(mode="after")
    def _protection_is_in_order(self) -> "ModuleTable":
        points = self.discharge_protection
        for before, after in pairwise(points):
            if after.current_a >= before.current_a or after.duration_s <= before.duration_s:
                raise contradiction(
                    "discharge_protection",
                    f"{before.current_a:g} A for {before.duration_s:g} s, then {after.current_a:g} A for "
                    f"{after.duration_s:g} s",
                    "in order of falling current and rising time",
                )
        return self

    @model_validator(mode="after")
    def _stays_below_its_own_limits(self) -> "ModuleTable":
        holds = self.discharge_protection[-1].current_a
        if self.continuous_discharge_current_a > holds:
            raise contradiction(
                "continuous_discharge_current_a",
                self.continuous_discharge_current_a,
                f"at most {holds:g} A, where its own protection lets go in the end",
                "One of the two is wrong: look at the data sheet again.",
            )
        if self.coldest_charge_c < self.coldest_discharge_c:
            raise contradiction(
                "coldest_charge_c",
                self.coldest_charge_c,
                f"{self.coldest_discharge_c:g} °C or more: charging bears less cold than discharging",
            )
        return self


class MotorTable(Edge):
    """Brushed-DC equivalent of the motor, with a two-mass thermal path."""

    record: ClassVar[type] = Motor
    renamed: ClassVar[Mapping[str, str]] = {"speed_constant": "torque_constant"}

    speed_constant_rpm_per_v: float = Field(ge=0.5, le=1000)
    """No-load speed by voltage, motor side, before the reduction, at 20 °C."""
    resistance_mohm: float = Field(ge=1, le=5000)
    """Winding, at 20 °C."""
    no_load_current_a: float = Field(ge=0, le=20)
    winding_heat_capacity_j_per_k: float = Field(ge=5, le=20_000)
    housing_heat_capacity_j_per_k: float = Field(ge=20, le=50_000)
    winding_to_housing_k_per_w: float = Field(ge=0.01, le=20)
    housing_to_air_k_per_w: float = Field(ge=0.01, le=20)
    """Standing still."""
    airflow_gain_s_per_m: float = Field(ge=0, le=2)
    """How the housing's cooling grows with air speed: G = (1 + gain·v) / housing_to_air."""
    rollback_start_c: float = Field(ge=60, le=200)
    """Winding temperature from which current is reduced."""
    hottest_winding_c: float = Field(ge=70, le=220)
    """Winding temperature at which no current is left."""

    @model_validator(mode="after")
    def _rolls_back_before_it_stops(self) -> "MotorTable":
        if self.rollback_start_c >= self.hottest_winding_c:
            raise contradiction(
                "rollback_start_c",
                self.rollback_start_c,
                f"below hottest_winding_c ({self.hottest_winding_c:g} °C)",
            )
        return self


class ControllerTable(Edge):
    """Limits between pack and motor."""

    record: ClassVar[type] = Controller

    battery_current_limit_a: float = Field(gt=0, le=150)
    phase_current_limit_a: float = Field(gt=0, le=500)
    """Motor side, in the brushed-DC equivalent of the motor table."""
    regeneration_current_limit_a: float = Field(ge=0, le=100)
    """Battery side; 0 where the drive cannot regenerate."""
    efficiency_pct: float = Field(ge=70, le=100)
    standby_power_w: float = Field(ge=0, le=30)
    rollback_start_voltage_v: float = Field(ge=5, le=120)
    """Pack voltage under load from which current is reduced."""
    cutoff_voltage_v: float = Field(ge=4, le=115)
    """Pack voltage under load at which no current is left."""
    maximum_voltage_v: float = Field(ge=6, le=150)

    @model_validator(mode="after")
    def _voltages_in_order(self) -> "ControllerTable":
        if not self.cutoff_voltage_v < self.rollback_start_voltage_v < self.maximum_voltage_v:
            raise contradiction(
                "rollback_start_voltage_v",
                self.rollback_start_voltage_v,
                f"between cutoff_voltage_v ({self.cutoff_voltage_v:g} V) and maximum_voltage_v "
                f"({self.maximum_voltage_v:g} V)",
            )
        return self

    @model_validator(mode="after")
    def _phase_carries_the_battery(self) -> "ControllerTable":
        if self.phase_current_limit_a < self.battery_current_limit_a:
            raise contradiction(
                "phase_current_limit_a",
                self.phase_current_limit_a,
                f"at least battery_current_limit_a ({self.battery_current_limit_a:g} A)",
                "A controller steps voltage down and current up.",
            )
        return self


class AssistTable(Edge):
    """How much help, and up to what speed."""

    record: ClassVar[type] = AssistLaw

    kind: AssistKind = Field(strict=False)
    multiple: float = Field(default=0.0, ge=0, le=10)
    """Motor power over rider power at the crank: 2.0 is "200 %"; for "torque multiple"."""
    power_w: float = Field(ge=10, le=5000)
    """Mechanical, at the motor's output: the level for "held power", the most for the others."""
    speed_km_h: float = Field(default=0.0, ge=0, le=100)
    """The level for "held speed"."""
    fade_start_km_h: float = Field(ge=1, le=100)
    """From here help is taken away,"""
    cutoff_km_h: float = Field(ge=3, le=100)
    """and here none is left."""
    needs_pedalling: bool = True

    @model_validator(mode="after")
    def _fades_before_it_ends(self) -> "AssistTable":
        if self.fade_start_km_h >= self.cutoff_km_h:
            raise contradiction(
                "fade_start_km_h", self.fade_start_km_h, f"below cutoff_km_h ({self.cutoff_km_h:g} km/h)"
            )
        if self.kind is AssistKind.TORQUE_MULTIPLE and self.multiple <= 0:
            raise contradiction("multiple", self.multiple, 'more than 0 for kind "torque multiple"')
        if self.kind is AssistKind.HELD_SPEED and self.speed_km_h <= 0:
            raise contradiction("speed_km_h", self.speed_km_h, 'more than 0 km/h for kind "held speed"')
        return self


class DriveTable(Edge):
    """Motor, controller and assist law as sold or as set."""

    record: ClassVar[type] = Drive

    name: str = Field(pattern=NAME_FORM)
    """Lower case, digits and hyphens; jobs ask for the drive by this name."""
    title: str = Field(min_length=1, max_length=120)
    position: MotorPosition = Field(strict=False)
    """Where the motor pushes."""
    gear_ratio: float = Field(ge=0.5, le=100)
    """Motor revolutions for one of what it drives: wheel for a hub, crank for a mid motor."""
    gear_efficiency_pct: float = Field(ge=50, le=100)
    freewheels: bool
    """Whether the unpowered motor lets go; if not, it drags."""
    peak_torque_nm: float = Field(ge=2, le=400)
    """At the output, as marked."""
    rated_power_w: float = Field(ge=50, le=5000)
    """Greatest continuous power as marked; the law looks at this one."""
    mass_kg: float = Field(ge=0.3, le=30)
    """Motor, controller, display, sensors and their leads."""
    price: float = Field(ge=0, le=100_000)
    motor: MotorTable
    controller: ControllerTable
    assist: AssistTable

    @model_validator(mode="after")
    def _regenerates_only_without_a_freewheel(self) -> "DriveTable":
        limit = self.controller.regeneration_current_limit_a
        if self.freewheels and limit > 0:
            raise contradiction(
                "controller.regeneration_current_limit_a", limit, "0 A for a motor that freewheels"
            )
        return self

    @model_validator(mode="after")
    def _reaches_its_marked_torque(self) -> "DriveTable":
        constant = torque_constant_from_speed_constant(self.motor.speed_constant_rpm_per_v)
        current = self.controller.phase_current_limit_a - self.motor.no_load_current_a
        torque = constant * current * self.gear_ratio * self.gear_efficiency_pct / 100
        if self.peak_torque_nm > 1.05 * torque:
            raise contradiction(
                "peak_torque_nm",
                self.peak_torque_nm,
                f"at most {torque:.0f} N·m, which the phase current limit gives through this motor and gear",
                "Check speed constant, gear_ratio and phase_current_limit_a.",
            )
        return self


class ChargerTable(Edge):
    """A charger: constant current, then constant voltage."""

    record: ClassVar[type] = Charger

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    chemistry: Chemistry = Field(strict=False)
    """Cell family it is made for."""
    voltage_v: float = Field(ge=3, le=130)
    """End of charge."""
    current_a: float = Field(gt=0, le=60)
    efficiency_pct: float = Field(ge=50, le=100)
    """From the wall to the contacts."""
    mass_kg: float = Field(ge=0.05, le=15)
    price: float = Field(ge=0, le=100_000)


class CarrierTable(Edge):
    """What a stack sits on or in; it needs base_length plus the pitch of each module."""

    record: ClassVar[type] = Carrier
    renamed: ClassVar[Mapping[str, str]] = {}

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    modules_fitting: list[str] = Field(min_length=1)
    """Names of the module kinds it takes."""
    base_length_mm: float = Field(ge=0, le=1000)
    """End pieces and dock, without modules."""
    removal_travel_mm: float = Field(ge=0, le=1000)
    """Free length needed beside the stack to take it off."""
    maximum_modules: int = Field(ge=1, le=100)
    mass_kg: float = Field(ge=0, le=20)
    mass_per_module_kg: float = Field(ge=0, le=5)
    price: float = Field(ge=0, le=100_000)
    shape: ShapeTable | None = None
    """As its drawing shows it; left out where only its length is known."""

    @model_validator(mode="after")
    def _dock_is_part_of_the_base(self) -> "CarrierTable":
        if self.shape is not None and self.shape.dock_length_mm > self.base_length_mm:
            raise contradiction(
                "base_length_mm",
                self.base_length_mm,
                f"at least dock_length_mm of its shape ({self.shape.dock_length_mm:g} mm)",
            )
        return self


class CableTable(Edge):
    """A two-core lead between stack and controller, by the metre."""

    record: ClassVar[type] = Cable
    renamed: ClassVar[Mapping[str, str]] = {"mass": "mass_per_metre"}

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    area_mm2: float = Field(ge=0.2, le=50)
    """Copper of one core."""
    mass_kg_per_m: float = Field(ge=0.005, le=5)
    price_per_metre: float = Field(ge=0, le=1000)
    maximum_current_a: float = Field(gt=0, le=300)


class OriginTable(Edge):
    """What stands behind every figure of the file."""

    text: str = Field(min_length=1, max_length=400)
    """Data sheet, its edition and date; or who measured."""
    standing: Standing = Field(strict=False)


class CatalogueTables(Edge):
    """A catalogue file: parts by kind."""

    origin: OriginTable
    module: list[ModuleTable] = Field(default_factory=list)
    drive: list[DriveTable] = Field(default_factory=list)
    charger: list[ChargerTable] = Field(default_factory=list)
    carrier: list[CarrierTable] = Field(default_factory=list)
    cable: list[CableTable] = Field(default_factory=list)
