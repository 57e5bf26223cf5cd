"""The graphite electrode's potential by charge, which the calendar fits take as a stress."""

import numpy as np

from wattwright.units import FloatArray, Volt

POTENTIAL_AT_HALF_CHARGE: Volt = 0.123
"""[V] by which the fits scale the potential; about its value at half charge."""


def graphite_potential(charge: FloatArray | float) -> FloatArray:
    """Potential of graphite against lithium at a cell's charge.

    Args:
        charge: Of the cell, 0 to 1, any shape.

    Returns:
        Same shape; falls with charge. [V]

    Notes:
        Lithium content x = 0.0085 + (0.78 − 0.0085) z. [2]_
        U = 0.6379 + 0.5416 e^(−305.5309 x) + 0.044 tanh[−(x − 0.1958)/0.1088]
        − 0.1978 tanh[(x − 1.0571)/0.0854] − 0.6875 tanh[(x + 0.0117)/0.0529]
        − 0.0175 tanh[(x − 0.5692)/0.0875]. [1]_

    References:
        .. [1] Safari and Delacourt, Journal of the Electrochemical Society 158 (2011) A562.
        .. [2] Schimpe et al., Journal of the Electrochemical Society 165 (2018) A181.

    Examples:
        >>> round(float(graphite_potential(0.5)), 3)
        0.123
    """
    x = 0.0085 + np.asarray(charge, dtype=np.float64) * (0.78 - 0.0085)
    return np.asarray(
        0.6379
        + 0.5416 * np.exp(-305.5309 * x)
        + 0.044 * np.tanh(-(x - 0.1958) / 0.1088)
        - 0.1978 * np.tanh((x - 1.0571) / 0.0854)
        - 0.6875 * np.tanh((x + 0.0117) / 0.0529)
        - 0.0175 * np.tanh((x - 0.5692) / 0.0875)
    )
