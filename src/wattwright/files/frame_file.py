"""Frame files: the survey of one bicycle, read, filled up with what is usual for its kind, and built."""

import math
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from wattwright.errors import InputError
from wattwright.files.catalogue_file import DATA
from wattwright.files.edge import fields_from, record_from
from wattwright.files.edge_errors import validated
from wattwright.files.frame_models import (
    EquipmentTable,
    FrameTables,
    GeometryTableKeys,
    MarksTable,
    OwnTubeTable,
    TubeSizeTable,
)
from wattwright.files.toml_text import parsed_toml, read_toml
from wattwright.frame.build import Additions, Equipment, TubeSize, build_frame
from wattwright.frame.geometry import GeometryTable
from wattwright.frame.marks import KnownLength, MarkedGeometry, Marks, geometry_from_marks
from wattwright.frame.survey import ClearanceKind, Cranks, Frame, FrameKind, Section, SectionShape, Tube
from wattwright.parts.tyre import wheel_radius_from_tyre
from wattwright.units import fraction_from_percent, metres_from_mm, mm_from_metres

USUAL: Final = DATA / "frames" / "usual.toml"
MERGED: Final = ("geometry", "equipment", "rack", "platform")


def read_frame(path: Path) -> Frame:
    """The frame of a file.

    Raises:
        FileError: If the file is missing or no TOML, or has an unknown or missing key.
        InputError: If a value is out of range, or two values contradict each other.
    """
    return frame_from(read_toml(path), str(path))


def read_frame_text(text: str, where: str) -> Frame:
    """The frame of a text; ``where`` names it in a fault. Errors as ``read_frame``."""
    return frame_from(parsed_toml(text, where), where)


def frame_from(content: Mapping[str, Any], where: str) -> Frame:
    """The frame of a file's content. Errors as ``read_frame``."""
    filled, taken = _filled(content)
    tables = validated(FrameTables, filled, where)
    try:
        return _frame(tables, taken)
    except InputError as error:
        raise error if error.where else error.located(where) from None


def usual_clearances() -> dict[ClearanceKind, float]:
    """Clearances by kind where nobody says otherwise. [m].

    >>> usual_clearances()[ClearanceKind.WHEEL]
    0.006
    """
    return {
        ClearanceKind(key.removesuffix("_mm")): metres_from_mm(mm)
        for key, mm in _usual()["clearances"].items()
    }


def usual_equipment(kind: FrameKind) -> Equipment:
    """Tube sizes, wheels, cranks and steering usual for a kind, where nothing was measured."""
    filled, _ = _filled({"frame": {"title": "usual", "kind": kind.value}})
    table = validated(EquipmentTable, filled["equipment"], USUAL.name)
    tubing = [validated(TubeSizeTable, size, USUAL.name) for size in filled["tubing"]]
    return _equipment(table, tubing)


def usual_keys() -> dict[str, dict[str, Any]]:
    """Tables and keys that a frame file may leave out, with what is usual for most kinds."""
    usual = _usual_of(None)
    bearing = {"lower_bearing_mm": usual["geometry"]["lower_bearing_mm"]}
    return {
        "geometry": usual["geometry"],
        "equipment": usual["equipment"],
        "clearances": _usual()["clearances"],
        "marks": bearing,
    }


@cache
def _usual() -> dict[str, Any]:
    return read_toml(USUAL)


def _filled(content: Mapping[str, Any]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The content with the usual figures of its kind behind those given, and which were taken."""
    head = content.get("frame")
    kind = head.get("kind") if isinstance(head, dict) else None
    usual, filled, taken = _usual_of(kind), dict(content), []
    for name in MERGED:
        given = content.get(name, {})
        if not isinstance(given, dict) or (name == "geometry" and "geometry" not in content):
            continue
        if name in usual:
            filled[name] = {**usual[name], **given}
            taken += [
                f"{key} {value:g}" for key, value in usual[name].items() if _is_taken(key, value, given)
            ]
    filled["clearances"] = {**_usual()["clearances"], **_table(content, "clearances")}
    if isinstance(content.get("tubing", []), list):
        filled["tubing"] = _tubing(usual["tubing"], content.get("tubing", []))
    if isinstance(content.get("marks"), dict):
        bearing = {"lower_bearing_mm": usual["geometry"]["lower_bearing_mm"]}
        filled["marks"] = {**bearing, **content["marks"]}
    return filled, tuple(taken)


def _is_taken(key: str, value: object, given: Mapping[str, Any]) -> bool:
    """Whether a usual figure stands for something that was not measured."""
    measured = key in given or (key.endswith("_pct") and f"{key.removesuffix('_pct')}_mm" in given)
    return isinstance(value, int | float) and not measured


def _table(content: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = content.get(name, {})
    return found if isinstance(found, dict) else {}


def _usual_of(kind: object) -> dict[str, Any]:
    every, own = _usual()["every"], _usual().get(str(kind), {})
    merged = {
        name: {**every.get(name, {}), **own.get(name, {})} for name in MERGED if name in every or name in own
    }
    return {**merged, "tubing": _tubing(every["tubing"], own.get("tubing", []))}


def _tubing(usual: list[Any], given: list[Any]) -> list[Any]:
    """The given sizes, and the usual ones of tubes that are not given."""
    named = {size.get("name") for size in given if isinstance(size, dict)}
    return [*given, *(size for size in usual if size["name"] not in named)]


def _frame(tables: FrameTables, taken: tuple[str, ...]) -> Frame:
    kind, notes = tables.frame.kind, list(_notes(tables, taken))
    if tables.marks is not None:
        marked = _marked(kind, tables.marks)
        table = marked.table
        notes.append(
            f"One pixel of the picture is {mm_from_metres(marked.per_pixel):.2f} mm: no length is truer."
        )
    else:
        table = _geometry(kind, tables.geometry)
    return build_frame(
        tables.frame.title,
        table,
        _equipment(tables.equipment, tables.tubing, tables),
        {ClearanceKind(name): value for name, value in fields_from(tables.clearances).items()},
        Additions(
            bosses=tuple(record_from(boss) for boss in tables.bosses),
            obstacles=tuple(record_from(obstacle) for obstacle in tables.obstacles),
            tubes=tuple(_own_tube(tube) for tube in tables.tubes),
            notes=tuple(notes),
        ),
    )


def _notes(tables: FrameTables, taken: tuple[str, ...]) -> Iterator[str]:
    if taken:
        yield f"Not measured, taken as usual for {tables.frame.kind.value}: {', '.join(taken)}."


def _geometry(kind: FrameKind, keys: GeometryTableKeys | None) -> GeometryTable:
    if keys is None:
        raise InputError("geometry", None, "a table [geometry]")
    values = fields_from(keys)
    rear = _radius(values, "rear", None)
    values["front_radius"] = _radius(values, "front", rear)
    values["rear_radius"] = rear
    for name in ("rear_tyre", "front_tyre"):
        del values[name]
    for name, whole in (
        ("top_tube_on_seat", "seat_tube"),
        ("top_tube_below_head", "head_tube"),
        ("down_tube_above_head", "head_tube"),
    ):
        values[name] = _measured_or_share(keys, name, values[whole])
    if values["bottom_bracket_drop"] is None:
        values["bottom_bracket_drop"] = rear - values["bottom_bracket_height"]
    if values["reach"] is None:
        values["reach"] = values["effective_top_tube"] - values["stack"] / math.tan(values["seat_angle"])
    return GeometryTable(kind=kind, **values)


def _measured_or_share(keys: GeometryTableKeys, name: str, whole: float) -> float:
    measured: float | None = getattr(keys, f"{name}_mm")
    share: float = getattr(keys, f"{name}_pct")
    return metres_from_mm(measured) if measured is not None else fraction_from_percent(share) * whole


def _radius(values: Mapping[str, Any], end: str, other: float | None) -> float:
    if values[f"{end}_radius"] is not None:
        return float(values[f"{end}_radius"])
    tyre = values[f"{end}_tyre"]
    if tyre is None and other is not None:
        return other
    try:
        return wheel_radius_from_tyre(str(tyre))
    except InputError as error:
        raise InputError(f"geometry.{end}_tyre", tyre, error.wanted, error.way_out) from None


def _marked(kind: FrameKind, table: MarksTable) -> MarkedGeometry:
    points = {
        key.removesuffix("_px"): tuple(value)
        for key in MarksTable.model_fields
        if key.endswith("_px") and (value := getattr(table, key)) is not None
    }
    rear = wheel_radius_from_tyre(table.rear_tyre)
    front = rear if table.front_tyre is None else wheel_radius_from_tyre(table.front_tyre)
    known = tuple(
        KnownLength(start=one.start.value, end=one.end.value, length=metres_from_mm(one.length_mm))
        for one in table.known
    )
    return geometry_from_marks(
        Marks(
            kind=kind,
            points=points,
            known=known,
            rear_radius=rear,
            front_radius=front,
            lower_bearing=metres_from_mm(table.lower_bearing_mm),
            stoker_distance=metres_from_mm(table.stoker_distance_mm),
        )
    )


def _equipment(
    table: EquipmentTable, tubing: list[TubeSizeTable], tables: FrameTables | None = None
) -> Equipment:
    values = fields_from(table)
    cranks = Cranks(
        centre=(0.0, 0.0),
        arm=values.pop("crank_arm"),
        arm_end=values.pop("crank_arm_end"),
        arm_inner=values.pop("crank_arm_inner"),
        arm_outer=values.pop("crank_arm_outer"),
        **{
            name: values.pop(name)
            for name in tuple(values)
            if name.startswith(("chainring", "heel", "toe", "foot"))
        },
    )
    decks = {"rack": tables.rack, "platform": tables.platform, "legs": tables.legs} if tables else {}
    return Equipment(
        tubing={size.name: _size(size) for size in tubing},
        cranks=cranks,
        **values,
        **{name: record_from(deck) for name, deck in decks.items() if deck is not None},
    )


def _size(table: TubeSizeTable) -> TubeSize:
    values = fields_from(table)
    depth = values["width"] if values["depth"] is None else values["depth"]
    start = Section(shape=table.shape, width=values["width"], depth=depth, corner=values["corner"])
    end_width = values["width"] if values["end_width"] is None else values["end_width"]
    end_depth = values["end_depth"]
    if end_depth is None:
        end_depth = end_width if table.shape is SectionShape.ROUND else depth
    end = Section(shape=table.shape, width=end_width, depth=end_depth, corner=values["corner"])
    return TubeSize(
        start=start, end=end, material=table.material, wall=values["wall"], spread=values["spread"]
    )


def _own_tube(table: OwnTubeTable) -> Tube:
    size, values = _size(table), fields_from(table)
    return Tube(
        name=table.name,
        start=values["start"],
        end=values["end"],
        start_section=size.start,
        end_section=size.end,
        material=size.material,
        wall=size.wall,
        sides=tuple(table.sides),
        spread=size.spread,
    )
