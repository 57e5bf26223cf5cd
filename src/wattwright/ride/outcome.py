"""What a ride came to, lane by lane."""

from dataclasses import dataclass

import numpy as np

from wattwright.units import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EnergyBook:
    """Where the energy came from and where it went; every array has shape (lanes,) and is in joules.

    rider + battery_out = climb + kinetic + air + rolling + bearings + drivetrain + motor_copper + motor_iron
    + gear + controller + brake + battery_in, to 0.1 %.
    """

    rider: FloatArray
    """Work at the crank."""
    battery_out: FloatArray
    """At the pack's terminals."""
    battery_in: FloatArray
    """Returned to the pack's terminals by regeneration."""
    pack_loss: FloatArray
    """Inside the modules: over and above ``battery_out``."""
    climb: FloatArray
    """Potential energy gained (negative if the path ends lower)."""
    kinetic: FloatArray
    air: FloatArray
    rolling: FloatArray
    bearings: FloatArray
    drivetrain: FloatArray
    motor_copper: FloatArray
    motor_iron: FloatArray
    """No-load losses, drag of a motor that does not freewheel included."""
    gear: FloatArray
    controller: FloatArray
    """Conversion and standby."""
    brake: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """The central lane along the path; every array has shape (segments,), values at segment ends."""

    distance: FloatArray
    time: FloatArray
    speed: FloatArray
    rider_power: FloatArray
    """At the crank. [W]"""
    motor_power: FloatArray
    """Mechanical at the motor's output, negative when it brakes. [W]"""
    battery_current: FloatArray
    """Of the whole pack, negative when charging. [A]"""
    pack_voltage: FloatArray
    charge_left: FloatArray
    """0 to 1."""
    winding_temperature: FloatArray
    """[K]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """One ride, ridden by every lane."""

    modules: int
    distance: float
    """Of the path. [m]"""
    time: FloatArray
    """(lanes,) riding and standing. [s]"""
    standing: FloatArray
    """(lanes,) of which standing. [s]"""
    charge_left: FloatArray
    """(lanes,) at the end, 0 to 1 of usable capacity."""
    mark: FloatArray
    """(marks,) distances at which charge was noted. [m]"""
    charge_at_mark: FloatArray
    """(marks, lanes), 0 to 1."""
    lowest_voltage: FloatArray
    """(lanes,) of the pack under load. [V]"""
    peak_current: FloatArray
    """(lanes,) of the whole pack. [A]"""
    longest_above: FloatArray
    """(points, lanes) longest unbroken time one module's current stayed above each protection point's. [s]"""
    peak_charge_current: FloatArray
    """(lanes,) of the whole pack, while regenerating. [A]"""
    hottest_winding: FloatArray
    """(lanes,) [K]"""
    rolled_back: FloatArray
    """(lanes,) time with less help than asked because of voltage, heat or an empty pack. [s]"""
    unassisted: FloatArray
    """(lanes,) distance ridden with the pack empty. [m]"""
    walked: FloatArray
    """(lanes,) distance where the rider had to push. [m]"""
    energy: EnergyBook
    trace: Trace

    def charge_quantiles(self, shares: tuple[float, ...]) -> FloatArray:
        """Charge left at each mark: (shares, marks)."""
        return np.quantile(self.charge_at_mark, shares, axis=1)
