"""What a job sheet says, as plain text and figures: the same for print and for the screen."""

from dataclasses import dataclass, field

from wattwright.documents.figures import Shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A name and what stands beside it."""

    label: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyFigure:
    """One number that is asked for first, in words."""

    words: str
    shown: Shown
    note: str = ""
    """Where it holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing with its caption; ``says`` is for those who cannot see it."""

    svg: str = field(repr=False)
    says: str
    title: str = ""
    caption: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RideRow:
    """One ride in one season."""

    ride: str
    season: str
    distance: Shown
    lowest: Shown
    """Charge left at the 5 % quantile."""
    held: Shown
    """Charge left that the wished share of rides arrives with."""
    middle: Shown
    highest: Shown
    """Charge left at the 95 % quantile."""
    likely: Shown
    energy: Shown
    time: Shown
    is_hardest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """One limit as the table shows it."""

    bound: str
    """"at least 5"."""
    subject: str
    because: str
    spare: str
    """Modules between the limit and the count shown; negative where it is not held."""
    at_count: str
    """The governing quantity at the count shown against its bound, where it was worked out."""
    loosen: tuple[str, ...]
    decides: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One line of the parts list."""

    count: str
    title: str
    mass: Shown
    price: Shown


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingRow:
    """One value to set."""

    what: str
    value: Shown
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativeRow:
    """Another module or drive."""

    title: str
    window: str
    chosen: str
    mass: Shown
    price: Shown
    held: Shown
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRow:
    """One value put into a formula."""

    symbol: str
    meaning: str
    shown: Shown


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingBlock:
    """One working of the appendix, its steps below it."""

    title: str
    formula: str
    values: tuple[ValueRow, ...]
    result: ValueRow
    source: str
    standing: str
    steps: tuple["WorkingBlock", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The whole sheet, in the order it is read."""

    title: str
    """Of the document."""
    foot: str
    """Repeated at the foot of each page."""
    title_block: tuple[Entry, ...]
    sentence: str
    opening: tuple[str, ...]
    window: Picture
    worked_for: str
    """Which count the rides, parts and settings stand for: "5 modules"."""
    falls_short: bool
    """Whether that count is inside no window."""
    key_figures: tuple[KeyFigure, ...]
    held_words: str
    """Head of the column of held charge: "nine in ten at least"."""
    rides: tuple[RideRow, ...]
    profiles: tuple[Picture, ...]
    limits: tuple[LimitRow, ...]
    counts: tuple[Picture, ...]
    rooms: tuple[Picture, ...]
    """Each place used, with its stack, to scale."""
    parts: tuple[PartRow, ...]
    total: PartRow
    settings: tuple[SettingRow, ...]
    alternatives: tuple[AlternativeRow, ...]
    asked: tuple[Entry, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    workings: tuple[WorkingBlock, ...]
