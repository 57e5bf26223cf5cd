"""Limits and the window: every consideration in one currency, a number of modules."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from wattwright.errors import InputError
from wattwright.working import Quantity, Working


class Side(Enum):
    """From which side a limit closes the window."""

    FLOOR = "floor"
    CEILING = "ceiling"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that would move a limit, worked out and not guessed."""

    what: str
    """What to do, as a fitter would say it: "set the controller to 17 A"."""
    field: str
    """Dotted key of the job file the change edits: "drive.battery_current_limit_a"; "" if none does."""
    before: float
    after: float
    unit: str
    modules: int
    """The limit's count once changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """How many modules one consideration asks for, or allows."""

    subject: str
    """Short name for the window's leader: "winter round", "controller current", "down tube"."""
    side: Side
    modules: int
    """For an unreachable floor: one more than the highest count tried."""
    because: str
    """One sentence a customer can read."""
    working: Working
    loosen: tuple[Change, ...] = ()
    reachable: bool = True
    """False where no count that was tried would do."""
    at_count: tuple[tuple[int, Quantity], ...] = ()
    """The governing quantity at the counts where it was worked out, lowest count first."""
    bound: Quantity | None = None
    """What that quantity is held against."""
    ride: str = ""
    """Name of the ride, where the limit is one ride in one of its seasons."""


class Depth(Enum):
    """How far the changes that would move a limit are worked out."""

    BARE = "what can be read off"
    USUAL = "one at least, even if it must be ridden"
    THOROUGH = "all, whatever they cost"


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What a limit is worked out for besides its own count."""

    target: int | None = None
    """Count its changes should bring it to; where not given, one less for a floor, one more for a ceiling."""
    shown: int | None = None
    """A count whose margin is wanted too."""
    depth: Depth = Depth.BARE

    def below(self, count: int) -> int:
        """The count to which a floor's changes should lower it."""
        return count - 1 if self.target is None else self.target

    def above(self, count: int) -> int:
        """The count to which a ceiling's changes should lift it."""
        return count + 1 if self.target is None else self.target

    def counts(self, count: int, *, least: int = 1) -> tuple[int, ...]:
        """The limit's count, its neighbours and the count shown, in order.

        >>> Aim(shown=7).counts(3)
        (2, 3, 4, 7)
        """
        wanted = {count - 1, count, count + 1, self.shown or count}
        return tuple(sorted(number for number in wanted if number >= least))


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The span from the highest floor to the lowest ceiling."""

    floors: tuple[Limit, ...]
    """Highest first."""
    ceilings: tuple[Limit, ...]
    """Lowest first."""

    @property
    def floor(self) -> Limit:
        """The floor that decides."""
        return self.floors[0]

    @property
    def ceiling(self) -> Limit:
        """The ceiling that decides."""
        return self.ceilings[0]

    @property
    def is_open(self) -> bool:
        """Whether any count satisfies every limit."""
        return self.floor.reachable and self.floor.modules <= self.ceiling.modules

    @property
    def counts(self) -> range:
        """The counts inside, lowest first; empty where the limits collide."""
        return range(self.floor.modules, self.ceiling.modules + 1) if self.is_open else range(0)


def window(limits: Sequence[Limit]) -> Window:
    """Join the limits: the highest floor against the lowest ceiling; ties keep the given order.

    Raises:
        InputError: If there is no floor or no ceiling at all.
    """
    floors = sorted((limit for limit in limits if limit.side is Side.FLOOR), key=lambda limit: -limit.modules)
    ceilings = sorted(
        (limit for limit in limits if limit.side is Side.CEILING), key=lambda limit: limit.modules
    )
    if not floors or not ceilings:
        raise InputError("limits", len(limits), "at least one floor and one ceiling")
    return Window(floors=tuple(floors), ceilings=tuple(ceilings))


def hardest_seasons(limits: Sequence[Limit]) -> tuple[Limit, ...]:
    """The limits without those of a ride that another season of the same ride already names.

    Args:
        limits: Those that press hardest first, as a window holds them.
    """
    named: set[str] = set()
    kept = []
    for limit in limits:
        if limit.ride not in named:
            kept.append(limit)
        if limit.ride:
            named.add(limit.ride)
    return tuple(kept)
