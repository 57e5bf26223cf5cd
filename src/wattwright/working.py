"""The working: a number that someone may have to defend, opened to its formula, values and source."""

from dataclasses import dataclass
from enum import Enum


class Standing(Enum):
    """What stands behind a formula or a value."""

    PUBLISHED = "published"
    STANDARD = "standard or regulation"
    MAKER = "maker's data sheet"
    MEASURED = "measured on this job"
    COMMON_PRACTICE = "common practice, no source"
    ASSUMPTION = "assumption"
    MEMORY = "recalled from memory, verify"
    INVENTED = "invented for the demo"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a formula or a value comes from."""

    text: str
    """Author, title, year, clause: enough to find it again."""
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One number in a working, in the unit it is shown in."""

    symbol: str
    """As in the formula: "I", "n", "SoC"."""
    meaning: str
    """In words: "battery current limit of the controller"."""
    value: float
    unit: str
    """As shown beside the figure: "A", "Wh", "%", "" for a pure number."""
    digits: int = 1
    """Decimals that are true."""

    def shown(self) -> str:
        """The figure and its unit as printed.

        >>> Quantity(symbol="I", meaning="limit", value=20.0, unit="A", digits=0).shown()
        '20 A'
        """
        figure = f"{self.value:,.{self.digits}f}".replace(",", "\u2009").replace("-", "\u2212")
        return f"{figure} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """Formula, the values put in, the result, and the source; steps open further."""

    title: str
    formula: str
    """Plain text, as a fitter would write it on paper: "n = I_limit / I_module, rounded up"."""
    values: tuple[Quantity, ...]
    result: Quantity
    source: Source
    steps: tuple["Working", ...] = ()
