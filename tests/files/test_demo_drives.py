"""The demo's invented drives obey the motor equations: the arithmetic, shown.

Brushed-DC equivalent: E = ω Kt, T = Kt (I − I₀), V = E + I R, loss = I² R + E I₀; best efficiency
(1 − √(I₀ R / V))² (standard, recalled from memory); copper 0.00393 /K (IEC 60028, memory).
"""

import math

import pytest

from wattwright.files.catalogue_file import load_catalogue
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.drive import Drive, MotorPosition

CATALOGUE = load_catalogue(own=())
DRIVES = sorted(CATALOGUE.drives)
WHEEL_RADII = {"rill-hub-250": 0.356, "drover-hub-750": 0.248, "lee-direct-400": 0.348}
"""[m] of the bicycles each hub is meant for: 28-inch, 20-inch longtail, 28-inch."""
RATED_SPEED_RPM = {
    "rill-hub-250": 180.0,
    "tarn-mid-250": 75.0,
    "drover-hub-750": 320.0,
    "lee-direct-400": 200.0,
}
"""At the output, where the rated power is given off: near the cut-off for hubs, a usual cadence for mid."""


def matching_modules(drive: Drive) -> list[BatteryModule]:
    """The kinds whose nominal voltage the controller lets through without rolling back."""
    return [
        kind
        for kind in CATALOGUE.modules.values()
        if kind.nominal_voltage > drive.controller.rollback_start_voltage
        and kind.maximum_voltage <= drive.controller.maximum_voltage
    ]


@pytest.mark.parametrize("name", DRIVES)
def test_marked_torque_is_what_the_phase_current_gives(name: str) -> None:
    drive = CATALOGUE.drive(name)
    motor = drive.motor

    torque = motor.torque_constant * (drive.controller.phase_current_limit - motor.no_load_current)
    at_output = torque * drive.gear_ratio * drive.gear_efficiency

    assert 0.85 * at_output <= drive.peak_torque <= 1.05 * at_output


@pytest.mark.parametrize("name", DRIVES)
def test_no_load_speed_suits_the_cutoff_or_the_cadence(name: str) -> None:
    """A hub must still push at the cut-off speed, and a crank motor at a brisk cadence, at every voltage."""
    drive = CATALOGUE.drive(name)
    motor = drive.motor
    kinds = matching_modules(drive)
    assert kinds

    for kind in kinds:
        voltage = kind.nominal_voltage
        speed = (
            (voltage - motor.no_load_current * motor.resistance) / motor.torque_constant / drive.gear_ratio
        )
        if drive.position is MotorPosition.HUB:
            wanted = drive.assist.cutoff / WHEEL_RADII[name]
            assert 1.03 * wanted < speed < 1.8 * wanted
        else:
            assert 90 < speed * 60 / math.tau < 150


@pytest.mark.parametrize("name", DRIVES)
def test_best_efficiency_of_motor_and_gear_is_usual(name: str) -> None:
    """0.78 to 0.88 (common practice, no source)."""
    drive = CATALOGUE.drive(name)
    voltage = max(kind.nominal_voltage for kind in matching_modules(drive))

    best = (1 - math.sqrt(drive.motor.no_load_current * drive.motor.resistance / voltage)) ** 2

    assert 0.78 <= best * drive.gear_efficiency <= 0.88


def steady_winding_celsius(drive: Drive, power: float, output_rpm: float) -> float:
    """Winding temperature in still air of 25 °C when ``power`` is given off for ever."""
    motor = drive.motor
    speed = output_rpm * math.tau / 60
    torque = power / speed / drive.gear_ratio / drive.gear_efficiency
    current = torque / motor.torque_constant + motor.no_load_current
    iron = speed * drive.gear_ratio * motor.torque_constant * motor.no_load_current
    winding = 25.0
    for _ in range(200):
        copper = current**2 * motor.resistance * (1 + 0.00393 * (winding - 20))
        winding = 25.0 + copper * motor.winding_to_housing + (copper + iron) * motor.housing_to_air
    return winding


@pytest.mark.parametrize("name", DRIVES)
def test_rated_power_is_borne_for_ever_but_not_much_more(name: str) -> None:
    """Standing still in 25 °C the marked power stays below roll-back; half as much again does not."""
    drive = CATALOGUE.drive(name)
    rollback = drive.motor.rollback_start - 273.15

    at_rated = steady_winding_celsius(drive, drive.rated_power, RATED_SPEED_RPM[name])
    above = steady_winding_celsius(drive, 1.5 * drive.rated_power, RATED_SPEED_RPM[name])

    assert 80 < at_rated < rollback
    assert above > rollback


@pytest.mark.parametrize("name", sorted(CATALOGUE.modules))
def test_modules_resist_as_their_cells_and_protection_do(name: str) -> None:
    """15 to 35 mΩ a cell after some seconds (data-sheet order of magnitude, memory) and 40 mΩ beside."""
    kind = CATALOGUE.module(name)
    per_cell = (kind.resistance - 0.040) * kind.cells_in_parallel / kind.cells_in_series

    assert 0.015 <= per_cell <= 0.0375
    assert 0.55 <= kind.mass <= 1.1
    assert kind.energy < 100 * 3600
