"""What a file got wrong, in one line a fitter can act on: file, key, value, range, way out."""

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final, TypeVar, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails
from rapidfuzz import fuzz, process

from wattwright.errors import FileError, InputError
from wattwright.files.edge import Edge, unit_of

LONGEST_SHOWN: Final = 60
"""Letters of a text that an error repeats."""
Model = TypeVar("Model", bound=Edge)
Place = tuple[int | str, ...]

WRITTEN: Final[Mapping[object, str]] = {
    str: "a text in quotes",
    float: "a number",
    int: "a whole number",
    bool: "true or false",
    dt.date: "a date without quotes: 2026-11-25",
}


def validated(model: type[Model], content: Mapping[str, Any], where: str) -> Model:
    """The table of a file, checked.

    Raises:
        InputError: Naming file, dotted key, value and range of the first fault, and how many more there are.
        FileError: The same for a key that is missing or unknown.
    """
    try:
        return model.model_validate(dict(content))
    except ValidationError as error:
        raise _first_fault(model, error, where) from None


def dotted(place: Place) -> str:
    """A place in a file as a fitter reads it; tables of a list count from 1.

    >>> dotted(("rides", 1, "times_per_week"))
    'rides[2].times_per_week'
    """
    text = ""
    for part in place:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def _first_fault(model: type[Edge], error: ValidationError, where: str) -> InputError:
    faults = error.errors()
    # An unknown key is usually the misspelt form of a missing one: it says more, so it comes first.
    faults.sort(key=lambda fault: fault["type"] != "extra_forbidden")
    more = "" if len(faults) == 1 else f" ({len(faults) - 1} more after this one.)"
    return _fault(model, faults[0], where, more)


def _fault(model: type[Edge], fault: ErrorDetails, where: str, more: str) -> InputError:
    place = fault["loc"]
    if fault["type"] == "extra_forbidden":
        return _unknown_key(model, place, where, more)
    if fault["type"] == "missing":
        return _missing_key(model, place, where, more)
    if fault["type"] == "contradiction":
        return _contradiction(fault, where, more)
    return _wrong_value(model, fault, where, more)


def _contradiction(fault: ErrorDetails, where: str, more: str) -> InputError:
    context = fault["ctx"]
    key = dotted((*fault["loc"], context["key"]))
    if context["value"] is None:
        return _missing(key, context["wanted"], where, more)
    return InputError(key, context["value"], context["wanted"], context["way_out"] + more, where)


def _unknown_key(model: type[Edge], place: Place, where: str, more: str) -> InputError:
    table = _model_at(model, place[:-1])
    key = str(place[-1])
    near = nearest(key, list(table.model_fields))
    error = FileError(where, f"it has an unknown key {dotted(place)}", f"Nearest: {', '.join(near)}.{more}")
    error.field, error.value = dotted(place), key
    return error


def _missing_key(model: type[Edge], place: Place, where: str, more: str) -> InputError:
    field = _field_at(model, place)
    wanted = "a table" if field is None else wanted_of(str(place[-1]), field)
    return _missing(dotted(place), wanted, where, more)


def _missing(key: str, wanted: str, where: str, more: str) -> InputError:
    error = FileError(where, f"{key} is missing", f"Give it: {wanted}.{more}")
    error.field, error.value = key, None
    return error


def _wrong_value(model: type[Edge], fault: ErrorDetails, where: str, more: str) -> InputError:
    place, value = fault["loc"], fault["input"]
    field = _field_at(model, place)
    key = next((part for part in reversed(place) if isinstance(part, str)), "")
    if field is None:
        return InputError(dotted(place) or "the file", _shown(value), "a table", more.strip(), where)
    item = isinstance(place[-1], int)
    choices = _choices(field.annotation)
    hint = (
        f"Nearest: {', '.join(nearest(str(value), choices))}."
        if choices
        else _mistaken_unit(key, field, value)
    )
    return InputError(dotted(place), _shown(value), wanted_of(key, field, item=item), hint + more, where)


def _shown(value: object) -> object:
    """A value as an error shows it; a whole list or table only by its size."""
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, str) and len(value) > LONGEST_SHOWN:
        return value[:LONGEST_SHOWN] + "…"
    return "a table" if isinstance(value, dict) else value


def nearest(name: str, known: Sequence[str]) -> list[str]:
    """Up to three known names that look most like a misspelt one."""
    found = process.extract(name, known, scorer=fuzz.WRatio, limit=3, score_cutoff=50)
    names = [match[0] for match in found]
    return names or sorted(known)[:3]


def _model_at(model: type[Edge], place: Place) -> type[Edge]:
    for part in place:
        if isinstance(part, str):
            model = _model_in(model.model_fields[part].annotation) or model
    return model


def _field_at(model: type[Edge], place: Place) -> FieldInfo | None:
    keys = [part for part in place if isinstance(part, str)]
    for key in keys[:-1]:
        field = model.model_fields.get(key)
        inner = None if field is None else _model_in(field.annotation)
        if inner is None:
            return field
        model = inner
    return model.model_fields.get(keys[-1]) if keys else None


def _model_in(annotation: Any) -> type[Edge] | None:  # noqa: ANN401
    if isinstance(annotation, type) and issubclass(annotation, Edge):
        return annotation
    return next((found for part in get_args(annotation) if (found := _model_in(part))), None)


def _choices(annotation: Any) -> list[str]:  # noqa: ANN401
    if isinstance(annotation, type) and hasattr(annotation, "__members__"):
        return [str(member.value) for member in annotation.__members__.values()]
    return [choice for part in get_args(annotation) for choice in _choices(part)]


def bounds_of(field: FieldInfo) -> tuple[float, float]:
    """Least and most a key may hold; infinite where there is no bound."""
    low, high = -math.inf, math.inf
    for rule in (*field.metadata, *_item_rules(field)):
        low = max(low, getattr(rule, "ge", -math.inf), getattr(rule, "gt", -math.inf))
        high = min(high, getattr(rule, "le", math.inf), getattr(rule, "lt", math.inf))
    return low, high


def _item_rules(field: FieldInfo) -> list[Any]:
    """The rules of a list's items, where the field is a list of bounded numbers."""
    items = [part for part in get_args(field.annotation) if get_origin(part) is Annotated]
    return [rule for item in items for info in item.__metadata__ for rule in getattr(info, "metadata", [])]


def wanted_of(key: str, field: FieldInfo, *, item: bool = False) -> str:
    """What a key (or an item of its list) takes: "0.2 to 5 kg", "a list of 12, each 0 to 100 %"."""
    choices = _choices(field.annotation)
    if choices:
        return "one of " + ", ".join(choices)
    if (table := _model_in(field.annotation)) is not None:
        return f"a table: [{key}]" if table is field.annotation else f"a list of tables: [[{key}]] for each"
    each = _range_of(key, field)
    if get_origin(field.annotation) is list and not item:
        return f"a list{_length_of(field)}, each {each}"
    return each


def _range_of(key: str, field: FieldInfo) -> str:
    low, high = bounds_of(field)
    kind = next((WRITTEN[part] for part in _kinds(field.annotation) if part in WRITTEN), "a value")
    if any(getattr(rule, "pattern", None) for rule in field.metadata):
        return "lower case letters, digits and hyphens"
    if math.isinf(low) and math.isinf(high):
        return kind
    unit = unit_of(key)
    shown = f" {unit.shown}" if unit else ""
    whole = "a whole number, " if int in _kinds(field.annotation) else ""
    if any(getattr(rule, "gt", None) is not None for rule in field.metadata):
        return f"{whole}more than {low:g} and up to {high:g}{shown}"
    return f"{whole}{low:g} to {high:g}{shown}"


def _kinds(annotation: Any) -> list[object]:  # noqa: ANN401
    parts = get_args(annotation)
    return [kind for part in parts for kind in _kinds(part)] if parts else [annotation]


def _length_of(field: FieldInfo) -> str:
    fewest = max((getattr(rule, "min_length", 0) or 0 for rule in field.metadata), default=0)
    most = max((getattr(rule, "max_length", 0) or 0 for rule in field.metadata), default=0)
    return f" of {most}" if fewest == most > 0 else f" of {fewest} to {most}" if most else ""


def _mistaken_unit(key: str, field: FieldInfo, value: object) -> str:
    unit = unit_of(key)
    if (
        unit is None
        or isinstance(value, bool)
        or not isinstance(value, int | float)
        or not math.isfinite(value)
    ):
        return ""
    low, high = bounds_of(field)
    figures = [(other, conversion(float(value))) for other, conversion in unit.mistaken]
    likely = [f"in {other}, write {figure:.6g}" for other, figure in figures if low <= figure <= high]
    return f"If {value:g} was meant {'. If '.join(likely)}." if likely else ""
