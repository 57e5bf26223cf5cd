"""The legal class a converted bicycle is meant to stay in; data with its source, not advice."""

from dataclasses import dataclass

from wattwright.units import MetrePerSecond, Watt
from wattwright.working import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class AssistClass:
    """What a region's rule permits of assistance."""

    name: str
    title: str
    cutoff: MetrePerSecond
    """Speed at which assistance must have ended."""
    rated_power: Watt
    """Maximum continuous rated power; infinite where the rule names none."""
    throttle: bool
    """Whether help without pedalling is permitted up to the cut-off."""
    source: Source
    highest_multiple: float | None = None
    """Most motor power over rider power at low speed; None where the rule limits no ratio."""
    multiple_fades_from: MetrePerSecond = 0.0
    """From here the permitted ratio falls in a straight line to nothing at the cut-off."""
