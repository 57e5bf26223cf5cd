"""Counts and lists as said aloud."""

from collections.abc import Sequence

NUMBERS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def in_words(count: int) -> str:
    """A count as said aloud.

    >>> in_words(5), in_words(14)
    ('five', '14')
    """
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def modules_in_words(count: int) -> str:
    """A number of modules as said aloud.

    >>> modules_in_words(1), modules_in_words(4), modules_in_words(0)
    ('one module', 'four modules', 'no module')
    """
    if count == 0:
        return "no module"
    return f"{in_words(count)} module{'' if count == 1 else 's'}"


def listed(names: Sequence[str]) -> str:
    """Names in a row.

    >>> listed(["January"]), listed(["January", "February", "December"])
    ('January', 'January, February and December')
    """
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
