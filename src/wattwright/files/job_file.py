"""Job files: one bicycle's conversion, read and written."""

import datetime as dt
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from enum import Enum
from pathlib import Path, PurePath
from string import Template
from types import SimpleNamespace
from typing import Any, Final

from wattwright.errors import InputError
from wattwright.files.catalogue_file import DATA
from wattwright.files.edge import Edge, fields_from, record_from, table_of
from wattwright.files.edge_errors import validated
from wattwright.files.job_models import (
    BicycleTable,
    ClimateTable,
    DriveChoiceTable,
    HeadTable,
    JobTables,
    OtherPartsTable,
    PackChoiceTable,
    PlaceTable,
    RiderTable,
    RideTable,
    SamplingTable,
    SpreadTable,
    StorageTable,
    WishesTable,
)
from wattwright.files.presets import climate_keys, postures, preset_named, surfaces
from wattwright.files.toml_text import parsed_toml, read_toml, toml_text, toml_value
from wattwright.job.job import Job
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.tyre import wheel_radius_from_tyre
from wattwright.sizing.brief import Climate, Month

MONTHLY: Final = ("temperature", "temperature_spread", "wind", "humidity")
"""What a climate says of each month."""


def read_job(path: Path) -> Job:
    """The job of a file.

    Raises:
        FileError: If the file is missing or no TOML, or has an unknown or missing key.
        InputError: If a value is out of range, or two values contradict each other.
    """
    return job_from(read_toml(path), str(path))


def read_job_text(text: str, where: str) -> Job:
    """The job of a text; ``where`` names it in a fault. Errors as ``read_job``."""
    return job_from(parsed_toml(text, where), where)


def job_from(content: Mapping[str, Any], where: str) -> Job:
    """The job of a file's content. Errors as ``read_job``."""
    try:
        return _job(validated(JobTables, _with_climate(content), where))
    except InputError as error:
        raise error if error.where else error.located(where) from None


def job_catalogues(path: Path, job: Job) -> tuple[Path, ...]:
    """The catalogue files a job names, found beside the job file."""
    return tuple(path.parent / name for name in job.catalogues)


def job_survey(path: Path, job: Job) -> Path | None:
    """The frame file a job names, found beside the job file; None where it names none."""
    return path.parent / job.survey if job.survey else None


def defaults_taken(content: Mapping[str, Any], where: str) -> tuple[str, ...]:
    """What a job leaves to our assumptions: "rider.power_w = 90".

    Values that merely say "none" (an empty list or text, 0 or false) are left out: they assume nothing.
    """
    tables = validated(JobTables, _with_climate(content), where)
    return tuple(_defaults_in(tables, ""))


def write_job_text(job: Job) -> str:
    """The job as TOML, every value spelt out; reading it gives the same job."""
    return toml_text(job_table(job))


def job_table(job: Job) -> dict[str, Any]:
    """The job as its file would hold it, keys with their units."""
    return {
        "job": table_of(HeadTable, job) | {"date": dt.date.fromisoformat(job.date)},
        "rider": table_of(RiderTable, job.rider),
        "bicycle": table_of(BicycleTable, job.bicycle),
        "rides": [table_of(RideTable, ride) for ride in job.rides],
        "climate": _climate_table(job.climate),
        "drive": table_of(DriveChoiceTable, job),
        "pack": table_of(PackChoiceTable, job),
        "places": [table_of(PlaceTable, place) for place in job.places],
        "other_parts": table_of(OtherPartsTable, job),
        "wishes": table_of(WishesTable, job.wishes),
        "spread": table_of(SpreadTable, job.spread),
        "storage": table_of(StorageTable, job),
        "sampling": table_of(SamplingTable, job),
    }


def _with_climate(content: Mapping[str, Any]) -> dict[str, Any]:
    """The content with the preset climate's keys filled in behind those given."""
    climate = content.get("climate")
    if not isinstance(climate, dict) or not isinstance(climate.get("preset"), str):
        return dict(content)
    return {**content, "climate": {**climate_keys(climate["preset"]), **climate}}


def _job(tables: JobTables) -> Job:
    flat = (tables.drive, tables.pack, tables.other_parts, tables.storage, tables.sampling)
    values = {name: value for table in flat for name, value in fields_from(table).items()}
    head = fields_from(tables.job) | {"date": tables.job.date.isoformat()}
    return Job(
        **head,
        **values,
        rider=record_from(tables.rider),
        bicycle=_bicycle(tables.bicycle),
        rides=tuple(record_from(ride) for ride in tables.rides),
        climate=_climate(tables.climate),
        places=tuple(record_from(place) for place in tables.places),
        wishes=record_from(tables.wishes),
        spread=record_from(tables.spread),
    )


def _bicycle(table: BicycleTable) -> Bicycle:
    values = fields_from(table)
    tyre, roll_out = values.pop("tyre"), values.pop("roll_out")
    surface, posture = values.pop("surface"), values.pop("posture")
    if tyre is not None:
        values["wheel_radius"] = _wheel_radius(tyre)
    if roll_out is not None:
        values["wheel_radius"] = roll_out / math.tau
    if surface is not None:
        values["rolling_coefficient"] = preset_named("bicycle.surface", surface, surfaces()).value
    if posture is not None:
        values["drag_area"] = preset_named("bicycle.posture", posture, postures()).value
    return Bicycle(**values)


def _wheel_radius(tyre: str) -> float:
    try:
        return wheel_radius_from_tyre(tyre)
    except InputError as error:
        raise InputError("bicycle.tyre", tyre, error.wanted, error.way_out) from None


def _climate(table: ClimateTable) -> Climate:
    values = fields_from(table)
    del values["preset"]
    columns = [values.pop(name) for name in MONTHLY]
    months = tuple(Month(**dict(zip(MONTHLY, row, strict=True))) for row in zip(*columns, strict=True))
    return Climate(months=months, **values)


def _climate_table(climate: Climate) -> dict[str, Any]:
    columns = {name: tuple(getattr(month, name) for month in climate.months) for name in MONTHLY}
    place = {name: getattr(climate, name) for name in ("wind_from", "station_altitude", "shelter")}
    return table_of(ClimateTable, SimpleNamespace(**columns, **place))


def _defaults_in(table: Edge, place: str) -> Iterator[str]:
    for key in type(table).model_fields:
        value = getattr(table, key)
        dotted = f"{place}.{key}" if place else key
        if isinstance(value, Edge):
            yield from _defaults_in(value, dotted)
        elif isinstance(value, list) and value and isinstance(value[0], Edge):
            for number, row in enumerate(value, start=1):
                yield from _defaults_in(row, f"{dotted}[{number}]")
        elif key not in table.model_fields_set and value:
            yield f"{dotted} = {_as_written(value)}"


def new_job_text(title: str, date: str, region: str, recordings: Sequence[str] = ()) -> str:
    """A commented job to start from: it can be planned as it stands.

    Args:
        title: What the job is called.
        date: ISO 8601, of today.
        region: Name of a legal class.
        recordings: Track files, relative to where the job file will stand; without any, a ride told by
            telephone stands in.
    """
    template = Template((DATA / "job-template.toml").read_text(encoding="utf-8"))
    rides = "\n\n".join(_recorded_ride(file) for file in recordings)
    return template.substitute(
        title=toml_value(title),
        date=date,
        region=toml_value(region),
        rides=rides or (DATA / "job-template-ride.toml").read_text(encoding="utf-8").rstrip(),
    )


def _recorded_ride(file: str) -> str:
    """One ride of the template, its road from a recording."""
    name = PurePath(file).name.removesuffix(".gz").rpartition(".")[0].replace("-", " ") or file
    return "\n".join(
        (
            "[[rides]]",
            f"name = {toml_value(name)}",
            f"file = {toml_value(file)}",
            "# there_and_back = true               # the file is one way of a round trip",
            "times_per_week = 5",
            "# months = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]",
            "load_kg = 4                           # carried besides the rider",
            "# start_charge_pct = 100",
            "# charged_after = true                # false: the next ride goes on with what is left",
        )
    )


def _as_written(value: Any) -> str:  # noqa: ANN401 (whatever a key may hold)
    """A value as a job file would show it."""
    if isinstance(value, float):
        return f"{value:g}"
    return json.dumps(value.value if isinstance(value, Enum) else value, ensure_ascii=False)
