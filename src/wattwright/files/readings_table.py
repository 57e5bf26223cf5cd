"""Readings in and out as tables, CSV or XLSX: columns matched by name, units told by the header's suffix."""

import csv
import datetime as dt
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from wattwright.errors import FileError, InputError
from wattwright.files.edge import UNITS, Conversion, edge_number, suffix_of
from wattwright.files.edge_errors import nearest
from wattwright.parts.register import Register

COLUMNS: Final = (
    "serial",
    "module",
    "first_use",
    "date",
    "hand",
    "rest_voltage_v",
    "capacity_ah",
    "resistance_mohm",
    "temperature_c",
    "note",
)
"""Every column there is, in the order in which they are written."""
MEASURED: Final = ("rest_voltage_v", "capacity_ah", "resistance_mohm", "temperature_c")
OTHER_UNITS: Final = {
    "rest_voltage": {"_mv": "mV"},
    "capacity": {"_mah": "mAh"},
    "resistance": {"_ohm": "Ω"},
    "temperature": {"_k": "K", "_f": "°F"},
}
"""Suffixes a header may end in instead; the names are those of the edge's own table of slips."""
LARGEST_FILE: Final = 20_000_000
"""[bytes]"""
LARGEST_UNPACKED: Final = 200_000_000
"""[bytes] A workbook is a packed file: it must not unpack to more."""
MOST_ROWS: Final = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table."""

    origin: str
    """File and line."""
    given: Mapping[str, str]
    """As it stands in the file, by what the header means ("capacity_mah"); empty cells left out."""
    texts: Mapping[str, str]
    """By column: serial, module, hand, note."""
    dates: Mapping[str, dt.date]
    figures: Mapping[str, float]
    """By column, in the column's own unit."""
    faults: tuple[str, ...]
    """Cells that are no number or no date, as sentences."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """What one column of a file means."""

    header: str
    """In the file;"""
    means: str
    """that, as a column with its unit would be written."""
    key: str
    """One of ``COLUMNS``."""
    conversion: Conversion | None
    """To the key's own unit, where the header tells another."""


def read_readings(path: Path, mapping: Mapping[str, str], *, sheet: str = "") -> tuple[Row, ...]:
    """The rows of a table of readings.

    Args:
        path: A .csv or .xlsx file whose first row holds the headers.
        mapping: Header to column, for headers of other names: ``{"U": "rest_voltage_v"}``; to "" for a
            column that is to be left out.
        sheet: Of a workbook; the first where none is named.

    Raises:
        FileError: If the file is missing, is no such table, or has no serial or date column.
        InputError: If a header is not known, or two mean the same; the nearest names are told.
    """
    rows = _rows(path, sheet)
    headers = next(rows, None)
    if headers is None or not any(headers):
        raise FileError(str(path), "it has no rows", "The first row holds the headers.")
    columns = _columns(headers, mapping, str(path))
    return tuple(
        _row(cells, columns, f"{path.name}, line {number}")
        for number, cells in enumerate(rows, start=2)
        if any(cell.strip() for cell in cells)
    )


def row_of(content: Mapping[str, str], origin: str) -> Row:
    """One row from its cells by column, as something set aside keeps them.

    Raises:
        InputError: If a column is not known.
    """
    return _row(list(content.values()), [_column(header, {}, origin) for header in content], origin)


def table_rows(register: Register) -> list[dict[str, str]]:
    """Every reading with its module, as texts by column; a module without readings has a row of its own."""
    rows = []
    for specimen in register.specimens.values():
        own = {"serial": specimen.serial, "module": specimen.module, "first_use": _text(specimen.first_use)}
        readings = register.of(specimen.serial)
        rows += [
            {
                **own,
                "date": reading.date.isoformat(),
                "hand": reading.hand,
                **{key: _figure(getattr(reading, _field(key)), key) for key in MEASURED},
                "note": reading.note,
            }
            for reading in readings
        ] or [own]
    return rows


def csv_text(register: Register) -> str:
    """The register as a table of comma-separated values."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows({key: _harmless(value) for key, value in row.items()} for row in table_rows(register))
    return text.getvalue()


def xlsx_bytes(register: Register) -> bytes:
    """The register as a workbook of one sheet; figures are numbers, dates are dates."""
    import openpyxl  # noqa: PLC0415 (start-up)

    book = openpyxl.Workbook()
    sheet = book.active
    if sheet is None:
        raise RuntimeError("a new workbook has no sheet")
    sheet.title = "readings"
    sheet.append(COLUMNS)
    for row in table_rows(register):
        sheet.append([_cell(key, row.get(key, "")) for key in COLUMNS])
    sheet.freeze_panes = "A2"
    content = io.BytesIO()
    book.save(content)
    return content.getvalue()


def _harmless(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "@"} else text


def _cell(key: str, text: str) -> Any:  # noqa: ANN401 (whatever a cell holds)
    if not text:
        return None
    if key in {"date", "first_use"}:
        return dt.date.fromisoformat(text)
    return float(text) if key in MEASURED else _harmless(text)


def _field(key: str) -> str:
    return key.removesuffix(suffix_of(key))


def _figure(value: float | None, key: str) -> str:
    return "" if value is None else f"{edge_number(value, UNITS[suffix_of(key)]):.15g}"


def _text(date: dt.date | None) -> str:
    return "" if date is None else date.isoformat()


# headers


def _columns(headers: Sequence[str], mapping: Mapping[str, str], where: str) -> list[Column | None]:
    """What each header means; None for a column left out."""
    for name in mapping:
        if name not in headers:
            raise InputError("--map", name, f"a header of {where}", f"There are: {', '.join(headers)}.")
    columns = [_column(header, mapping, where) for header in headers]
    found: dict[str, str] = {}
    for column in columns:
        if column is not None and column.key in found:
            way_out = f"Leave one out: --map {column.header!r}=."
            raise InputError(
                column.header, column.key, f"one column only, besides {found[column.key]!r}", way_out
            )
        if column is not None:
            found[column.key] = column.header
    for key in ("serial", "date"):
        if key not in found:
            near = ", ".join(nearest(key, [header for header in headers if header]))
            raise FileError(
                where, f"it has no column {key!r}", f"Name the one that holds it: --map “{near}={key}”."
            )
    return columns


def _column(header: str, mapping: Mapping[str, str], where: str) -> Column | None:
    asked = mapping.get(header)
    if not header.strip() or asked == "":
        return None
    known = _known(asked or _plain(header))
    if known is not None:
        means = asked or _plain(header)
        return Column(header=header, means=means, key=known[0], conversion=known[1])
    near = nearest(_plain(asked or header), COLUMNS)
    raise InputError(
        header if asked is None else "--map",
        asked or header,
        "a column that is known",
        f"Nearest: {', '.join(near)}. Say so: --map {header!r}={near[0]}; leave it out: --map {header!r}=.",
        where,
    )


def _plain(header: str) -> str:
    """A header as a column would be written: ``"Rest voltage [V]"`` is ``rest_voltage_v``."""
    text = header.strip().lower().replace("°", "").replace("ω", "ohm")
    return re.sub(r"[^a-z0-9]+", "_", text).strip("_")


def _known(name: str) -> tuple[str, Conversion | None] | None:
    """The column a name means, and the way from its unit to the column's own."""
    if name in COLUMNS:
        return name, None
    for key in MEASURED:
        for suffix, unit in OTHER_UNITS[_field(key)].items():
            if name == _field(key) + suffix:
                return key, dict(UNITS[suffix_of(key)].mistaken)[unit]
    return None


# cells


def _row(cells: Sequence[str], columns: Sequence[Column | None], origin: str) -> Row:
    texts: dict[str, str] = {}
    dates: dict[str, dt.date] = {}
    figures: dict[str, float] = {}
    given: dict[str, str] = {}
    faults: list[str] = []
    for column, cell in zip(columns, cells, strict=False):
        text = cell.strip()
        if column is None or not text:
            continue
        given[column.means] = text
        if column.key in MEASURED:
            figure = _number(text)
            if figure is None:
                faults.append(f"{column.header} is {text!r}; it must be a number.")
            else:
                figures[column.key] = figure if column.conversion is None else column.conversion(figure)
        elif column.key in {"date", "first_use"}:
            date = _date(text)
            if date is None:
                faults.append(f"{column.header} is {text!r}; it must be a date such as 2026-11-25.")
            else:
                dates[column.key] = date
        else:
            texts[column.key] = text
    return Row(origin=origin, given=given, texts=texts, dates=dates, figures=figures, faults=tuple(faults))


def _number(text: str) -> float | None:
    """A number with a point or, where there is no point, a comma for its decimals."""
    written = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    return float(written) if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,2})?", written) else None


def _date(text: str) -> dt.date | None:
    """2026-11-25 or 25.11.2026; strokes are not read, as nobody knows which figure is the month."""
    for form in (
        r"(?P<y>\d{4})-(?P<m>\d\d)-(?P<d>\d\d)(?:[T ].*)?",
        r"(?P<d>\d\d?)\.(?P<m>\d\d?)\.(?P<y>\d{4})",
    ):
        found = re.fullmatch(form, text)
        if found:
            try:
                return dt.date(int(found["y"]), int(found["m"]), int(found["d"]))
            except ValueError:
                return None
    return None


# files


def _rows(path: Path, sheet: str) -> Iterator[list[str]]:
    content = _content(path)
    rows = (
        _workbook_rows(content, str(path), sheet)
        if content[:4] == b"PK\x03\x04"
        else _csv_rows(content, path)
    )
    return _limited(rows, str(path))


def _limited(rows: Iterable[list[str]], where: str) -> Iterator[list[str]]:
    for number, row in enumerate(rows):
        if number > MOST_ROWS:
            raise FileError(where, f"it has more than {MOST_ROWS} rows", "Split it.")
        yield row


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise FileError(str(path), "there is no such file", "Check the name and the folder.") from None
    except OSError as error:
        trouble = f"it cannot be read ({error.strerror})"
        raise FileError(str(path), trouble, "Check the path and its rights.") from None
    if len(content) > LARGEST_FILE:
        raise FileError(str(path), "it is larger than 20 MB", "Is it a table of readings?")
    return content


def _csv_rows(content: bytes, path: Path) -> Iterable[list[str]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")  # what older spreadsheets write
    if "\0" in text:
        raise FileError(str(path), "it is neither CSV nor XLSX", "Save the table as one of these.")
    head = text.split("\n", 1)[0]
    delimiter = max(";\t,", key=head.count)
    try:
        return [list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)]
    except csv.Error as error:
        raise FileError(str(path), f"it is no table ({error})", "Save it as CSV or XLSX.") from None


def _workbook_rows(content: bytes, where: str, sheet: str) -> Iterable[list[str]]:
    import zipfile  # noqa: PLC0415 (start-up)

    import openpyxl  # noqa: PLC0415 (start-up)

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            size = sum(entry.file_size for entry in packed.infolist())
        book = (
            None
            if size > LARGEST_UNPACKED
            else openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        )
    except Exception as error:  # noqa: BLE001 (the library raises whatever a broken workbook leads it to)
        raise FileError(
            where, f"it is no workbook ({type(error).__name__})", "Save it anew as XLSX."
        ) from None
    if book is None:
        raise FileError(where, "it unpacks to more than 200 MB", "Is it a table of readings?")
    if sheet and sheet not in book.sheetnames:
        raise InputError("--sheet", sheet, f"a sheet of {where}", f"There are: {', '.join(book.sheetnames)}.")
    chosen = book[sheet] if sheet else book[book.sheetnames[0]]
    return [[_as_text(cell) for cell in row] for row in chosen.iter_rows(values_only=True)]


def _as_text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat()
    if isinstance(cell, float):
        return f"{cell:.15g}"
    return str(cell)
