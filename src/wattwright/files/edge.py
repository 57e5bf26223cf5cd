"""The edge: what a key's suffix means, and the way from a file's keys to our records and back.

Inside, every number is SI and its name carries no unit. In a file a key ends in its unit: ``energy_wh``.
This table is the whole dictionary between the two, so that no model repeats a factor.
"""

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from enum import Enum
from typing import Annotated, Any, ClassVar, Final, get_args, get_origin

from pydantic import BaseModel, ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from wattwright import units

Conversion = Callable[[float], float]


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One suffix: how it is shown, and the way to SI and back."""

    shown: str
    inwards: Conversion
    outwards: Conversion
    mistaken: tuple[tuple[str, Conversion], ...] = ()
    """Other units people write by habit, and what would turn such a number into this unit."""


def _same(value: float) -> float:
    return value


def _times(factor: float) -> Conversion:
    return lambda value: value * factor


_FROM_FAHRENHEIT: Final[Conversion] = lambda value: (value - 32.0) / 1.8  # noqa: E731 (one row of a table)

UNITS: Final[Mapping[str, Unit]] = {
    "_wh": Unit(
        shown="Wh",
        inwards=units.joules_from_watt_hours,
        outwards=units.watt_hours_from_joules,
        mistaken=(("kWh", _times(1000)), ("J", _times(1 / 3600))),
    ),
    "_ah": Unit(
        shown="Ah",
        inwards=units.coulombs_from_ampere_hours,
        outwards=units.ampere_hours_from_coulombs,
        mistaken=(("mAh", _times(0.001)),),
    ),
    "_v": Unit(shown="V", inwards=_same, outwards=_same, mistaken=(("mV", _times(0.001)),)),
    "_ma": Unit(
        shown="mA",
        inwards=units.amperes_from_milliamperes,
        outwards=units.milliamperes_from_amperes,
        mistaken=(("µA", _times(0.001)), ("A", _times(1000))),
    ),
    "_a": Unit(shown="A", inwards=_same, outwards=_same, mistaken=(("mA", _times(0.001)),)),
    "_w": Unit(shown="W", inwards=_same, outwards=_same, mistaken=(("kW", _times(1000)),)),
    "_n": Unit(shown="N", inwards=_same, outwards=_same, mistaken=(("kg", _times(9.80665)),)),
    "_nm": Unit(shown="N·m", inwards=_same, outwards=_same),
    "_s": Unit(shown="s", inwards=_same, outwards=_same, mistaken=(("ms", _times(0.001)),)),
    "_min": Unit(
        shown="min",
        inwards=units.seconds_from_minutes,
        outwards=units.minutes_from_seconds,
        mistaken=(("s", _times(1 / 60)),),
    ),
    "_h": Unit(
        shown="h",
        inwards=units.seconds_from_hours,
        outwards=units.hours_from_seconds,
        mistaken=(("min", _times(1 / 60)), ("s", _times(1 / 3600))),
    ),
    "_mohm": Unit(
        shown="mΩ",
        inwards=units.ohms_from_milliohms,
        outwards=units.milliohms_from_ohms,
        mistaken=(("Ω", _times(1000)),),
    ),
    "_c": Unit(
        shown="°C",
        inwards=units.kelvin_from_celsius,
        outwards=units.celsius_from_kelvin,
        mistaken=(("K", units.celsius_from_kelvin), ("°F", _FROM_FAHRENHEIT)),
    ),
    "_k": Unit(shown="K", inwards=_same, outwards=_same),
    "_kg": Unit(
        shown="kg",
        inwards=_same,
        outwards=_same,
        mistaken=(("g", units.kilograms_from_grams), ("lb", _times(units.KILOGRAMS_PER_POUND))),
    ),
    "_m": Unit(
        shown="m",
        inwards=_same,
        outwards=_same,
        mistaken=(("mm", _times(0.001)), ("cm", _times(0.01)), ("km", _times(1000))),
    ),
    "_mm": Unit(
        shown="mm",
        inwards=units.metres_from_mm,
        outwards=units.mm_from_metres,
        mistaken=(("m", _times(1000)), ("cm", _times(10)), ("inches", _times(25.4))),
    ),
    "_km": Unit(
        shown="km",
        inwards=units.metres_from_km,
        outwards=units.km_from_metres,
        mistaken=(("m", _times(0.001)),),
    ),
    "_px": Unit(shown="px", inwards=_same, outwards=_same),
    "_m2": Unit(shown="m²", inwards=_same, outwards=_same, mistaken=(("cm²", _times(1e-4)),)),
    "_mm2": Unit(
        shown="mm²",
        inwards=units.square_metres_from_square_mm,
        outwards=units.square_mm_from_square_metres,
        mistaken=(("m²", _times(1e6)),),
    ),
    "_km_h": Unit(
        shown="km/h",
        inwards=units.metres_per_second_from_km_h,
        outwards=units.km_h_from_metres_per_second,
        mistaken=(("m/s", _times(3.6)),),
    ),
    "_m_s": Unit(shown="m/s", inwards=_same, outwards=_same, mistaken=(("km/h", _times(1 / 3.6)),)),
    "_rpm": Unit(
        shown="rpm",
        inwards=units.radians_per_second_from_rpm,
        outwards=units.rpm_from_radians_per_second,
        mistaken=(("rad/s", units.rpm_from_radians_per_second),),
    ),
    "_rpm_per_v": Unit(
        shown="rpm/V",
        inwards=units.torque_constant_from_speed_constant,
        outwards=units.speed_constant_from_torque_constant,
    ),
    "_deg": Unit(shown="°", inwards=units.radians_from_degrees, outwards=units.degrees_from_radians),
    "_pct": Unit(
        shown="%",
        inwards=units.fraction_from_percent,
        outwards=units.percent_from_fraction,
        mistaken=(("a fraction", _times(100)),),
    ),
    "_pct_per_month": Unit(
        shown="% a month",
        inwards=units.per_second_from_percent_per_month,
        outwards=units.percent_per_month_from_per_second,
        mistaken=(("% a year", _times(1 / 12)),),
    ),
    "_kj_per_mol": Unit(
        shown="kJ/mol",
        inwards=units.joules_per_mole_from_kj_per_mol,
        outwards=units.kj_per_mol_from_joules_per_mole,
        mistaken=(("J/mol", _times(0.001)),),
    ),
    "_j_per_k": Unit(shown="J/K", inwards=_same, outwards=_same),
    "_k_per_w": Unit(shown="K/W", inwards=_same, outwards=_same),
    "_s_per_m": Unit(shown="s/m", inwards=_same, outwards=_same),
    "_kg_per_m": Unit(shown="kg/m", inwards=_same, outwards=_same, mistaken=(("g/m", _times(0.001)),)),
    "_kg_m2": Unit(shown="kg m²", inwards=_same, outwards=_same),
    "_w_per_pct": Unit(
        shown="W per % of grade",
        inwards=units.watts_per_grade_from_watts_per_percent,
        outwards=units.watts_per_percent_from_watts_per_grade,
    ),
}
"""Longest suffixes are tried first, so that ``speed_km_h`` is a speed and not a time."""

_SUFFIXES: Final = sorted(UNITS, key=len, reverse=True)


class Edge(BaseModel):
    """A table of a file: strict types, no unknown keys, no NaN, no infinity.

    ``record`` is the frozen record it becomes; ``renamed`` maps a key without its unit to the record's field
    where the two differ.
    """

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, use_attribute_docstrings=True)

    record: ClassVar[type | None] = None
    renamed: ClassVar[Mapping[str, str]] = {}

    @model_validator(mode="after")
    def _per_cent_are_not_fractions(self) -> "Edge":
        for key in type(self).model_fields:
            value = getattr(self, key)
            for figure in value if isinstance(value, list) else [value]:
                if key.endswith("_pct") and isinstance(figure, float) and 0 < figure < 1:
                    hint = f"If a fraction was meant, write {figure * 100:.6g}."
                    raise contradiction(key, figure, "in per cent, 0 or from 1", hint)
        return self


def contradiction(key: str, value: object, wanted: str, way_out: str = "") -> PydanticCustomError:
    """A fault between several values of one table, for a model's own validator to raise."""
    return PydanticCustomError(
        "contradiction", "{wanted}", {"key": key, "value": value, "wanted": wanted, "way_out": way_out}
    )


def suffix_of(key: str) -> str:
    """The unit suffix a key ends in; "" for a pure number or a word.

    >>> suffix_of("easing_speed_km_h"), suffix_of("cells_in_series")
    ('_km_h', '')
    """
    return next((suffix for suffix in _SUFFIXES if key.endswith(suffix)), "")


def unit_of(key: str) -> Unit | None:
    """The unit a key is written in; None for a pure number or a word."""
    return UNITS.get(suffix_of(key))


def field_of(model: type[Edge], key: str) -> str:
    """The record's field a key fills."""
    bare = key.removesuffix(suffix_of(key))
    return model.renamed.get(bare, bare)


def fields_from(edge: Edge) -> dict[str, Any]:
    """A table's values in SI, by the record's field names; nested tables become their records."""
    return {field_of(type(edge), key): _inwards(key, getattr(edge, key)) for key in type(edge).model_fields}


def record_from(edge: Edge) -> Any:  # noqa: ANN401 (which record it is stands in the model's ``record``)
    """The frozen SI record of a table.

    Raises:
        TypeError: If the model names no record: a fault of ours, not of the file.
    """
    model = type(edge)
    if model.record is None:
        raise TypeError(f"{model.__name__} names no record")
    return model.record(**fields_from(edge))


def _inwards(key: str, value: Any) -> Any:  # noqa: ANN401
    if isinstance(value, Edge):
        return record_from(value)
    if isinstance(value, list):
        return tuple(_inwards(key, item) for item in value)
    unit = unit_of(key)
    if unit is None or value is None:
        return value
    return unit.inwards(float(value))


def table_of(model: type[Edge], source: object) -> dict[str, Any]:
    """The keys and values a file would hold for a record: the way back of ``record_from``.

    Keys whose field the record lacks (other ways of saying the same) or holds as None are left out.
    """
    table = {}
    for key, field in model.model_fields.items():
        value = getattr(source, field_of(model, key), None)
        if value is not None:
            table[key] = _outwards(key, field.annotation, value)
    return table


def _outwards(key: str, annotation: Any, value: Any) -> Any:  # noqa: ANN401
    table = next((part for part in (annotation, *get_args(annotation)) if _is_table(part)), None)
    if table is not None and not isinstance(value, tuple):
        return table_of(table, value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        inner = get_args(_bare(annotation))[0]
        return [_outwards(key, inner, item) for item in value]
    unit = unit_of(key)
    return value if unit is None else edge_number(value, unit)


def _is_table(annotation: object) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, Edge)


def _bare(annotation: Any) -> Any:  # noqa: ANN401
    """A list's own annotation, without the rules its items are held to."""
    return get_args(annotation)[0] if get_origin(annotation) is Annotated else annotation


def edge_number(value: float, unit: Unit) -> float:
    """The shortest figure in ``unit`` that converts back to exactly this SI value.

    >>> edge_number(25 / 3.6, UNITS["_km_h"])
    25.0
    """
    exact = unit.outwards(value)
    for digits in range(6, 18):
        figure = float(f"{exact:.{digits}g}")
        if unit.inwards(figure) == value:
            return figure
    neighbours = (math.nextafter(exact, math.inf), math.nextafter(exact, -math.inf))
    return next((figure for figure in neighbours if unit.inwards(figure) == value), exact)


def keys_of(models: Sequence[type[Edge]]) -> set[str]:
    """Every key the models know."""
    return {key for model in models for key in model.model_fields}
