"""An empty window: the smallest changes that open it, each tried before it is said."""

from collections.abc import Sequence

from wattwright.sizing.limits import Change, Limit, Window


def openings(window: Window, floor_changes: Sequence[Change]) -> tuple[str, ...]:
    """Sentences for the changes that open the window by themselves, then for those that need company.

    Args:
        window: An empty one.
        floor_changes: Worked out for the deciding floor at the deciding ceiling's count.

    Notes:
        A change opens the window by itself if every other limit leaves a count free once its own limit has
        moved to the count the change reaches.
    """
    floor, ceiling = window.floor, window.ceiling
    alone: list[Change] = []
    together: list[Change] = []
    for change in floor_changes:
        opens = _highest([*window.floors[1:]], change.modules) <= ceiling.modules
        (alone if opens else together).append(change)
    for change in ceiling.loosen:
        opens = _lowest([*window.ceilings[1:]], change.modules) >= floor.modules
        (alone if opens else together).append(change)
    said = [f"It opens if you {change.what}." for change in alone]
    said += [f"It helps, but does not open it alone: {change.what}." for change in together]
    return tuple(said)


def _highest(others: Sequence[Limit], moved: int) -> int:
    return max([moved, *(limit.modules for limit in others)])


def _lowest(others: Sequence[Limit], moved: int) -> int:
    return min([moved, *(limit.modules for limit in others)])
