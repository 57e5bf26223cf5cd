"""Regional classes of assistance: data with their source, one file each, read and checked."""

import math
from pathlib import Path
from typing import Final

from pydantic import Field, model_validator

from wattwright.errors import NotInCatalogueError
from wattwright.files.catalogue_file import DATA
from wattwright.files.edge import Edge, contradiction
from wattwright.files.edge_errors import nearest, validated
from wattwright.files.toml_text import read_toml
from wattwright.parts.assist_class import AssistClass
from wattwright.units import metres_per_second_from_km_h
from wattwright.working import Source, Standing

ASSIST_CLASSES: Final = DATA / "assist-classes"


class RuleTable(Edge):
    """Where a class comes from."""

    rule: str = Field(min_length=3, max_length=200)
    """The rule or standard, with edition."""
    clause: str = Field(min_length=3, max_length=400)
    """Which clause says what."""
    dated: str = Field(min_length=4, max_length=60)
    """Date or edition of the text."""
    read_in: str = Field(min_length=3, max_length=200)
    """What was actually read."""
    date_read: str = Field(pattern=r"^\d{4}-\d{2}(-\d{2})?$")
    standing: Standing = Field(strict=False)


class AssistClassTable(Edge):
    """One class, as its file says it."""

    title: str = Field(min_length=3, max_length=120)
    """As it stands on the sheet."""
    cutoff_km_h: float = Field(ge=5, le=60)
    """Speed at which help must have ended."""
    rated_power_w: float | None = Field(default=None, ge=50, le=5000)
    """Maximum continuous rated power; left out where the rule names none."""
    throttle: bool
    """Whether help without pedalling is permitted."""
    highest_multiple: float | None = Field(default=None, gt=0, le=10)
    """Most motor power over rider power; left out where the rule limits no ratio."""
    multiple_fades_from_km_h: float = Field(default=0.0, ge=0, le=60)
    """From here the permitted ratio falls in a straight line to nothing at the cut-off."""
    source: RuleTable

    @model_validator(mode="after")
    def _ratio_fades_before_the_end(self) -> "AssistClassTable":
        if self.multiple_fades_from_km_h >= self.cutoff_km_h:
            raise contradiction(
                "multiple_fades_from_km_h",
                self.multiple_fades_from_km_h,
                f"below cutoff_km_h ({self.cutoff_km_h:g} km/h)",
            )
        return self


def assist_class_names() -> list[str]:
    """Names of the shipped classes.

    >>> assist_class_names()
    ['eu', 'jp', 'uk', 'us-class-1', 'us-class-2', 'us-class-3']
    """
    return sorted(path.stem for path in ASSIST_CLASSES.glob("*.toml"))


def assist_class_named(name: str) -> AssistClass:
    """A shipped class.

    Raises:
        NotInCatalogueError: If there is none of that name; names the nearest.

    Examples:
        >>> assist_class_named("us-class-3").title
        'US class 3, pedal-assisted to 28 mph'
    """
    names = assist_class_names()
    if name not in names:
        raise NotInCatalogueError("assist class", name, nearest(name, names))
    return read_assist_class(ASSIST_CLASSES / f"{name}.toml")


def read_assist_class(path: Path) -> AssistClass:
    """The class in a file, named after it; a workshop may keep its own.

    Raises:
        FileError: If the file cannot be read, or a key is missing or unknown.
        InputError: If a value lies outside its range.
    """
    table = validated(AssistClassTable, read_toml(path), str(path))
    return AssistClass(
        name=path.stem,
        title=table.title,
        cutoff=metres_per_second_from_km_h(table.cutoff_km_h),
        rated_power=math.inf if table.rated_power_w is None else table.rated_power_w,
        throttle=table.throttle,
        source=_source(table.source),
        highest_multiple=table.highest_multiple,
        multiple_fades_from=metres_per_second_from_km_h(table.multiple_fades_from_km_h),
    )


def _source(table: RuleTable) -> Source:
    text = f"{table.rule}, {table.dated}: {table.clause}. Read {table.date_read} in {table.read_in}"
    return Source(text=text, standing=table.standing)
