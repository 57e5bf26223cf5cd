"""An empty window: the smallest changes that open it, each set planned again before it is said."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from wattwright.sizing.applied import applied
from wattwright.sizing.considerations import FROM_DATA_SHEETS, Maker
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.limits import Aim, Change, Depth, Limit, Side, window
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.subjects import Subject, ride_subjects
from wattwright.sizing.trials import Trials

MOST_SAID: Final = 6
MOST_TOGETHER: Final = 3
"""Changes in one set: whoever must change four things starts a new job."""
MOST_TRIED: Final = 24
"""Sets planned again."""
EFFORT: Final = (
    "drive.", "wishes.reserve", "wishes.confidence", "wishes.charge_time", "wishes.years",
    "wishes.added_mass", "wishes.budget", "pack.charger", "places", "pack.module",
)  # fmt: skip
"""By how much work or money a change costs, the cheapest first; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """Changes that open the window together."""

    changes: tuple[Change, ...]
    count: int
    """Modules that will do then."""

    @property
    def sentence(self) -> str:
        """As a fitter would say it."""
        what = " and ".join(change.what for change in self.changes)
        return f"{what[0].upper()}{what[1:]}: then {modules_in_words(self.count)} will do."


def opening_sentences(found: Sequence[Opening]) -> tuple[str, ...]:
    """One sentence for each, or that there is none."""
    if found:
        return tuple(opening.sentence for opening in found)
    way_out = "split the ride, or take another module or drive"
    return (f"None of the changes tried opens it, alone or up to three together: {way_out}.",)


def openings(
    trials: Trials, subjects: Sequence[Subject], considered: Sequence[tuple[Limit, Maker]]
) -> tuple[Opening, ...]:
    """Sets of changes that open an empty window, the fewest and easiest first.

    Args:
        trials: Of the brief.
        subjects: Its rides in their seasons.
        considered: Its limits, and what makes them again for each count between the colliding ones.

    Notes:
        For a count between the lowest ceiling and the highest floor every limit that forbids it must move. A
        set is said only if the brief with it made has a window: every floor holds at its lowest ceiling.
    """
    found: list[Opening] = []
    for charged, changes in _sets(subjects, considered)[:MOST_TRIED]:
        if len(found) >= MOST_SAID:
            break
        if any(set(opening.changes) <= set(changes) for opening in found):
            continue
        count = opened_at(trials, changes, charged=charged)
        if count is not None:
            found.append(Opening(changes=changes, count=count))
    return tuple(found)


def opened_at(trials: Trials, changes: Iterable[Change], *, charged: str = "") -> int | None:
    """The smallest count that will do once the changes are made; None where still none does.

    Args:
        trials: Of the brief as it is.
        changes: Of which one may be a charge on the way, already ridden out.
        charged: Name of the ride that is charged on the way; its floors are moved already.

    Notes:
        The controller's nameplate floors hold the current as drawn too: no module is then asked for more than
        it gives for good.
    """
    brief = trials.brief
    for change in changes:
        brief = applied(brief, change) or brief
    limits = [limit for make in FROM_DATA_SHEETS if (limit := make(brief, Aim())) is not None]
    low = max(limit.modules for limit in limits if limit.side is Side.FLOOR)
    high = min([MOST_MODULES, *(limit.modules for limit in limits if limit.side is Side.CEILING)])
    low = max([low, *(change.modules for change in changes if not change.field)])
    again = trials.changed(brief)
    subjects = [subject for subject in ride_subjects(again) if subject.ride.name != charged]
    if low > high or not _rides_hold(again, subjects, high):
        return None
    while high > low and _rides_hold(again, subjects, high - 1):
        high -= 1
    return high


def _rides_hold(trials: Trials, subjects: Sequence[Subject], count: int) -> bool:
    """Whether enough of every ride's samples arrive."""
    confidence = trials.brief.wishes.confidence
    return all(trials.arriving(subject.at(count), count) >= confidence for subject in subjects)


def _sets(
    subjects: Sequence[Subject], considered: Sequence[tuple[Limit, Maker]]
) -> list[tuple[str, tuple[Change, ...]]]:
    """Candidate sets with the ride charged on the way, if one is; the fewest and easiest first."""
    joined = window([limit for limit, _ in considered])
    low, high = joined.ceiling.modules, min(joined.floor.modules, MOST_MODULES)
    sets: dict[frozenset[tuple[str, float]], tuple[str, tuple[Change, ...]]] = {}
    for count in sorted({low, (low + high) // 2, (low + high + 1) // 2, high} - {0}):
        for charged, changes in _moving_all(subjects, considered, count):
            sets.setdefault(frozenset((change.field, change.after) for change in changes), (charged, changes))
    return sorted(sets.values(), key=lambda one: (len(one[1]), _effort(one[1])))


def _moving_all(
    subjects: Sequence[Subject], considered: Sequence[tuple[Limit, Maker]], count: int
) -> Iterator[tuple[str, tuple[Change, ...]]]:
    """Sets of changes of which each limit that forbids the count is moved by one."""
    by_ride = {subject.name: subject.ride.name for subject in subjects}
    forbidding = [(limit, make) for limit, make in considered if _forbids(limit, count)]
    options = [
        [("", change) for change in make(Aim(target=count)).loosen]
        for limit, make in forbidding
        if limit.subject not in by_ride and not limit.subject.startswith("current as drawn")
    ]
    rides = [(limit, make) for limit, make in forbidding if limit.subject in by_ride]
    if rides:
        options.append(_ride_options(rides, by_ride, count))
    if not options or not all(options):
        return
    for chosen in product(*options):
        changes = _merged([change for _, change in chosen])
        if len(changes) <= MOST_TOGETHER:
            yield "".join(charged for charged, _ in chosen), changes


def _ride_options(
    rides: Sequence[tuple[Limit, Maker]], by_ride: Mapping[str, str], count: int
) -> list[tuple[str, Change]]:
    """One change for all rides that ask for more: the hardest one's, as strong as the others need it too."""
    hardest, make = max(rides, key=lambda one: one[0].modules)
    ride = by_ride[hardest.subject]
    others = [change for limit, again in rides for change in again(Aim(target=count)).loosen]
    options = []
    for change in make(Aim(target=count, depth=Depth.THOROUGH)).loosen:
        same = [other for other in others if other.field == change.field]
        options.append(("" if change.field else ride, _strongest([change, *same])))
    return options


def _forbids(limit: Limit, count: int) -> bool:
    return limit.modules > count if limit.side is Side.FLOOR else limit.modules < count


def _merged(changes: Iterable[Change]) -> tuple[Change, ...]:
    """Changes of one key made one."""
    by_field: dict[str, list[Change]] = {}
    for change in changes:
        by_field.setdefault(change.field, []).append(change)
    return tuple(sorted(map(_strongest, by_field.values()), key=lambda change: _effort([change])))


def _strongest(changes: Sequence[Change]) -> Change:
    """The one that goes furthest from what is."""
    return max(changes, key=lambda change: abs(change.after - change.before))


def _effort(changes: Iterable[Change]) -> tuple[float, float]:
    """Kind of the hardest change, then how far the changes go together."""
    ranks, sizes = [], []
    for change in changes:
        ranks.append(next((rank for rank, key in enumerate(EFFORT) if change.field.startswith(key)), 5))
        sizes.append(abs(change.after - change.before) / max(abs(change.before), 1e-9))
    return float(max(ranks)), sum(min(size, 10.0) for size in sizes)
