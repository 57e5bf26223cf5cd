"""What the fitter would say aloud: the answer in one or two sentences."""

from wattwright.sizing.limits import Limit, Window

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def in_words(count: int) -> str:
    """A count as said aloud.

    >>> in_words(5), in_words(14)
    ('five', '14')
    """
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def answer_sentence(window: Window) -> str:
    """The span, and who decides it from either side."""
    floor, ceiling = window.floor, window.ceiling
    if not floor.reachable:
        return f"No count will do: {_plain(floor.because)}"
    if not window.is_open:
        return (
            f"No count will do yet. {_named(floor)} asks for {in_words(floor.modules)}; "
            f"{_lower_named(ceiling)} takes {in_words(ceiling.modules)}."
        )
    low, high = floor.modules, ceiling.modules
    reasons = f"{_named(floor)} asks for {in_words(low)}; {_lower_named(ceiling)} takes {in_words(high)}."
    return f"{_span(low, high)} {reasons}"


def _span(low: int, high: int) -> str:
    if low == high:
        return f"{in_words(low).capitalize()} module{'s' if low != 1 else ''}."
    if high == low + 1:
        return f"{in_words(low).capitalize()} or {in_words(high)} modules."
    return f"{in_words(low).capitalize()} to {in_words(high)} modules."


def _named(limit: Limit) -> str:
    """The limit at the head of a clause."""
    return f"“{limit.subject}”" if "," in limit.subject else f"The {limit.subject}"


def _lower_named(limit: Limit) -> str:
    return f"“{limit.subject}”" if "," in limit.subject else f"the {limit.subject}"


def _plain(because: str) -> str:
    return because[0].lower() + because[1:]
