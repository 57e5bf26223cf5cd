"""The pack as a drive sees it: tables of one module, and the factors of cold and age."""

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.cold import charge_factor
from wattwright.pack.open_circuit import POINTS, module_voltage
from wattwright.pack.resistance import arrhenius_factor, resistance_tables
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.supply import Supply
from wattwright.units import FloatArray, Fraction, Kelvin


def supply_of(battery_module: BatteryModule, modules: int, open_circuit: FloatArray) -> Supply:
    """Tables of one new module at 25 °C, and how many stand in parallel.

    Args:
        battery_module: As its data sheet describes it.
        modules: In parallel, 1 or more.
        open_circuit: (101,) rest voltage of one *cell* at even steps of charge. [V]

    Returns:
        The supply record. A lane scales its capacity and resistances with `lane_factors`.

    Raises:
        InputError: If there is no module, or the table is not one of 101 rising voltages.
    """
    if modules < 1:
        raise InputError("modules", modules, "1 or more")
    if len(open_circuit) != POINTS:
        raise InputError("open_circuit_voltage_v", len(open_circuit), f"a table of {POINTS} rows")
    series, relaxation = resistance_tables(battery_module)
    return Supply(
        modules=modules,
        open_circuit_voltage=module_voltage(open_circuit, battery_module.cells_in_series),
        resistance=series,
        relaxation_resistance=relaxation,
        relaxation_time=battery_module.relaxation_time,
        capacity=battery_module.capacity,
        protection=battery_module.discharge_protection,
        minimum_voltage=battery_module.minimum_voltage,
        maximum_voltage=battery_module.maximum_voltage,
        regeneration_current=battery_module.regeneration_current,
    )


def lane_factors(
    battery_module: BatteryModule,
    temperature: FloatArray | Kelvin,
    *,
    capacity_left: FloatArray | Fraction = 1.0,
    resistance_risen: FloatArray | float = 1.0,
) -> tuple[FloatArray, FloatArray]:
    """By how much cold and age scale a supply's capacity and resistances, lane by lane.

    Args:
        battery_module: Whose resistance grows in the cold by its activation energy.
        temperature: Of the cells, (lanes,) or one for all. [K]
        capacity_left: Of the rated capacity, by age alone; 0 to 1, (lanes,) or one for all.
        resistance_risen: Over the new module's, by age alone; 1.2 is one fifth more.

    Returns:
        (capacity factor, resistance factor), each (lanes,) or () where all arguments are single. [-]

    Raises:
        InputError: If a share or factor is not above 0.

    Notes:
        capacity: charge factor at low rate (cold.py) times age; the further loss under load comes from the
        resistance factor, Arrhenius times age. So cold is not counted twice.
    """
    left, risen = np.asarray(capacity_left), np.asarray(resistance_risen)
    if not np.all(left > 0):
        raise InputError("capacity_left_pct", float(100 * left.min()), "more than 0 %")
    if not np.all(risen > 0):
        raise InputError("resistance_risen", float(risen.min()), "more than 0")
    capacity = charge_factor(battery_module.chemistry, temperature) * left
    resistance = arrhenius_factor(temperature, battery_module.activation_energy) * risen
    return np.asarray(capacity), np.asarray(resistance)
