"""Finding the smallest count that does, when more modules only help."""

from collections.abc import Callable
from typing import Final

MOST_MODULES: Final = 24
"""Highest count tried: beyond it the answer is "none of these", with what would change it."""


def smallest(does: Callable[[int], bool], *, guess: int, most: int = MOST_MODULES) -> int | None:
    """The smallest count from 1 to ``most`` for which ``does`` holds, or None.

    ``does`` is taken to be monotone: once it holds it holds for every higher count. It is asked as rarely as
    possible, starting at the guess, because each answer costs a ride.

    >>> smallest(lambda count: count >= 5, guess=3)
    5
    >>> smallest(lambda count: False, guess=3) is None
    True
    """
    low, high = 0, most + 1  # does(low) is known false, does(high) taken as true
    count = min(max(guess, 1), most)
    step = 1
    while high - low > 1:
        if does(count):
            high = count
        else:
            low = count
        if high - low <= 1:
            break
        if high > most:
            count, step = min(low + step, most), step * 2
        elif low == 0:
            count, step = max(high - step, 1), step * 2
        else:
            count = (low + high) // 2
    return None if high > most else high
