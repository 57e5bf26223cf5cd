"""A plan on the terminal: the sentence, the limits with the deciding ones first, rides, parts, settings."""

from collections.abc import Iterable

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from wattwright.sizing.limits import Limit, Side
from wattwright.sizing.plan import Plan, RideAnswer
from wattwright.units import (
    km_from_metres,
    minutes_from_seconds,
    percent_from_fraction,
    watt_hours_from_joules,
)
from wattwright.working import Working


def show_plan(console: Console, plan: Plan, *, working: bool) -> None:
    """Print the whole plan.

    Args:
        console: To print on.
        plan: As worked out.
        working: Whether every limit is opened to its formula, values and source.
    """
    console.print(Text(plan.sentence, style="bold"))
    console.print(Text(window_line(plan)))
    for way in plan.opening:
        console.print(Text(f"  {way}"))
    console.print(limits_table(plan))
    console.print(rides_table(plan))
    console.print(parts_table(plan))
    console.print(settings_table(plan))
    if plan.alternatives:
        console.print(alternatives_table(plan))
    _list(console, "To be said", plan.cautions)
    _list(console, "About the input", plan.notes)
    if working:
        for limit in plan.limits:
            console.print(Panel(working_lines(limit.working), title=Text(limit.subject), title_align="left"))


def window_line(plan: Plan) -> str:
    r"""The window as a row of signs: hatched where a limit forbids, filled for the chosen count.

    "/" is below the floor, "\" above the ceiling, "■" chosen, "□" free.
    """
    floor, ceiling = plan.window.floor.modules, plan.window.ceiling.modules
    last = max(min(max(floor, ceiling) + 2, 24), 4)
    signs = []
    for count in range(1, last + 1):
        below, above = count < floor, count > ceiling
        if below and above:
            sign = "X"
        elif below:
            sign = "/"
        elif above:
            sign = "\\"
        else:
            sign = "■" if count == plan.chosen else "□"
        signs.append(f"{sign}{count}")
    return "  ".join(signs)


def limits_table(plan: Plan) -> Table:
    """Every limit, those that decide first."""
    shown = modules_shown(plan.shown)
    table = _table(f"Limits, with {shown}", "limit", "modules", "spare", f"with {plan.shown}", "because")
    deciding = (plan.window.floor, plan.window.ceiling)
    others = [limit for limit in plan.limits if limit not in deciding]
    for limit in (*deciding, *others):
        style = "bold" if limit in deciding else ""
        table.add_row(
            limit.subject,
            bound_words(limit),
            _spare(plan, limit),
            _held(plan, limit),
            _because(limit),
            style=style,
        )
    return table


def bound_words(limit: Limit) -> str:
    """In words: at least 5, at most 6, none does."""
    if not limit.reachable:
        return "none does"
    return f"at {'least' if limit.side is Side.FLOOR else 'most'} {limit.modules}"


def _spare(plan: Plan, limit: Limit) -> str:
    if not limit.reachable:
        return ""
    spare = plan.shown - limit.modules if limit.side is Side.FLOOR else limit.modules - plan.shown
    return f"{spare:+d}".replace("-", "−") if spare else "0"


def modules_shown(count: int) -> str:
    """A count with its noun.

    >>> modules_shown(1), modules_shown(4)
    ('1 module', '4 modules')
    """
    return f"{count} module{'' if count == 1 else 's'}"


def _held(plan: Plan, limit: Limit) -> str:
    """What governs the limit at the count shown, against what it is held to."""
    here = dict(limit.at_count).get(plan.shown)
    if here is None or limit.bound is None:
        return ""
    sign = "≥" if here.unit == "%" else "≤"
    holds = here.value >= limit.bound.value if sign == "≥" else here.value <= limit.bound.value
    return f"{here.shown()} {sign if holds else 'not ' + sign} {limit.bound.shown()}"


def _because(limit: Limit) -> str:
    changes = "".join(f"\n→ {change.what}: {change.modules}" for change in limit.loosen)
    return limit.because + changes


def rides_table(plan: Plan) -> Table:
    """Each ride in each season at the count worked out."""
    reserve = percent_from_fraction(plan.brief.wishes.reserve)
    confidence = percent_from_fraction(plan.brief.wishes.confidence)
    table = _table(
        f"Rides with {modules_shown(plan.shown)}",
        "ride",
        "season",
        "km",
        "min",
        "Wh",
        f"charge left, {confidence:g} in 100",
        f"arrive with {reserve:.0f} %",
    )
    for answer in plan.answers:
        table.add_row(*_ride_row(plan, answer))
    return table


def _ride_row(plan: Plan, answer: RideAnswer) -> Iterable[str]:
    middle = percent_from_fraction(float(answer.arrival[2]))
    held = percent_from_fraction(answer.held(plan.brief.wishes.confidence))
    return (
        answer.ride.name,
        answer.season.title,
        f"{km_from_metres(answer.outcome.distance):.1f}",
        f"{minutes_from_seconds(answer.time):.0f}",
        f"{watt_hours_from_joules(answer.energy):.0f}",
        f"{held:.0f} % (middle {middle:.0f} %)",
        f"{percent_from_fraction(answer.likely_to_arrive):.0f} %",
    )


def parts_table(plan: Plan) -> Table:
    """The parts list with mass and price."""
    currency = plan.brief.wishes.currency
    table = _table("Parts", "count", "part", "kg", currency)
    for line in plan.parts:
        table.add_row(
            f"{line.count:g} {line.unit}".strip(), line.title, f"{line.mass:.2f}", f"{line.price:.0f}"
        )
    table.add_row(
        "",
        "adds to the bicycle, without the charger",
        f"{plan.added_mass:.2f}",
        f"{plan.price:.0f}",
        style="bold",
    )
    return table


def settings_table(plan: Plan) -> Table:
    """What to set in the controller."""
    table = _table("Controller", "setting", "value", "because")
    for setting in plan.settings:
        table.add_row(setting.what, setting.value.shown(), setting.because)
    return table


def alternatives_table(plan: Plan) -> Table:
    """Other modules and drives, best first."""
    table = _table(
        f"Also tried, by {plan.brief.wishes.rank_by.value}",
        "parts",
        "window",
        "kg",
        plan.brief.wishes.currency,
        "because",
    )
    for other in plan.alternatives:
        span = f"{other.floor} to {other.ceiling}" if other.is_open else "none"
        table.add_row(other.title, span, f"{other.mass:.1f}", f"{other.price:.0f}", other.because)
    return table


def working_lines(working: Working) -> RenderableType:
    """Formula, values, result and source; steps indented below."""
    lines = [
        Text(working.formula, style="italic"),
        *(Text(f"{value.symbol} = {value.shown()}   {value.meaning}") for value in working.values),
        Text(
            f"⇒ {working.result.symbol} = {working.result.shown()}   {working.result.meaning}", style="bold"
        ),
        Text(f"{working.source.text} ({working.source.standing.value})", style="dim"),
    ]
    steps = [
        Padding(Group(Text(step.title, style="underline"), working_lines(step)), (0, 0, 0, 4))
        for step in working.steps
    ]
    return Group(*lines, *steps)


def _table(title: str, *heads: str) -> Table:
    table = Table(
        title=title, title_justify="left", title_style="bold", box=None, pad_edge=False, padding=(0, 2, 0, 0)
    )
    figures = {"kg", "km", "min", "Wh", "spare"}
    for head in heads:
        table.add_column(head, justify="right" if head in figures else "left", header_style="dim")
    return table


def _list(console: Console, title: str, sentences: tuple[str, ...]) -> None:
    if not sentences:
        return
    console.print(Text(f"\n{title}", style="bold"))
    for sentence in sentences:
        console.print(Padding(Text(f"· {sentence}"), (0, 0, 0, 1)))
