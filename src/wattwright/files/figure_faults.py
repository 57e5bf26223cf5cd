"""What is wrong with the figures of a reading, told as a slip where it looks like one: column or unit."""

from collections.abc import Mapping

from wattwright.files.edge import UNITS, suffix_of
from wattwright.pack.plausible import Range


def figure_faults(figures: Mapping[str, float], ranges: Mapping[str, Range]) -> tuple[str, ...]:
    """Figures that cannot be true, one sentence each.

    Args:
        figures: By column such as ``capacity_ah``, in the column's unit.
        ranges: What is believed, by the bare name ``capacity``, SI.

    Notes:
        Two figures that would both be believed in each other's place are told as swapped columns. Any other
        is tried in the units people write by habit (mV, mAh, Ω, °F).
    """
    wrong = [key for key in figures if not _holds(key, figures[key], ranges)]
    faults: list[str] = []
    swapped: set[str] = set()
    for key in wrong:
        other = None if key in swapped else _swapped_with(key, figures, ranges)
        if other is not None:
            swapped |= {key, other}
            faults.append(f"{key} {figures[key]:g} and {other} {figures[other]:g} look swapped.")
        elif key not in swapped:
            faults.append(_told(key, figures[key], ranges))
    return tuple(faults)


def _holds(key: str, figure: float, ranges: Mapping[str, Range]) -> bool:
    suffix = suffix_of(key)
    return ranges[key.removesuffix(suffix)].holds(UNITS[suffix].inwards(figure))


def _swapped_with(key: str, figures: Mapping[str, float], ranges: Mapping[str, Range]) -> str | None:
    return next(
        (
            other
            for other in figures
            if other != key and _holds(other, figures[key], ranges) and _holds(key, figures[other], ranges)
        ),
        None,
    )


def _told(key: str, figure: float, ranges: Mapping[str, Range]) -> str:
    suffix = suffix_of(key)
    unit, believed = UNITS[suffix], ranges[key.removesuffix(suffix)]
    low, high = unit.outwards(believed.low), unit.outwards(believed.high)
    sentence = f"{key} is {figure:g}; a module of its kind has {low:.4g} to {high:.4g} {unit.shown}."
    for name, conversion in unit.mistaken:
        if low <= conversion(figure) <= high:
            return f"{sentence} It looks like {name}: that would be {conversion(figure):.6g} {unit.shown}."
    return sentence
