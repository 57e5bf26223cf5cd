"""The register as a file of lines that is only ever added to: one JSON object a line, one event each."""

import datetime as dt
import fcntl
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar, Final, Literal

from pydantic import Field

from wattwright.errors import FileError, InputError
from wattwright.files.edge import Edge, fields_from, record_from, table_of
from wattwright.files.edge_errors import validated
from wattwright.files.written import write_bytes
from wattwright.parts.register import Reading, Register, Retirement, SetAside, Specimen

LARGEST_FILE: Final = 64_000_000
"""[bytes] A quarter of a million readings; more wants a database."""
SERIAL_FORM: Final = r"^\S(.{0,58}\S)?$"


class SpecimenLine(Edge):
    """A module enters the register."""

    record: ClassVar[type] = Specimen

    serial: str = Field(pattern=SERIAL_FORM)
    module: str = Field(min_length=1, max_length=60)
    """Its kind in the catalogue."""
    first_use: dt.date | None = Field(default=None, strict=False)
    note: str = Field(default="", max_length=400)


class ReadingLine(Edge):
    """A measurement."""

    record: ClassVar[type] = Reading

    serial: str = Field(pattern=SERIAL_FORM)
    date: dt.date = Field(strict=False)
    hand: str = Field(default="", max_length=60)
    rest_voltage_v: float | None = Field(default=None, gt=0, le=150)
    capacity_ah: float | None = Field(default=None, ge=0, le=100)
    resistance_mohm: float | None = Field(default=None, gt=0, le=20_000)
    temperature_c: float | None = Field(default=None, ge=-50, le=90)
    note: str = Field(default="", max_length=400)


class RetirementLine(Edge):
    """A module leaves use."""

    record: ClassVar[type] = Retirement

    serial: str = Field(pattern=SERIAL_FORM)
    date: dt.date = Field(strict=False)
    hand: str = Field(max_length=60)
    why: str = Field(max_length=400)


class AsideLine(Edge):
    """Something that was not believed."""

    record: ClassVar[type] = SetAside

    number: int = Field(ge=1)
    date: dt.date = Field(strict=False)
    content: dict[str, str]
    origin: str
    faults: list[str]


class ReviewLine(Edge):
    """What became of something set aside."""

    number: int = Field(ge=1)
    verdict: Literal["accepted", "dropped"]
    date: dt.date = Field(strict=False)
    hand: str = Field(max_length=60)
    why: str = Field(default="", max_length=400)


LINES: Final[Mapping[str, type[Edge]]] = {
    "module": SpecimenLine,
    "reading": ReadingLine,
    "retired": RetirementLine,
    "aside": AsideLine,
    "reviewed": ReviewLine,
}
"""By what the line's key ``what`` says; "remark" besides, which is kept and not looked at."""

Line = Mapping[str, Any]


def specimen_line(specimen: Specimen, date: dt.date, hand: str) -> Line:
    """The line that enters a module, with the day and the hand."""
    return {"what": "module", **_entered(SpecimenLine, specimen), "entered": f"{date.isoformat()} {hand}"}


def reading_line(reading: Reading) -> Line:
    """The line of a measurement."""
    return {"what": "reading", **_entered(ReadingLine, reading)}


def retirement_line(retirement: Retirement) -> Line:
    """The line that takes a module out of use."""
    return {"what": "retired", **_entered(RetirementLine, retirement)}


def aside_line(aside: SetAside) -> Line:
    """The line of something not believed."""
    return {
        "what": "aside",
        "number": aside.number,
        "date": aside.date,
        "content": dict(aside.content),
        "origin": aside.origin,
        "faults": list(aside.faults),
    }


def review_line(number: int, verdict: str, date: dt.date, hand: str, why: str = "") -> Line:
    """The line that ends a review: ``verdict`` is "accepted" or "dropped"."""
    given = {"number": number, "verdict": verdict, "date": date, "hand": hand, "why": why}
    return {"what": "reviewed", **{key: value for key, value in given.items() if value != ""}}


def _entered(model: type[Edge], record: object) -> dict[str, Any]:
    return {key: value for key, value in table_of(model, record).items() if value != ""}


def read_register(path: Path) -> Register:
    """The register as its file tells it.

    Raises:
        FileError: If there is no such file, or a line is not what a register holds (the line is named).
        InputError: If a value of a line is out of range.
    """
    return register_from(_content(path), str(path))


def register_from(content: bytes, where: str) -> Register:
    """The register that these lines tell; ``where`` names them in a fault."""
    register, asides = Register(), dict[int, SetAside]()
    for place, line in _lines(content, where):
        register = _with(register, asides, line, place)
    return replace(register, aside=tuple(asides.values()))


def most_asides(content: bytes) -> int:
    """How many things were ever set aside in these lines."""
    return sum(line.get("what") == "aside" for _, line in _lines(content, "register"))


def append(path: Path, lines: Sequence[Line]) -> None:
    """Add lines at the end; what stands in the file stays byte for byte.

    Raises:
        FileError: If the folder does not take it, or the file holds something else than a register.

    Notes:
        A new file is written beside and put in place of the old one, so that it is there whole or as it
        was; the folder is locked meanwhile, so that two hands do not lose each other's lines.
    """
    if not lines:
        return
    with _locked(path.parent):
        before = _content(path) if path.exists() else b""
        register_from(before, str(path))
        whole = before if not before or before.endswith(b"\n") else before + b"\n"
        write_bytes(path, whole + b"".join(_written(line) for line in lines), replace=True)


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        raise FileError(str(folder), f"it cannot be opened ({error.strerror})", "Check the folder.") from None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _written(line: Line) -> bytes:
    return (json.dumps(line, ensure_ascii=False, default=str, allow_nan=False) + "\n").encode()


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        way_out = "Check the name, or begin one: wattwright register add."
        raise FileError(str(path), "there is no such register", way_out) from None
    except OSError as error:
        trouble = f"it cannot be read ({error.strerror})"
        raise FileError(str(path), trouble, "Check the path and its rights.") from None
    if len(content) > LARGEST_FILE:
        raise FileError(str(path), "it is larger than 64 MB", "Is it a register?")
    return content


def _lines(content: bytes, where: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Place and content of each line that is not empty."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        raise FileError(where, "it is not UTF-8 text", "Is it a register?") from None
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        place = f"{where}, line {number}"
        try:
            found = json.loads(line, parse_constant=_no_constant)
        except ValueError as error:
            raise FileError(place, f"it is not valid JSON ({error})", "Mend that line.") from None
        except RecursionError:
            raise FileError(place, "it is nested too deep", "Mend that line.") from None
        if not isinstance(found, dict) or found.get("what") not in {*LINES, "remark"}:
            wanted = ", ".join(LINES)
            raise FileError(place, "it is no line of a register", f"Its key “what” is one of {wanted}.")
        yield place, found


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _with(register: Register, asides: dict[int, SetAside], line: dict[str, Any], place: str) -> Register:
    what = line.pop("what")
    line.pop("entered", None)
    if what == "remark":
        return register
    told = validated(LINES[what], line, place)
    if isinstance(told, AsideLine):
        asides[told.number] = record_from(told)
        return register
    if isinstance(told, ReviewLine):
        if asides.pop(told.number, None) is None:
            raise InputError("number", told.number, "that of something set aside", where=place)
        return register
    return _with_record(register, told, place)


def _with_record(register: Register, told: Edge, place: str) -> Register:
    serial = fields_from(told)["serial"]
    if isinstance(told, SpecimenLine):
        if serial in register.specimens:
            raise InputError("serial", serial, "entered once", where=place)
        return replace(register, specimens={**register.specimens, serial: record_from(told)})
    if serial not in register.specimens:
        raise InputError("serial", serial, "that of a module entered before", where=place)
    if isinstance(told, ReadingLine):
        return replace(register, readings=(*register.readings, record_from(told)))
    return replace(register, retired={**register.retired, serial: record_from(told)})
