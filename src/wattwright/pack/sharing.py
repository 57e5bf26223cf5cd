"""How branches in parallel share a current: sources behind resistances on one bus."""

import numpy as np

from wattwright.errors import InputError
from wattwright.units import Ampere, FloatArray, Volt


def shared_current(rest_voltage: FloatArray, resistance: FloatArray, load: Ampere) -> tuple[Volt, FloatArray]:
    """Bus voltage and the current of each branch.

    Args:
        rest_voltage: (branches,) behind each resistance, less what relaxation has taken. [V]
        resistance: (branches,) of module and its lead, above 0. [Ω]
        load: Drawn from the bus; negative when charging, 0 for what branches exchange at rest. [A]

    Returns:
        Bus voltage [V]; currents (branches,), positive out of the branch, whose sum is the load. [A]

    Raises:
        InputError: If there is no branch, the arrays differ in length, or a resistance is not above 0.

    Notes:
        V = (Σ Uₖ/Rₖ − I) / Σ 1/Rₖ and Iₖ = (Uₖ − V)/Rₖ: Kirchhoff's laws at one node.

    Examples:
        >>> bus, currents = shared_current(np.array([37.5, 37.0]), np.array([0.16, 0.24]), 20.0)
        >>> round(bus, 6), currents.round(6).tolist()
        (35.38, [13.25, 6.75])
    """
    if rest_voltage.ndim != 1 or rest_voltage.shape != resistance.shape or len(resistance) == 0:
        raise InputError("branches", resistance.shape, "one rest voltage and one resistance for each branch")
    if not np.all(resistance > 0):
        raise InputError("resistance_mohm", float(1000 * resistance.min()), "more than 0 mΩ")
    conductance = 1.0 / resistance
    bus = float((np.dot(rest_voltage, conductance) - load) / conductance.sum())
    return bus, (rest_voltage - bus) * conductance
