"""The ceiling from the surveyed frame: the most modules that fit, place by place, with why not one more."""

from collections.abc import Iterator, Sequence
from typing import Final

from wattwright.frame.alternatives import Fit, Stack
from wattwright.frame.nearest_change import Loosening, Refused
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.limits import Change, Limit, Side
from wattwright.units import mm_from_metres
from wattwright.working import Quantity, Source, Standing, Working

SURVEY: Final = Source(
    text="survey of this bicycle; carriers' drawings; exact search", standing=Standing.MEASURED
)


def frame_ceiling(fit: Fit, refused: Sequence[Refused], changes: Sequence[Loosening]) -> Limit:
    """How many modules the bicycle takes, as a limit of the window.

    Args:
        fit: The most modules that fit, proven.
        refused: One more module, face by face, from ``nearest_change.one_more``.
        changes: What would let one more in, from ``nearest_change.nearest_changes``.

    Returns:
        The ceiling; its working opens to each stack and to each refused placement with its millimetres.
    """
    faces = list(dict.fromkeys(stack.placed.candidate.face.name for stack in fit.stacks))
    steps = (*(_stack_step(stack) for stack in fit.stacks), *(_refused_step(one) for one in refused))
    return Limit(
        subject=faces[0] if len(faces) == 1 else "room on the bicycle",
        side=Side.CEILING,
        modules=fit.modules,
        because=_because(fit, refused),
        working=Working(
            title="room on the frame",
            formula="n = Σ modules of all stacks; every other set of placements was searched or ruled out",
            values=(
                _number("candidates", "kinds of placement that are free somewhere", fit.candidates),
                _number("places", "offsets they have together", fit.places),
                _number("branches", "sets looked at", fit.looked),
            ),
            result=_number("n", "modules", fit.modules, "modules"),
            source=SURVEY,
            steps=steps,
        ),
        loosen=tuple(_change(one) for one in changes),
    )


def _because(fit: Fit, refused: Sequence[Refused]) -> str:
    if not fit.stacks:
        return "No carrier on the shelf has room anywhere on this bicycle." + _why_not(refused)
    each = ", ".join(f"{one.placed.candidate.face.name} {one.modules}" for one in fit.stacks)
    return f"The bicycle takes {modules_in_words(fit.modules)}: {each}.{_why_not(refused)}"


def _why_not(refused: Sequence[Refused]) -> str:
    if not refused:
        return ""
    nearest = refused[0]
    worst = max(nearest.refusals, key=lambda refusal: refusal.short_by)
    return f" One more is nearest {nearest.placement.face}: {worst.because}"


def _stack_step(stack: Stack) -> Working:
    one, offset = stack.placed.candidate, stack.placed.offset
    return Working(
        title=f"stack {one.face.name}",
        formula="carrier clear of everything, held, with a way off; it could slide from s_low to s_high",
        values=(
            _length("s", "offset of the carrier from the start of the tube", offset),
            _length("s_low", "least offset", stack.slide[0]),
            _length("s_high", "greatest offset", stack.slide[1]),
        ),
        result=_number("n", f"modules on {one.carrier.title}", one.modules, "modules"),
        source=SURVEY,
    )


def _refused_step(one: Refused) -> Working:
    placement = one.placement
    return Working(
        title=f"one more {placement.face}: refused",
        formula="; ".join(refusal.because for refusal in one.refusals),
        values=tuple(_refusals(one)),
        result=_length("wanting", "the most that is wanting", one.short_by),
        source=SURVEY,
    )


def _refusals(one: Refused) -> Iterator[Quantity]:
    yield _length("s", "offset tried", one.placement.offset)
    for refusal in one.refusals:
        yield _length(refusal.reason.value, refusal.where, refusal.short_by)


def _length(symbol: str, meaning: str, length: float) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=mm_from_metres(length), unit="mm")


def _number(symbol: str, meaning: str, value: float, unit: str = "") -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=value, unit=unit, digits=0)


def _change(one: Loosening) -> Change:
    return Change(
        what=one.what, field="", before=one.before, after=one.after, unit=one.unit, modules=one.modules
    )
