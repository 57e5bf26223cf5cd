"""Keeping the register: modules enter, readings are taken or set aside for review, nothing is overwritten."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from wattwright.errors import InputError, NotInCatalogueError
from wattwright.files.edge import UNITS, suffix_of
from wattwright.files.edge_errors import nearest
from wattwright.files.figure_faults import figure_faults
from wattwright.files.readings_table import MEASURED, Row, read_readings, row_of
from wattwright.files.register_file import (
    Line,
    append,
    aside_line,
    most_asides,
    read_register,
    reading_line,
    retirement_line,
    review_line,
    specimen_line,
)
from wattwright.pack.plausible import calendar_faults, contradictions, plausible
from wattwright.parts.catalogue import Catalogue
from wattwright.parts.register import Reading, Register, Retirement, SetAside, Specimen, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of a table or a single reading."""

    entered: tuple[Specimen, ...]
    """Modules that were new."""
    readings: tuple[Reading, ...]
    known: int
    """Rows that stood in the register already, or wait for review, word for word."""
    aside: tuple[SetAside, ...]
    """Kept for review, with what is wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """What judging a reading needs to know besides the register."""

    catalogue: Catalogue
    today: dt.date
    hand: str
    usual_kind: str = ""
    """Kind of a module that is new and whose row names none; "" where none is agreed."""


def add_module(path: Path, specimen: Specimen, desk: Desk) -> Register:
    """Enter a module; begins the register where there is none.

    Raises:
        InputError: If the serial is there already, in this or another spelling, or first use lies in the
            future.
        NotInCatalogueError: If its kind is not in the catalogue.
    """
    register = read_register(path) if path.exists() else Register()
    for fault in _entry_faults(register, specimen, desk):
        raise fault
    append(path, [specimen_line(specimen, desk.today, desk.hand)])
    return read_register(path)


def take_readings(path: Path, rows: Iterable[Row], desk: Desk) -> Taken:
    """Take rows into the register one by one, each judged beside those before it.

    Args:
        path: Of the register; begun where there is none.
        rows: As read from a table.
        desk: Catalogue, today, whose hand.

    Returns:
        What was taken, what was known, and what is kept aside with its faults.
    """
    register = read_register(path) if path.exists() else Register()
    entered: list[Specimen] = []
    readings: list[Reading] = []
    aside: list[SetAside] = []
    lines: list[Line] = []
    known, number = 0, _next_number(path)
    for row in rows:
        if any(row.given == kept.content for kept in (*register.aside, *aside)):
            known += 1
            continue
        specimen, reading, faults = _judged(register, row, desk)
        if faults:
            kept = SetAside(
                number=number + len(aside),
                date=desk.today,
                content=row.given,
                origin=row.origin,
                faults=faults,
            )
            aside.append(kept)
            lines.append(aside_line(kept))
            continue
        if specimen is not None:
            register = replace(register, specimens={**register.specimens, specimen.serial: specimen})
            entered.append(specimen)
            lines.append(specimen_line(specimen, desk.today, desk.hand))
        if reading is not None and reading in register.readings:
            known += 1
        elif reading is not None:
            register = replace(register, readings=(*register.readings, reading))
            readings.append(reading)
            lines.append(reading_line(reading))
    append(path, lines)
    return Taken(entered=tuple(entered), readings=tuple(readings), known=known, aside=tuple(aside))


def import_readings(
    path: Path, table: Path, mapping: Mapping[str, str], desk: Desk, *, sheet: str = ""
) -> Taken:
    """Take a CSV or XLSX table into the register; see ``read_readings`` for its headers.

    Raises:
        FileError: If the table cannot be read as one.
        InputError: If a header is not known.
    """
    return take_readings(path, read_readings(table, mapping, sheet=sheet), desk)


def accept(path: Path, number: int, desk: Desk) -> Reading | Specimen:
    """Take something set aside after all: a hand answers for it.

    Raises:
        InputError: If nothing of that number waits, or it cannot be taken even so (a cell that is no number,
            an unknown module).
    """
    register = read_register(path)
    kept = _waiting(register, number)
    row = row_of(kept.content, kept.origin)
    specimen, reading, _ = _read(register, row, desk)
    for fault in (*row.faults, *_fatal(register, row, desk)):
        raise InputError(f"number {number}", fault, "mended first: correct it in a table and import that")
    lines: list[Line] = []
    if specimen is not None:
        lines.append(specimen_line(specimen, desk.today, desk.hand))
    if reading is not None:
        lines.append(reading_line(reading))
    append(path, [*lines, review_line(number, "accepted", desk.today, desk.hand)])
    taken = reading or specimen
    if taken is None:
        raise InputError(f"number {number}", dict(kept.content), "a reading or a new module")
    return taken


def drop(path: Path, number: int, why: str, desk: Desk) -> SetAside:
    """Leave something set aside out for good; it stays in the file.

    Raises:
        InputError: If nothing of that number waits.
    """
    kept = _waiting(read_register(path), number)
    append(path, [review_line(number, "dropped", desk.today, desk.hand, why)])
    return kept


def retire(path: Path, serial: str, why: str, desk: Desk) -> Retirement:
    """Take a module out of use; its readings stay.

    Raises:
        InputError: If there is no such module, or it is retired already.
    """
    register = read_register(path)
    specimen = specimen_named(register, serial)
    if specimen.serial in register.retired:
        on = register.retired[specimen.serial].date.isoformat()
        raise InputError("serial", serial, f"a module in use; it was retired on {on}")
    retirement = Retirement(serial=specimen.serial, date=desk.today, hand=desk.hand, why=why)
    append(path, [retirement_line(retirement)])
    return retirement


def specimen_named(register: Register, serial: str) -> Specimen:
    """The module of that serial, whatever its spelling.

    Raises:
        InputError: If there is none; names the nearest.
    """
    for known, specimen in register.specimens.items():
        if plain(known) == plain(serial):
            return specimen
    near = nearest(serial, list(register.specimens)) or ["none yet"]
    raise InputError("serial", serial, "that of a module in the register", f"Nearest: {', '.join(near)}.")


def _next_number(path: Path) -> int:
    return 1 + (most_asides(path.read_bytes()) if path.exists() else 0)


def _waiting(register: Register, number: int) -> SetAside:
    for kept in register.aside:
        if kept.number == number:
            return kept
    waiting = ", ".join(str(kept.number) for kept in register.aside) or "nothing"
    raise InputError("number", number, "that of something set aside", f"Waiting: {waiting}.")


# judging


def _judged(
    register: Register, row: Row, desk: Desk
) -> tuple[Specimen | None, Reading | None, tuple[str, ...]]:
    """The new module and the reading of a row, and all that speaks against taking them."""
    fatal = (*row.faults, *_fatal(register, row, desk))
    if fatal:
        return None, None, fatal
    specimen, reading, module = _read(register, row, desk)
    if reading is None:
        return specimen, None, ()
    kind = desk.catalogue.module(module)
    owner = specimen or specimen_named(register, reading.serial)
    faults = (
        *calendar_faults(reading.date, desk.today, owner.first_use),
        *figure_faults(row.figures, plausible(kind)),
    )
    if not faults and reading not in register.readings:
        faults = contradictions(kind, reading, register.of(reading.serial))
    return specimen, reading, faults


def _read(register: Register, row: Row, desk: Desk) -> tuple[Specimen | None, Reading | None, str]:
    """New module, reading and kind of a row that has no fatal fault."""
    serial = row.texts.get("serial", "")
    same = [known for known in register.specimens if plain(known) == plain(serial)]
    specimen = None
    if not same:
        specimen = Specimen(
            serial=serial,
            module=row.texts.get("module", desk.usual_kind),
            first_use=row.dates.get("first_use"),
        )
    module = specimen.module if specimen else register.specimens[same[0]].module
    if "date" not in row.dates or not row.figures:
        return specimen, None, module
    values = {
        key.removesuffix(suffix_of(key)): UNITS[suffix_of(key)].inwards(row.figures[key])
        for key in MEASURED
        if key in row.figures
    }
    reading = Reading(
        serial=same[0] if same else serial,
        date=row.dates["date"],
        hand=row.texts.get("hand", desk.hand),
        note=row.texts.get("note", ""),
        **values,
    )
    return specimen, reading, module


def _fatal(register: Register, row: Row, desk: Desk) -> tuple[str, ...]:
    """What keeps a row from being a reading of a known module at all."""
    serial = row.texts.get("serial")
    if not serial:
        return ("It has no serial.",)
    same = [known for known in register.specimens if plain(known) == plain(serial)]
    if same and same[0] != serial:
        return (f"Serial {serial!r} is {same[0]!r} in another spelling: say which is meant.",)
    if row.figures and "date" not in row.dates:
        return ("It has no date.",)
    if "date" in row.dates and not row.figures:
        return ("It has a date but no figure.",)
    if same:
        return _other_kind(register.specimens[serial], row)
    return _new_module_faults(register, row, desk)


def _other_kind(specimen: Specimen, row: Row) -> tuple[str, ...]:
    given, first_use = row.texts.get("module"), row.dates.get("first_use")
    if given is not None and given != specimen.module:
        return (f"Serial {specimen.serial!r} is in the register as {specimen.module!r}, not {given!r}.",)
    if first_use is not None and specimen.first_use not in {None, first_use}:
        told = specimen.first_use.isoformat() if specimen.first_use else ""
        return (f"First use {first_use.isoformat()} contradicts {told} in the register.",)
    return ()


def _new_module_faults(register: Register, row: Row, desk: Desk) -> tuple[str, ...]:
    serial, kind = row.texts["serial"], row.texts.get("module", desk.usual_kind)
    if not kind:
        near = ", ".join(nearest(serial, list(register.specimens))) or "none yet"
        return (f"No module {serial!r} is in the register (nearest: {near}), and the row names no kind.",)
    if kind not in desk.catalogue.modules:
        near = ", ".join(nearest(kind, list(desk.catalogue.modules)))
        return (f"There is no module called {kind!r} in the catalogue; nearest: {near}.",)
    first_use = row.dates.get("first_use")
    if first_use is not None and first_use > desk.today:
        return (f"Its first use {first_use.isoformat()} lies in the future.",)
    return ()


def _entry_faults(
    register: Register, specimen: Specimen, desk: Desk
) -> Iterable[InputError | NotInCatalogueError]:
    """What keeps a module from entering, raised by the caller."""
    desk.catalogue.module(specimen.module)
    for known in register.specimens:
        if plain(known) == plain(specimen.serial):
            yield InputError("serial", specimen.serial, f"new; {known!r} is in the register already")
    if specimen.first_use is not None and specimen.first_use > desk.today:
        yield InputError(
            "--first-use", specimen.first_use.isoformat(), f"on or before {desk.today.isoformat()}"
        )
