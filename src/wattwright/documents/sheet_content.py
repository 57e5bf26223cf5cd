"""From a plan to what its sheet says: every figure with its unit, in the order it is read."""

import math
from typing import Final

from wattwright.documents import figures
from wattwright.documents.count_drawing import can_be_drawn, count_picture
from wattwright.documents.drawing import Drawing, render
from wattwright.documents.figures import APART, MINUS, UNKNOWN, Shown, Units
from wattwright.documents.header import SheetHeader
from wattwright.documents.palette import Palette
from wattwright.documents.profile_drawing import profile_picture
from wattwright.documents.room_drawing import Stack, room_picture
from wattwright.documents.sheet import (
    AlternativeRow,
    Entry,
    KeyFigure,
    LimitRow,
    PartRow,
    Picture,
    RideRow,
    SettingRow,
    Sheet,
    ValueRow,
    WorkingBlock,
)
from wattwright.documents.window_drawing import window_picture
from wattwright.sizing.build_up import room_in, stacks
from wattwright.sizing.limits import Limit, Side, hardest_seasons
from wattwright.sizing.plan import Alternative, PartLine, Plan, RideAnswer
from wattwright.units import Fraction
from wattwright.working import Quantity, Working

METRIC_SENTENCES: Final = (
    "Tables and drawings are in miles, pounds and degrees Fahrenheit; sentences and workings in kilometres, "
    "kilograms and degrees Celsius, as they were worked out."
)
NUMERALS: Final = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def sheet_content(
    plan: Plan, header: SheetHeader, *, palette: Palette, width: float, tall: float, half: float, small: float
) -> Sheet:
    """What the sheet of a plan says.

    Args:
        plan: The answer.
        header: Title block.
        palette: Inks of the drawings.
        width: Of the window and the profiles. [px]
        tall: Height of one panel of a profile. [px]
        half: Width of a stack in its place. [px]
        small: Width of a drawing by count. [px]
    """
    units = header.units
    hardest = _hardest(plan)
    return Sheet(
        title=f"Job {header.number}: {header.title}" if header.number else header.title,
        foot=" · ".join(filter(None, (header.workshop, _job(header), _revision(header), header.date))),
        title_block=_title_block(plan, header),
        sentence=plan.sentence,
        opening=plan.opening,
        window=_picture(
            window_picture(plan.window, chosen=plan.chosen, shown=plan.shown, palette=palette, width=width)
        ),
        worked_for=_modules(plan.shown),
        falls_short=plan.chosen is None,
        key_figures=_key_figures(plan, hardest, units),
        held_words=f"{_share_in_words(plan.brief.wishes.confidence)} at least",
        rides=tuple(_ride_row(plan, answer, hardest, units) for answer in plan.answers),
        profiles=tuple(_profile(plan, answer, units, palette, width=width, tall=tall) for answer in hardest),
        limits=tuple(_limit_row(plan, limit, units) for limit in _deciding_first(plan)),
        counts=tuple(
            _picture(count_picture(limit, chosen=plan.shown, units=units, palette=palette, width=small))
            for limit in hardest_seasons(_deciding_first(plan))
            if can_be_drawn(limit)
        ),
        rooms=tuple(
            _picture(room_picture(stack, units=units, palette=palette, width=half)) for stack in _stacks(plan)
        ),
        parts=_parts(plan, units),
        total=_total(plan, units),
        settings=tuple(
            SettingRow(
                what=setting.what, value=figures.quantity(setting.value, units), because=setting.because
            )
            for setting in plan.settings
        ),
        alternatives=tuple(_alternative(plan, other, units) for other in plan.alternatives),
        asked=_asked(plan, units),
        cautions=plan.cautions,
        notes=plan.notes,
        workings=tuple(_working(working) for working in plan.workings),
    )


def _picture(drawing: Drawing, title: str = "", caption: str = "") -> Picture:
    says = f"{drawing.title}. {drawing.description}"
    return Picture(svg=render(drawing), says=says, title=title, caption=caption)


def _job(header: SheetHeader) -> str:
    return f"job {header.number}" if header.number else header.title


def _revision(header: SheetHeader) -> str:
    return f"revision {header.revision}" if header.revision else ""


def _title_block(plan: Plan, header: SheetHeader) -> tuple[Entry, ...]:
    return (
        Entry(label="Workshop", value=header.workshop),
        Entry(label=f"Job {header.number}".rstrip(), value=header.title),
        Entry(label="Customer", value=header.customer),
        Entry(label="Revision", value=header.revision),
        Entry(label="Date", value=header.date),
        Entry(label="Chosen", value=_chosen(plan)),
        Entry(label="Units", value=header.units.named),
    )


def _chosen(plan: Plan) -> str:
    if plan.chosen is None:
        return "none"
    return f"{_modules(plan.chosen)}, {figures.energy(plan.chosen * plan.brief.battery_module.energy)}"


def _modules(count: int) -> str:
    return f"{count}{APART}module{'' if count == 1 else 's'}"


def _held(plan: Plan, answer: RideAnswer) -> Fraction:
    """Charge left that the wished share of rides arrives with at least."""
    return answer.held(plan.brief.wishes.confidence)


def _hardest(plan: Plan) -> tuple[RideAnswer, ...]:
    """Of each ride the season that leaves least, in the order of the rides."""
    worst: dict[str, RideAnswer] = {}
    for answer in plan.answers:
        before = worst.get(answer.ride.name)
        if before is None or _held(plan, answer) < _held(plan, before):
            worst[answer.ride.name] = answer
    return tuple(worst.values())


def _share_in_words(share: Fraction) -> str:
    """Nine in ten, or 95 in 100."""
    tenths = share * 10.0
    if math.isclose(tenths, round(tenths), abs_tol=1e-9):
        return f"{NUMERALS[round(tenths)]} in ten"
    return f"{100.0 * share:g} in 100"


def _key_figures(plan: Plan, hardest: tuple[RideAnswer, ...], units: Units) -> tuple[KeyFigure, ...]:
    confident = _share_in_words(plan.brief.wishes.confidence)
    arrivals = []
    if hardest:
        worst = min(hardest, key=lambda answer: _held(plan, answer))
        place = f"{worst.ride.name}, {worst.season.title}"
        arrivals = [
            KeyFigure(
                words=f"{confident.capitalize()} rides arrive with at least",
                shown=figures.share(_held(plan, worst)),
                note=place,
            ),
            KeyFigure(
                words=f"Rides that keep the reserve of {figures.share(plan.brief.wishes.reserve)}",
                shown=figures.chance(worst.likely_to_arrive),
                note=place,
            ),
        ]
    current = figures.figure(plan.highest_current_per_module, 1)
    return (
        *arrivals,
        KeyFigure(words="Highest current of each module", shown=Shown(figure=current, unit="A")),
        KeyFigure(
            words="Marked energy of the pack",
            shown=figures.energy(plan.shown * plan.brief.battery_module.energy),
        ),
        KeyFigure(words="The conversion adds", shown=figures.mass(plan.added_mass, units)),
        KeyFigure(words="Parts, tax included", shown=figures.price(plan.price, plan.brief.wishes.currency)),
    )


def _ride_row(plan: Plan, answer: RideAnswer, hardest: tuple[RideAnswer, ...], units: Units) -> RideRow:
    low, _, middle, _, high = answer.arrival
    weather = figures.temperature(answer.season.temperature, units)
    return RideRow(
        ride=answer.ride.name,
        season=f"{answer.season.title}, {weather}",
        distance=figures.distance(answer.outcome.distance, units),
        lowest=figures.share(low),
        held=figures.share(_held(plan, answer)),
        middle=figures.share(middle),
        highest=figures.share(high),
        likely=figures.chance(answer.likely_to_arrive),
        energy=figures.energy(answer.energy),
        time=figures.duration(answer.time),
        is_hardest=any(answer is one for one in hardest),
    )


def _profile(
    plan: Plan, answer: RideAnswer, units: Units, palette: Palette, *, width: float, tall: float
) -> Picture:
    wishes = plan.brief.wishes
    drawing = profile_picture(
        answer, reserve=wishes.reserve, units=units, palette=palette, width=width, tall=tall
    )
    return _picture(
        drawing,
        title=f"{answer.ride.name}: {answer.season.title}",
        caption=(
            f"{_share_in_words(wishes.confidence).capitalize()} rides arrive with at least "
            f"{figures.share(_held(plan, answer))}; {figures.chance(answer.likely_to_arrive)} of rides keep "
            f"the reserve of {figures.share(wishes.reserve)}. Drawn from the pack, in the middle: "
            f"{figures.energy(answer.energy)} in {figures.duration(answer.time)}."
        ),
    )


def _deciding_first(plan: Plan) -> tuple[Limit, ...]:
    window = plan.window
    return (window.floor, window.ceiling, *window.floors[1:], *window.ceilings[1:])


def _limit_row(plan: Plan, limit: Limit, units: Units) -> LimitRow:
    return LimitRow(
        bound=_bound(limit),
        subject=limit.subject,
        because=limit.because,
        spare=_spare(plan, limit),
        at_count=_at_count(limit, plan.shown, units),
        loosen=tuple(
            f"{change.what} (then {_bound_words(limit.side)}{APART}{change.modules})"
            for change in limit.loosen
        ),
        decides=limit is plan.window.floor or limit is plan.window.ceiling,
    )


def _bound(limit: Limit) -> str:
    if not limit.reachable:
        return f"more than{APART}{limit.modules - 1}"
    return f"{_bound_words(limit.side)}{APART}{limit.modules}"


def _bound_words(side: Side) -> str:
    return "at least" if side is Side.FLOOR else "at most"


def _spare(plan: Plan, limit: Limit) -> str:
    """Modules to spare at the count shown: +1, 0, −1."""
    spare = plan.shown - limit.modules if limit.side is Side.FLOOR else limit.modules - plan.shown
    sign = "+" if spare > 0 else MINUS if spare < 0 else ""
    return f"{sign}{abs(spare)}"


def _at_count(limit: Limit, count: int, units: Units) -> str:
    here: Quantity | None = dict(limit.at_count).get(count)
    if here is None:
        return ""
    against = f" against {figures.quantity(limit.bound, units)}" if limit.bound else ""
    return f"with {count}: {figures.quantity(here, units)}{against}"


def _stacks(plan: Plan) -> tuple[Stack, ...]:
    """The places used at the count shown, filled as the parts list has them."""
    return tuple(
        Stack(
            place=place,
            battery_module=plan.brief.battery_module,
            room=room_in(place, plan.brief),
            modules=modules,
        )
        for place, modules in stacks(plan.brief, plan.shown)
    )


def _parts(plan: Plan, units: Units) -> tuple[PartRow, ...]:
    return tuple(
        PartRow(
            count=_pieces(part, units),
            title=part.title,
            mass=figures.mass(part.mass, units),
            price=figures.price(part.price, plan.brief.wishes.currency),
        )
        for part in plan.parts
    )


def _pieces(part: PartLine, units: Units) -> str:
    """Whole pieces without decimals, lengths with one."""
    count, unit = part.count, part.unit
    if unit == "m":
        count, unit = figures.in_height_units(count, units), figures.height_unit(units)
    digits = 0 if math.isclose(count, round(count), abs_tol=1e-6) else 1
    return str(Shown(figure=figures.figure(count, digits), unit=unit))


def _total(plan: Plan, units: Units) -> PartRow:
    return PartRow(
        count="",
        title="In all",
        mass=figures.mass(sum(part.mass for part in plan.parts), units),
        price=figures.price(plan.price, plan.brief.wishes.currency),
    )


def _alternative(plan: Plan, other: Alternative, units: Units) -> AlternativeRow:
    nothing = Shown(figure=UNKNOWN, unit="")
    works = other.is_open and other.chosen is not None
    return AlternativeRow(
        title=other.title,
        window=_span(other),
        chosen=str(other.chosen) if other.chosen is not None else UNKNOWN,
        mass=figures.mass(other.mass, units) if works else nothing,
        price=figures.price(other.price, plan.brief.wishes.currency) if works else nothing,
        held=figures.share(other.worst_arrival) if works else nothing,
        because=other.because,
    )


def _span(other: Alternative) -> str:
    if not other.is_open:
        return f"empty: at least {other.floor}, at most {other.ceiling}"
    return f"{other.floor} to {other.ceiling}" if other.floor < other.ceiling else f"{other.floor} only"


def _asked(plan: Plan, units: Units) -> tuple[Entry, ...]:
    """What the answer was worked out for."""
    brief, wishes = plan.brief, plan.brief.wishes
    held = (
        f"{_share_in_words(wishes.confidence)} rides arrive with {figures.share(wishes.reserve)}, "
        f"for {wishes.years:g} years of service"
    )
    law = f"{brief.assist_class.title} ({brief.assist_class.source.text})"
    return (
        Entry(label="Held", value=held),
        Entry(label="Module", value=brief.battery_module.title),
        Entry(label="Drive", value=brief.drive.title),
        Entry(label="Charger", value=brief.charger.title),
        Entry(label="Class", value=law),
        Entry(label="Bicycle", value=f"{brief.bicycle.title}, {figures.mass(brief.bicycle.mass, units)}"),
        Entry(label="Rider", value=str(figures.mass(brief.rider.mass, units))),
        Entry(label="Places", value="; ".join(
            f"{place.name}, {figures.length(place.free_length, units)} free, {place.carrier.title}"
            for place in brief.places
        )),
        Entry(label="Samples", value=f"{figures.figure(brief.samples)} of each ride"),
        *((Entry(label="Units", value=METRIC_SENTENCES),) if units is Units.IMPERIAL else ()),
    )  # fmt: skip


def _working(working: Working) -> WorkingBlock:
    return WorkingBlock(
        title=working.title,
        formula=working.formula,
        values=tuple(_value_row(value) for value in working.values),
        result=_value_row(working.result),
        source=working.source.text,
        standing=working.source.standing.value,
        steps=tuple(_working(step) for step in working.steps),
    )


def _value_row(value: Quantity) -> ValueRow:
    """As worked out: a formula's values keep the units the formula is written in."""
    return ValueRow(symbol=value.symbol, meaning=value.meaning, shown=figures.quantity(value, Units.METRIC))
