"""Values as a sheet prints them: the figure, its unit apart, and no more digits than are true."""

import math
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from wattwright.units import (
    ICE_POINT,
    KILOGRAMS_PER_POUND,
    METRES_PER_FOOT,
    METRES_PER_INCH,
    METRES_PER_MILE,
    SECONDS_PER_MINUTE,
    Fraction,
    Joule,
    Kelvin,
    Kilogram,
    Metre,
    MetrePerSecond,
    Second,
    km_from_metres,
    km_h_from_metres_per_second,
    mm_from_metres,
    percent_from_fraction,
    watt_hours_from_joules,
)
from wattwright.working import Quantity

GROUP: Final = "\u2009"
"""Thin space between groups of three digits."""
APART: Final = "\u00a0"
"""Space between figure and unit: never broken."""
MINUS: Final = "\u2212"
UNKNOWN: Final = "–"
"""Printed where a value was not worked out."""


class Units(Enum):
    """In which units lengths, masses, speeds and temperatures are shown."""

    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def named(self) -> str:
        """As the title block says it."""
        return "km · kg · °C" if self is Units.METRIC else "mi · lb · °F"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A figure and its unit, apart."""

    figure: str
    unit: str

    def __str__(self) -> str:
        return f"{self.figure}{APART}{self.unit}" if self.unit else self.figure


def figure(value: float, digits: int = 0) -> str:
    """A number with grouped digits and a true minus.

    >>> figure(-1234.56, 1).replace(GROUP, "_").replace(MINUS, "-")
    '-1_234.6'
    >>> figure(float("nan"))
    '–'
    >>> figure(-0.04, 1)
    '0.0'
    """
    if math.isnan(value):
        return UNKNOWN
    if math.isinf(value):
        return "∞" if value > 0 else f"{MINUS}∞"
    text = f"{abs(value):,.{digits}f}".replace(",", GROUP)
    is_negative = value < 0 and any(character in "123456789" for character in text)
    return f"{MINUS}{text}" if is_negative else text


def distance(value: Metre, units: Units) -> Shown:
    """A length of road: one decimal below 100 km or miles."""
    amount = km_from_metres(value) if units is Units.METRIC else value / METRES_PER_MILE
    return Shown(figure=figure(amount, 1 if amount < 100 else 0), unit=road_unit(units))


def road_unit(units: Units) -> str:
    """Kilometres or miles."""
    return "km" if units is Units.METRIC else "mi"


def height_unit(units: Units) -> str:
    """Metres or feet."""
    return "m" if units is Units.METRIC else "ft"


def speed_unit(units: Units) -> str:
    """Kilometres or miles per hour."""
    return "km/h" if units is Units.METRIC else "mph"


def in_road_units(value: Metre, units: Units) -> float:
    """A length of road as a bare number of kilometres or miles."""
    return km_from_metres(value) if units is Units.METRIC else value / METRES_PER_MILE


def in_height_units(value: Metre, units: Units) -> float:
    """A height as a bare number of metres or feet."""
    return value if units is Units.METRIC else value / METRES_PER_FOOT


def in_speed_units(value: MetrePerSecond, units: Units) -> float:
    """A speed as a bare number of km/h or mph."""
    kmh = km_h_from_metres_per_second(value)
    return kmh if units is Units.METRIC else kmh * 1000.0 / METRES_PER_MILE


def mass(value: Kilogram, units: Units) -> Shown:
    """A mass to one decimal of a kilogram or pound.

    >>> str(mass(4.5359237, Units.IMPERIAL)).replace(APART, " ")
    '10.0 lb'
    """
    if units is Units.METRIC:
        return Shown(figure=figure(value, 1), unit="kg")
    return Shown(figure=figure(value / KILOGRAMS_PER_POUND, 1), unit="lb")


def length(value: Metre, units: Units) -> Shown:
    """A length on the bicycle: whole millimetres, or inches to one decimal."""
    if units is Units.METRIC:
        return Shown(figure=figure(mm_from_metres(value)), unit="mm")
    return Shown(figure=figure(value / METRES_PER_INCH, 1), unit="in")


def temperature(value: Kelvin, units: Units) -> Shown:
    """A temperature in whole degrees."""
    celsius = value - ICE_POINT
    if units is Units.METRIC:
        return Shown(figure=figure(celsius), unit="°C")
    return Shown(figure=figure(celsius * 1.8 + 32.0), unit="°F")


def energy(value: Joule) -> Shown:
    """An energy in whole watt-hours."""
    return Shown(figure=figure(watt_hours_from_joules(value)), unit="Wh")


def share(value: Fraction) -> Shown:
    """A share in whole per cent."""
    return Shown(figure=figure(percent_from_fraction(value)), unit="%")


def chance(value: Fraction) -> Shown:
    """A share of samples: all of them, or none, is not certainty.

    >>> str(chance(1.0)).replace(APART, " "), str(chance(0.94)).replace(APART, " ")
    ('>99 %', '94 %')
    """
    if value >= 0.995:
        return Shown(figure=">99", unit="%")
    return Shown(figure="<1", unit="%") if value < 0.005 else share(value)


def duration(value: Second) -> Shown:
    """A time in hours and minutes.

    >>> str(duration(3900.0)).replace(APART, " ")
    '1:05 h'
    """
    if not math.isfinite(value):
        return Shown(figure=UNKNOWN, unit="h")
    hours, minutes = divmod(round(value / SECONDS_PER_MINUTE), 60)
    return Shown(figure=f"{hours}:{minutes:02d}", unit="h")


def price(value: float, currency: str) -> Shown:
    """An amount of money with its small change."""
    return Shown(figure=figure(value, 2), unit=currency)


_IMPERIAL: Final[dict[str, tuple[float, float, str]]] = {
    "km": (1000.0 / METRES_PER_MILE, 0.0, "mi"),
    "m": (1.0 / METRES_PER_FOOT, 0.0, "ft"),
    "mm": (0.001 / METRES_PER_INCH, 0.0, "in"),
    "kg": (1.0 / KILOGRAMS_PER_POUND, 0.0, "lb"),
    "km/h": (1000.0 / METRES_PER_MILE, 0.0, "mph"),
    "°C": (1.8, 32.0, "°F"),
}
"""Factor, offset and name of each shown unit that has an imperial sister."""


def quantity(value: Quantity, units: Units) -> Shown:
    """A quantity of a working, in the sheet's units.

    Formulas stay in the units they were worked out in; this is for values that stand alone.

    >>> low = Quantity(symbol="T", meaning="coldest month", value=-5.0, unit="°C", digits=0)
    >>> str(quantity(low, Units.IMPERIAL)).replace(APART, " ")
    '23 °F'
    """
    shown = in_units(value, units)
    return Shown(figure=figure(shown.value, shown.digits), unit=shown.unit)


def in_units(value: Quantity, units: Units) -> Quantity:
    """A quantity in the sheet's units, with as many digits as stay true."""
    if units is Units.METRIC or value.unit not in _IMPERIAL:
        return value
    factor, offset, unit = _IMPERIAL[value.unit]
    digits = value.digits + 1 if unit == "in" else max(value.digits - (unit == "ft"), 0)
    return replace(value, value=value.value * factor + offset, unit=unit, digits=digits)
