"""What the fitter would say aloud: the answer in one or two sentences."""

from wattwright.sizing.in_words import in_words
from wattwright.sizing.limits import Limit, Side, Window
from wattwright.sizing.search import MOST_MODULES

SPOKEN = {
    "one module off": "riding on with one module off",
    "current as drawn": "the current as drawn",
    "current as drawn, one module off": "the current as drawn with one module off",
    "regeneration into a full pack": "regeneration into a full pack",
}
"""Subjects that read badly with a plain article."""


def answer_sentence(window: Window) -> str:
    """The span, and who decides it from either side."""
    floor, ceiling = window.floor, window.ceiling
    if not floor.reachable:
        return f"No count up to {MOST_MODULES} will do. {floor.because}"
    sides = f"{_at_head(asks(floor))}; {asks(ceiling)}."
    if not window.is_open:
        return f"No count will do yet. {sides}"
    return f"{_span(floor.modules, ceiling.modules)} {sides}"


def asks(limit: Limit) -> str:
    """One limit as a clause: "hill round, January, asks for four"."""
    verb = "asks for" if limit.side is Side.FLOOR else "allows"
    return f"{_named(limit.subject)} {verb} {in_words(limit.modules)}"


def _named(subject: str) -> str:
    """The subject as it stands in a clause: a ride by its name, anything else with its article."""
    if subject in SPOKEN:
        return SPOKEN[subject]
    if "," in subject:
        return f"{subject},"
    return f"the {subject.removeprefix('the ')}"


def _at_head(clause: str) -> str:
    return clause[0].upper() + clause[1:]


def _span(low: int, high: int) -> str:
    if low == high:
        return f"Just {in_words(low)} module{'' if low == 1 else 's'}."
    joint = "or" if high == low + 1 else "to"
    return f"{in_words(low).capitalize()} {joint} {in_words(high)} modules."
