"""How a loss grows along time or use, and how it carries on when the stress changes."""

import math

from wattwright.errors import InputError


def equivalent_age(loss: float, rate: float, exponent: float) -> float:
    """How much time or use at a rate would have brought a loss about.

    Args:
        loss: So far; 0 or more. [-]
        rate: k in y = k xᵖ, above 0.
        exponent: p, above 0.

    Returns:
        x, in the unit the rate counts in.

    Raises:
        InputError: If the loss is negative, or rate or exponent is not above 0.

    Notes:
        x = (y/k)^(1/p): the history is carried by the loss alone (state-additive form).

    Examples:
        >>> round(equivalent_age(0.05, 0.02, 0.75), 5)
        3.39302
    """
    if not loss >= 0:
        raise InputError("loss", loss, "0 or more")
    if not (rate > 0 and exponent > 0):
        raise InputError("rate", (rate, exponent), "above 0, and so the exponent")
    return float((loss / rate) ** (1.0 / exponent))


def power_growth(loss: float, rate: float, exponent: float, amount: float) -> float:
    """The loss after further time or use, y = k xᵖ.

    Args:
        loss: So far. [-]
        rate: k of the stress from now on, 0 or more.
        exponent: p.
        amount: Further time or use, in the unit the rate counts in; 0 or more.

    Returns:
        The loss then; never less than before.

    Notes:
        y' = k (x + Δx)ᵖ with x the equivalent age. Schimpe et al. and others write it so; check row G7.

    Examples:
        >>> round(power_growth(power_growth(0.0, 0.02, 0.5, 1.0), 0.02, 0.5, 3.0), 6)
        0.04
    """
    if rate <= 0 or amount <= 0:
        return loss
    return float(max(loss, rate * (equivalent_age(loss, rate, exponent) + amount) ** exponent))


def saturating_growth(loss: float, most: float, rate: float, exponent: float, amount: float) -> float:
    """The loss after further time or use, y = 2 y∞ {1/2 − 1/[1 + exp((k x)ᵖ)]}.

    Args:
        loss: So far. [-]
        most: y∞ of the stress from now on; a loss already above it stays. [-]
        rate: k.
        exponent: p.
        amount: Further time or use, in the unit the rate counts in; 0 or more.

    Returns:
        The loss then; never less than before.

    Notes:
        y/y∞ = tanh[(k x)ᵖ/2], so the equivalent age is [2 artanh(y/y∞)]^(1/p)/k. Form of the fits of Gasper
        et al., Journal of the Electrochemical Society 169 (2022) 080518.

    Examples:
        >>> round(saturating_growth(saturating_growth(0.0, 0.3, 1.0, 0.7, 0.1), 0.3, 1.0, 0.7, 0.2), 6)
        0.063597
        >>> round(saturating_growth(0.0, 0.3, 1.0, 0.7, 0.3), 6)
        0.063597
    """
    share = loss / most if most > 0 else 1.0
    if share >= 1 or rate <= 0 or amount <= 0:
        return loss
    age = (2.0 * math.atanh(share)) ** (1.0 / exponent) / rate
    return max(loss, most * math.tanh((rate * (age + amount)) ** exponent / 2.0))
