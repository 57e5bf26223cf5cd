"""The register: readings in, faults named and kept aside, nothing overwritten, out again as it went in."""

import datetime as dt
import io
import json
import zipfile
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wattwright.errors import FileError, InputError, NotInCatalogueError
from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.readings_table import csv_text, read_readings, xlsx_bytes
from wattwright.files.register_file import append, read_register, register_from
from wattwright.parts.register import Register, Specimen
from wattwright.units import kelvin_from_celsius
from wattwright.workflow.register import (
    Desk,
    Taken,
    accept,
    add_module,
    drop,
    import_readings,
    retire,
    specimen_named,
)

TODAY = dt.date(2026, 11, 25)
DESK = Desk(catalogue=load_catalogue(own=()), today=TODAY, hand="mk")
HEAD = "serial,module,first_use,date,hand,rest_voltage_v,capacity_ah,resistance_mohm,temperature_c\n"
SOUND = "FEN-1,fen-36,2022-04-01,2026-11-01,mk,38.2,2.05,520,19\n"


@pytest.fixture
def register(tmp_path: Path) -> Path:
    """A register with one module and one reading."""
    path = tmp_path / "register.jsonl"
    taken = take(path, SOUND)
    assert (len(taken.entered), len(taken.readings), taken.aside) == (1, 1, ())
    return path


def take(path: Path, *rows: str, head: str = HEAD, desk: Desk = DESK, **mapping: str) -> Taken:
    """Import rows as a file would hold them."""
    table = path.parent / "table.csv"
    table.write_text(head + "".join(rows), encoding="utf-8")
    return import_readings(path, table, mapping, desk)


def test_a_reading_comes_in_si(register: Path) -> None:
    (reading,) = read_register(register).readings

    assert reading.capacity == pytest.approx(2.05 * 3600)
    assert reading.resistance == pytest.approx(0.520)
    assert reading.temperature == pytest.approx(292.15)
    assert (reading.hand, reading.date) == ("mk", dt.date(2026, 11, 1))


@pytest.mark.parametrize(
    ("row", "named"),
    [
        ("FEN-1,,,2026-11-20,mk,2.05,38.2,,\n", "rest_voltage_v 2.05 and capacity_ah 38.2 look swapped"),
        ("FEN-1,,,2026-11-20,mk,21,,,38\n", "rest_voltage_v 21 and temperature_c 38 look swapped"),
        ("FEN-1,,,2026-11-20,mk,38200,,,\n", "looks like mV: that would be 38.2 V"),
        ("FEN-1,,,2026-11-20,mk,,2050,,\n", "looks like mAh: that would be 2.05 Ah"),
        ("FEN-1,,,2026-11-20,mk,,,0.52,19\n", "looks like Ω: that would be 520 mΩ"),
        ("FEN-1,,,2026-11-20,mk,38.1,,,68\n", "looks like °F: that would be 20 °C"),
        ("FEN-1,,,2027-01-02,mk,38.1,,,\n", "lies in the future (today is 2026-11-25)"),
        ("FEN-1,,,2021-01-02,mk,38.1,,,\n", "lies before its first use, 2022-04-01"),
        (
            "FEN-1,,,2026-11-20,mk,,2.45,,\n",
            "2.45 Ah contradicts 2.05 Ah on 2026-11-01: a capacity does not grow",
        ),
        ("FEN-1,,,2026-11-20,mk,,1.1,,\n", "too sudden a fall"),
        ("FEN-1,,,2026-11-01,mk,,1.8,,19\n", "1.80 Ah contradicts 2.05 Ah on 2026-11-01, the same day"),
        (
            "FEN-1,,,2026-11-20,mk,,,300,19\n",
            "300 mΩ contradicts 520 mΩ on 2026-11-01: a resistance does not fall",
        ),
        ("FEN-1,slate-48,,2026-11-20,mk,38.1,,,\n", "in the register as 'fen-36', not 'slate-48'"),
        ("FEN-1,,2023-04-01,2026-11-20,mk,38.1,,,\n", "contradicts 2022-04-01"),
        ("fen 1,,,2026-11-20,mk,38.1,,,\n", "'FEN-1' in another spelling"),
        ("FEN-9,,,2026-11-20,mk,38.1,,,\n", "No module 'FEN-9' is in the register (nearest: FEN-1)"),
        (
            "FEN-9,fen-63,,2026-11-20,mk,38.1,,,\n",
            "no module called 'fen-63' in the catalogue; nearest: fen-36",
        ),
        ("FEN-9,fen-36,2027-01-01,2026-11-20,mk,38.1,,,\n", "first use 2027-01-01 lies in the future"),
        (",,,2026-11-20,mk,38.1,,,\n", "no serial"),
        ("FEN-1,,,,mk,38.1,,,\n", "no date"),
        ("FEN-1,,,2026-11-20,mk,,,,\n", "no figure"),
        ("FEN-1,,,2026-11-20,mk,about 38,,,\n", "rest_voltage_v is 'about 38'; it must be a number"),
        ("FEN-1,,,11/20/2026,mk,38.1,,,\n", "date is '11/20/2026'; it must be a date such as 2026-11-25"),
        ("FEN-1,,,2026-11-20,mk,nan,,,\n", "must be a number"),
    ],
)
def test_what_cannot_be_true_is_named_and_kept_aside(register: Path, row: str, named: str) -> None:
    before = register.read_bytes()
    taken = take(register, row)

    (kept,) = taken.aside
    assert named in " ".join(kept.faults), kept.faults
    assert taken.readings == ()
    assert read_register(register).aside == (kept,)
    assert kept.origin == "table.csv, line 2"
    assert register.read_bytes().startswith(before), "something was overwritten"


def test_the_sound_rows_of_a_bad_table_are_taken(register: Path) -> None:
    taken = take(
        register,
        "FEN-1,,,2026-11-10,mk,38.0,,,\n",
        "FEN-1,,,2026-11-11,mk,38000,,,\n",
        "FEN-2,fen-36,,2026-11-12,mk,37.9,2.3,,20\n",
    )

    assert [reading.date.day for reading in taken.readings] == [10, 12]
    assert [each.serial for each in taken.entered] == ["FEN-2"]
    assert [kept.number for kept in taken.aside] == [1]


def test_two_rows_of_one_serial_and_day_that_differ_are_not_both_believed(register: Path) -> None:
    taken = take(register, "FEN-1,,,2026-11-20,mk,,2.04,,20\n", "FEN-1,,,2026-11-20,mk,,1.70,,20\n")

    assert len(taken.readings) == 1
    assert "the same day" in taken.aside[0].faults[0]


def test_taking_a_table_twice_adds_nothing(register: Path) -> None:
    bad = "FEN-1,,,2026-11-11,mk,38000,,,\n"
    take(register, bad)
    before = register.read_bytes()
    again = take(register, SOUND, bad)

    assert again.known == 2
    assert register.read_bytes() == before


def test_a_hand_may_answer_for_what_was_set_aside(register: Path) -> None:
    """A new cell block does make a capacity grow: whoever knows takes it; the number is never used again."""
    take(register, "FEN-1,,,2026-11-20,mk,,2.45,,19\n")
    reading = accept(register, 1, DESK)
    after = read_register(register)

    assert reading in after.readings
    assert after.aside == ()
    with pytest.raises(InputError, match="Waiting: nothing"):
        accept(register, 1, DESK)
    assert take(register, "FEN-1,,,2026-11-21,mk,99,,,\n").aside[0].number == 2


def test_what_was_mapped_is_accepted_under_its_own_meaning(register: Path) -> None:
    take(
        register,
        "FEN-1,2026-11-20,2450\n",
        head="No,When,Cap\n",
        No="serial",
        When="date",
        Cap="capacity_mah",
    )
    reading = accept(register, 1, DESK)

    assert not isinstance(reading, Specimen)
    assert reading.capacity == pytest.approx(2.45 * 3600)


def test_what_is_dropped_stays_in_the_file(register: Path) -> None:
    take(register, "FEN-1,,,2026-11-20,mk,38200,,,\n")
    drop(register, 1, "typed in mV", DESK)

    assert read_register(register).aside == ()
    assert "38200" in register.read_text()
    assert "typed in mV" in register.read_text()


def test_what_is_no_reading_cannot_be_accepted(register: Path) -> None:
    take(register, "FEN-1,,,2026-11-20,mk,about 38,,,\n")

    with pytest.raises(InputError, match="mended first"):
        accept(register, 1, DESK)
    assert len(read_register(register).aside) == 1


def test_headers_are_matched_with_their_units(register: Path) -> None:
    head = "Serial;Date;Rest voltage [mV];Capacity (mAh);Resistance (Ω);Temperature (°F)\n"
    (reading,) = take(register, "FEN-1;20.11.2026;38150;2040,5;0,525;66\n", head=head).readings

    assert reading.rest_voltage == pytest.approx(38.15)
    assert reading.capacity == pytest.approx(2.0405 * 3600)
    assert reading.resistance == pytest.approx(0.525)
    assert reading.temperature == pytest.approx(kelvin_from_celsius((66 - 32) / 1.8))


def test_an_unknown_header_names_the_nearest_and_the_way_out(register: Path) -> None:
    with pytest.raises(InputError, match=r"rest_voltage_v.*--map 'Rest volts'=rest_voltage_v"):
        take(register, "FEN-1,2026-11-20,38\n", head="serial,date,Rest volts\n")
    with pytest.raises(InputError, match="one column only"):
        take(register, "FEN-1,2026-11-20,38,38\n", head="serial,date,rest_voltage_v,rest_voltage_mv\n")
    with pytest.raises(InputError, match="a header of"):
        take(register, "FEN-1,2026-11-20,38\n", head="serial,date,rest_voltage_v\n", U="rest_voltage_v")
    with pytest.raises(FileError, match="no column 'date'"):
        take(register, "FEN-1,38\n", head="serial,rest_voltage_v\n")


def test_a_column_may_be_left_out(register: Path) -> None:
    taken = take(register, "FEN-1,2026-11-20,38,red\n", head="serial,date,rest_voltage_v,colour\n", colour="")

    assert len(taken.readings) == 1


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_what_goes_out_comes_in_again(register: Path, tmp_path: Path, form: str) -> None:
    take(register, "FEN-1,,,2026-11-20,mk,37.123456789,2.01,531.7,-4.5\n")
    take(register, "FEN-2,fen-36,,2026-11-12,mk,37.9,2.3,,20\n")
    add_module(register, Specimen(serial="S-3", module="slate-48"), DESK)
    whole = read_register(register)
    table = tmp_path / f"out.{form}"
    table.write_bytes(csv_text(whole).encode() if form == "csv" else xlsx_bytes(whole))
    copy = tmp_path / "copy.jsonl"
    taken = import_readings(copy, table, {}, DESK)
    back = read_register(copy)

    assert taken.aside == ()
    assert set(back.readings) == set(whole.readings)
    assert dict(back.specimens) == dict(whole.specimens)


def test_a_text_that_looks_like_a_formula_leaves_as_a_text(register: Path) -> None:
    note = "FEN-1,2026-11-20,38,=1+1\n"
    take(register, note, head="serial,date,rest_voltage_v,note\n")

    assert ",'=1+1" in csv_text(read_register(register))


def test_a_workbook_of_another_hand_is_read(register: Path, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "cover"  # type: ignore[union-attr]
    sheet = book.create_sheet("winter")
    sheet.append(["Serial", "Date", "U", None])
    sheet.append(["FEN-1", dt.datetime(2026, 11, 20, 9, 30), 38.1, None])  # noqa: DTZ001 (as workbooks have it)
    table = tmp_path / "winter.xlsx"
    book.save(table)

    taken = import_readings(register, table, {"U": "rest_voltage_v"}, DESK, sheet="winter")
    assert taken.readings[0].rest_voltage == 38.1
    with pytest.raises(InputError, match="There are: cover, winter"):
        import_readings(register, table, {}, DESK, sheet="summer")


@pytest.mark.parametrize(
    ("content", "named"),
    [
        (b"", "no rows"),
        (b"\x00\x01\x02", "neither CSV nor XLSX"),
        (b"PK\x03\x04rubbish", "no workbook"),
    ],
)
def test_what_is_no_table_is_refused_in_one_line(register: Path, content: bytes, named: str) -> None:
    table = register.parent / "table.xlsx"
    table.write_bytes(content)
    before = register.read_bytes()

    with pytest.raises(FileError, match=named) as caught:
        import_readings(register, table, {}, DESK)
    assert "\n" not in str(caught.value)
    assert register.read_bytes() == before


def test_a_workbook_that_would_unpack_without_end_is_refused(register: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 201_000_000)
    table = register.parent / "bomb.xlsx"
    table.write_bytes(packed.getvalue())

    with pytest.raises(FileError, match="unpacks to more"):
        import_readings(register, table, {}, DESK)


def test_a_missing_table_and_a_missing_register_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="no such file"):
        read_readings(tmp_path / "none.csv", {})
    with pytest.raises(FileError, match="no such register"):
        read_register(tmp_path / "none.jsonl")


# the file


def test_a_serial_enters_once_whatever_its_spelling(register: Path) -> None:
    with pytest.raises(InputError, match="'FEN-1' is in the register already"):
        add_module(register, Specimen(serial="fen1", module="fen-36"), DESK)
    with pytest.raises(NotInCatalogueError, match="fen-36"):
        add_module(register, Specimen(serial="FEN-2", module="fen-37"), DESK)
    with pytest.raises(InputError, match="first-use"):
        add_module(register, Specimen(serial="FEN-2", module="fen-36", first_use=dt.date(2027, 1, 1)), DESK)


def test_a_module_retires_once_and_keeps_its_readings(register: Path) -> None:
    retire(register, "fen-1", "swollen", DESK)
    after = read_register(register)

    assert after.in_use == ()
    assert len(after.of("FEN-1")) == 1
    with pytest.raises(InputError, match="retired on 2026-11-25"):
        retire(register, "FEN-1", "again", DESK)


def test_an_unknown_serial_names_the_nearest(register: Path) -> None:
    with pytest.raises(InputError, match="Nearest: FEN-1"):
        specimen_named(read_register(register), "FEM-1")


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("{", "not valid JSON"),
        ("[" * 100_000, "nested too deep|not valid JSON"),
        ('{"what": "poem"}', "no line of a register"),
        ('{"what": "reading", "serial": "FEN-1", "date": "2026-11-20", "capacity": 2}', "capacity_ah"),
        (
            '{"what": "reading", "serial": "FEN-1", "date": "2026-11-20", "capacity_ah": NaN}',
            "not valid JSON",
        ),
        ('{"what": "reading", "serial": "FEN-1", "date": "2026-11-20", "capacity_ah": -2}', "0 to 100 Ah"),
        ('{"what": "reading", "serial": "nobody", "date": "2026-11-20"}', "entered before"),
        ('{"what": "module", "serial": "FEN-1", "module": "fen-36"}', "entered once"),
        (
            '{"what": "reviewed", "number": 7, "verdict": "dropped", "date": "2026-11-20", "hand": "x"}',
            "set aside",
        ),
    ],
)
def test_a_damaged_line_is_named_and_nothing_is_added(register: Path, line: str, named: str) -> None:
    damaged = register.read_bytes() + line.encode() + b"\n"
    register.write_bytes(damaged)

    with pytest.raises((FileError, InputError), match=named) as caught:
        read_register(register)
    assert ", line 3" in str(caught.value)
    with pytest.raises((FileError, InputError)):
        append(register, [{"what": "remark", "text": "hello"}])
    assert register.read_bytes() == damaged


def test_a_file_without_its_last_line_end_is_carried_on(register: Path) -> None:
    register.write_bytes(register.read_bytes().rstrip(b"\n"))
    take(register, "FEN-1,,,2026-11-20,mk,38.1,,,\n")

    assert len(read_register(register).readings) == 2


def test_every_line_tells_day_and_hand(register: Path) -> None:
    module, reading = (json.loads(line) for line in register.read_text().splitlines())

    assert module["entered"] == "2026-11-25 mk"
    assert (reading["date"], reading["hand"]) == ("2026-11-01", "mk")


cells = st.one_of(
    st.text(
        alphabet=st.characters(blacklist_categories=("Cs",), blacklist_characters='",\r\n\0'), max_size=12
    ),
    st.sampled_from(["FEN-1", "fen-36", "2026-11-20", "38.2", "2.05", "1e400", "-0", "٣", "²"]),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(rows=st.lists(st.lists(cells, min_size=9, max_size=9), max_size=6))
def test_whatever_stands_in_a_table_is_taken_known_or_kept_aside(
    tmp_path: Path, rows: list[list[str]]
) -> None:
    path = tmp_path / "register.jsonl"
    path.unlink(missing_ok=True)
    taken = take(path, *(",".join(row) + "\n" for row in rows))
    register = read_register(path) if path.exists() else Register()

    assert len(register.aside) == len(taken.aside)
    assert len(register.readings) == len(taken.readings)
    filled = sum(any(cell.strip() for cell in row) for row in rows)
    assert len(taken.aside) + taken.known + len(taken.readings) <= filled
    assert filled <= len(taken.aside) + taken.known + len(taken.readings) + len(taken.entered)


def test_nothing_is_a_register() -> None:
    assert register_from(b"\n\n", "empty") == Register()
