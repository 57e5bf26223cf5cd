"""The loop over time of one module, compiled; what it computes stands in cell.py."""

import math

from numba import njit

from wattwright.units import Coulomb, FloatArray, Fraction, Second, Volt


def _course(  # noqa: PLR0917 -- compiled code takes its arrays by place
    time: FloatArray,
    current: FloatArray,
    first_charge: Fraction,
    first_relaxation: Volt,
    open_circuit: FloatArray,
    series: FloatArray,
    relaxation: FloatArray,
    time_constant: Second,
    capacity: Coulomb,
    charge: FloatArray,
    voltage: FloatArray,
    relaxed: FloatArray,
) -> None:
    """Fill ``charge``, ``voltage`` and ``relaxed``, each (samples,), along ``time`` and ``current``.

    Tables are (points,) on even steps of charge; current is positive when discharging and straight between
    samples. [SI]
    """
    last = len(open_circuit) - 1
    z = first_charge
    drop = first_relaxation
    for k in range(len(time)):
        if k > 0:
            step = time[k] - time[k - 1]
            i0 = current[k - 1]
            i1 = current[k]
            before = z
            z -= step * (i0 + i1) / (2.0 * capacity)
            at = min(max(0.5 * (before + z), 0.0), 1.0) * last
            row = min(int(at), last - 1)
            r1 = relaxation[row] + (at - row) * (relaxation[row + 1] - relaxation[row])
            share = step / time_constant
            kept = math.exp(-share)
            lag = (i1 - i0) * (1.0 - kept) / share if share > 0.0 else i1 - i0
            drop = kept * drop + r1 * (i1 - kept * i0 - lag)
        at = min(max(z, 0.0), 1.0) * last
        row = min(int(at), last - 1)
        part = at - row
        rest = open_circuit[row] + part * (open_circuit[row + 1] - open_circuit[row])
        r0 = series[row] + part * (series[row + 1] - series[row])
        charge[k] = z
        relaxed[k] = drop
        voltage[k] = rest - current[k] * r0 - drop


course = njit(cache=True)(_course)
"""The compiled loop; first use compiles it, later starts read the cache."""
