"""Job files: read, written, refused; the template and the demo."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.errors import FileError, InputError, WattwrightError
from wattwright.files.catalogue_file import demo_folder, load_catalogue
from wattwright.files.job_file import (
    defaults_taken,
    job_catalogues,
    job_from,
    new_job_text,
    read_job,
    read_job_text,
    write_job_text,
)
from wattwright.files.presets import climate_names, postures, surfaces
from wattwright.files.toml_text import parsed_toml
from wattwright.job.job import Job
from wattwright.job.parts_fit import misfits
from wattwright.parts.tyre import wheel_radius_from_tyre

TEMPLATE = new_job_text("A job", "2026-11-25", "eu")
DEMO_JOBS = sorted(demo_folder().glob("*.toml"))


def job_with(before: str, after: str) -> Job:
    """The template's job with its first ``before`` replaced."""
    assert before in TEMPLATE
    return read_job_text(TEMPLATE.replace(before, after, 1), "new.toml")


def test_the_template_is_a_job_as_it_stands() -> None:
    job = read_job_text(TEMPLATE, "new.toml")

    assert job.title == "A job"
    assert job.date == "2026-11-25"
    assert job.rider.mass == 78
    assert misfits(job, load_catalogue(own=())) == ()


def test_every_remark_of_the_template_shows_the_default_it_speaks_of() -> None:
    """Taking the # away from a default's line must not change the job."""
    untouched = read_job_text(TEMPLATE, "new.toml")
    shown = dict(line.split(" = ", 1) for line in defaults_taken(parsed_toml(TEMPLATE, ""), ""))
    checked = 0
    section = ""
    for line in TEMPLATE.splitlines():
        if line.startswith("["):
            section = line.split("#")[0].strip().strip("[]")
        key = line.removeprefix("# ").split(" =")[0]
        dotted = f"rides[1].{key}" if section == "rides" else f"{section}.{key}"
        if line.startswith("# ") and dotted in shown:
            assert read_job_text(TEMPLATE.replace(line, line.removeprefix("# "), 1), "new.toml") == untouched
            checked += 1
    assert checked == len(shown)


@pytest.mark.parametrize(
    "title", ['with "quotes"', "back\\slash", "two\nlines", "# no remark", "$title", "東"]
)
def test_any_title_survives_the_template(title: str) -> None:
    assert read_job_text(new_job_text(title, "2026-11-25", "eu"), "new.toml").title == title


@pytest.mark.parametrize("path", DEMO_JOBS, ids=lambda path: path.stem)
def test_a_demo_job_written_and_read_again_is_the_same(path: Path) -> None:
    job = read_job(path)

    assert read_job_text(write_job_text(job), "again.toml") == job


@given(
    mass=st.floats(20, 250),
    power=st.floats(0, 600),
    cadence=st.floats(3.2, 12),
    radius=st.floats(0.1401, 0.4099),
    temperature=st.floats(240, 320),
    share=st.floats(0.1, 1.0),
)
def test_any_job_written_and_read_again_is_the_same(
    *, mass: float, power: float, cadence: float, radius: float, temperature: float, share: float
) -> None:
    """Also where the SI value is no round figure in the file's unit: to the last bit or one beside it."""
    job = read_job_text(TEMPLATE, "new.toml")
    job = replace(
        job,
        rider=replace(job.rider, mass=mass, power=power, cadence=cadence),
        bicycle=replace(job.bicycle, wheel_radius=radius),
        storage_temperature=temperature,
        storage_charge=share,
    )

    again = read_job_text(write_job_text(job), "again.toml")

    assert again.rider.mass == mass
    assert again.rider.cadence == pytest.approx(cadence, rel=4e-16)
    assert again.bicycle.wheel_radius == pytest.approx(radius, rel=4e-16)
    assert again.storage_temperature == pytest.approx(temperature, rel=4e-16)
    assert again.storage_charge == pytest.approx(share, rel=4e-16)


def test_a_job_arrives_in_si() -> None:
    job = read_job(demo_folder() / "longtail.toml")

    assert job.bicycle.wheel_radius == pytest.approx(1.560 / math.tau)
    assert job.rider.cadence == pytest.approx(68 * math.tau / 60)
    assert job.rider.power_per_grade == 1000.0
    assert job.wishes.charge_hours == 5 * 3600
    assert job.climate.months[0].temperature == pytest.approx(271.65)
    assert job.climate.wind_from == pytest.approx(math.radians(240))
    assert job.spread.drag_area == pytest.approx(0.08)


def test_a_preset_climate_fills_only_what_is_not_given() -> None:
    own = job_with('preset = "inland" ', 'preset = "inland"\nshelter_pct = 45 ').climate
    preset = read_job_text(TEMPLATE, "new.toml").climate

    assert own.shelter == pytest.approx(0.45)
    assert own.months == preset.months


@pytest.mark.parametrize("name", climate_names())
def test_every_shipped_climate_reads(name: str) -> None:
    climate = job_with('preset = "inland"', f'preset = "{name}"').climate

    assert len(climate.months) == 12
    assert climate.months[6].temperature > climate.months[0].temperature


def test_postures_and_surfaces_are_the_published_ones() -> None:
    """Gross, Kyle, Malewicki 1983 (reprints): 0.632, 0.400, 0.317 m². Martin et al. 1998: 0.0032."""
    assert postures()["upright"].value == 0.632
    assert postures()["touring"].value == 0.400
    assert postures()["racing"].value == 0.317
    assert surfaces()["racing-smooth"].value == 0.0032


@pytest.mark.parametrize(("size", "diameter_mm"), [("37-622", 696), ("50-584", 684), ("47-406", 500)])
def test_a_tyres_size_gives_its_radius(size: str, diameter_mm: float) -> None:
    """ISO 5775, outer diameter = bead seat + 2 × width, ±1.5 %: reference row B4."""
    assert 2000 * wheel_radius_from_tyre(size) == pytest.approx(diameter_mm)


def test_roll_out_and_tyre_agree_within_the_loaded_tyres_two_per_cent() -> None:
    """47-622 rolls out 2249 mm unloaded (π × outer diameter), 1 to 2 % less with the rider up."""
    by_tyre = read_job_text(TEMPLATE, "new.toml").bicycle.wheel_radius
    by_roll_out = job_with('tyre = "47-622"', "roll_out_mm = 2249").bicycle.wheel_radius

    assert by_tyre == pytest.approx(by_roll_out, rel=1e-3)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("mass_kg = 78", "mass_kg = 7800", "rider.mass_kg is 7800; it must be 20 to 250 kg."),
        ("mass_kg = 78", "mass_kg = 78000", "If 78000 was meant in g, write 78."),
        ("mass_kg = 78", "mass = 78", "unknown key rider.mass. Nearest: mass_kg"),
        ("mass_kg = 78", "mass_kg = nan", "rider.mass_kg is nan"),
        ('posture = "upright"', 'posture = "uprigt"', "bicycle.posture is 'uprigt'"),
        ('posture = "upright"', "", "bicycle.posture is missing. Give it: posture or drag_area_m2."),
        ('posture = "upright"', 'posture = "upright"\ndrag_area_m2 = 0.6', "left out beside posture"),
        ('surface = "touring-asphalt"', 'surface = "turing"', "Nearest: touring-asphalt"),
        ('tyre = "47-622"', 'tyre = "28 inch"', "bicycle.tyre is '28 inch'"),
        ('tyre = "47-622"', 'tyre = "622-47"', 'in the form "47-622"'),
        ('tyre = "47-622"', "wheel_radius_mm = 0.35", "If 0.35 was meant in m, write 350."),
        ('preset = "inland"', 'preset = "inlnd"', "climate.preset is 'inlnd'"),
        (
            'preset = "inland"',
            "",
            "climate.temperature_c is missing. Give it: a list of 12, each -45 to 50 °C",
        ),
        (
            'preset = "inland"',
            'preset = "inland"\ntemperature_c = [1, 2]',
            "'a list of 2'; it must be a list of 12",
        ),
        (
            'preset = "inland"',
            'preset = "inland"\ntemperature_c = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 88]',
            "climate.temperature_c[12] is 88; it must be -45 to 50 °C. If 88 was meant in °F, write 31.1111.",
        ),
        ("confidence_pct = 90", "confidence_pct = 0.9", "write 90."),
        ("reserve_pct = 15", "reserve_pct = 0.15", "write 15."),
        ("distance_km = 14", "distance_km = 14000", "If 14000 was meant in m, write 14."),
        ("distance_km = 14", "", "rides[1].distance_km is missing. Give it: 0.3 to 1000 km, or a track"),
        ("distance_km = 14", 'distance_km = 14\nfile = "a.gpx"', "left out where a file gives the road"),
        ("distance_km = 14", "distance_km = 0.2", "rides[1].distance_km is 0.2"),
        ("distance_km = 14", 'file = "a.gpx"', "rides[1].stops is 12; it must be left out"),
        ("distance_km = 14", 'file = "a.gpx"\nassume_flat = true', "left out where ascent_m is given"),
        ("ascent_m = 110", "ascent_m = 11000", "at most 2100 m for 14 km"),
        ("load_kg = 4", "months = [1, 1]\nload_kg = 4", "names each month once"),
        (
            "load_kg = 4",
            "months = [0]\nload_kg = 4",
            "rides[1].months[1] is 0; it must be a whole number, 1 to 12",
        ),
        ("[drive]", "[drives]", "unknown key drives. Nearest: drive"),
        ("[[places]]", "[places]", "places is 'a table'; it must be a list of tables"),
        ("date = 2026-11-25", 'date = "2026-11-25"', "a date without quotes"),
        ('# rank_by = "price"', 'rank_by = "prise"', "Nearest: price"),
        ("# samples = 1000", "samples = 5", "a whole number, 128 to 100000"),
        ("# easing_speed_km_h = 24", "easing_speed_km_h = 40", "below coasting_speed_km_h (32 km/h)"),
        ("[rider]", "[rider", "new.toml, line"),
    ],
)
def test_a_slip_is_named_with_its_way_out(before: str, after: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        job_with(before, after)

    assert str(caught.value).startswith("new.toml")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_job_without_a_drive_is_refused() -> None:
    before, after = TEMPLATE.index("[drive]"), TEMPLATE.index("[pack]")

    with pytest.raises(FileError, match=r"new.toml: drive is missing. Give it: a table: \[drive\]"):
        read_job_text(TEMPLATE[:before] + TEMPLATE[after:], "new.toml")


def test_two_rides_of_one_name_are_refused() -> None:
    ride = '[[rides]]\nname = "to work"\ndistance_km = 3\ntimes_per_week = 1\n'

    with pytest.raises(
        InputError, match="rides is 'to work'; it must be a list in which every name stands once"
    ):
        read_job_text(TEMPLATE + ride, "new.toml")


def test_catalogues_are_found_beside_the_job() -> None:
    job = job_with("# catalogues = ", "catalogues = ")

    assert job_catalogues(Path("jobs/anna.toml"), job) == (Path("jobs/mine.toml"),)


def test_parts_that_do_not_belong_together_are_named() -> None:
    catalogue = load_catalogue(own=())
    job = read_job_text(TEMPLATE, "new.toml")

    wrong_charger = misfits(replace(job, module="moor-lfp-38"), catalogue)
    assert any(said.startswith("DANGER: charger 'kettle-48-4' ends at 54.6 V") for said in wrong_charger)
    assert any("carrier 'sill-rail' takes" in said for said in wrong_charger)
    low = misfits(replace(job, drive="drover-hub-750", module="fen-36", charger="kettle-36-2"), catalogue)
    assert any("would hardly help" in said for said in low)
    assert any("Cable 'lead-2-5' carries 22 A, the drive may draw 28 A" in said for said in low)
    assert any(
        "ends at 15 A" in said for said in misfits(replace(job, battery_current_limit=20.0), catalogue)
    )


@pytest.mark.parametrize("path", DEMO_JOBS, ids=lambda path: path.stem)
def test_a_demo_jobs_parts_belong_together(path: Path) -> None:
    assert misfits(read_job(path), load_catalogue(own=())) == ()


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**30), 10**30)
    | st.floats(allow_nan=True, allow_infinity=True)
    | st.text(max_size=12)
    | st.dates()
    | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


@given(data=st.data(), value=VALUES)
def test_whatever_stands_where_a_value_belongs_is_read_or_refused_in_one_line(
    data: st.DataObject, value: object
) -> None:
    content = parsed_toml(TEMPLATE, "new.toml")
    table = data.draw(st.sampled_from(sorted(content)))
    part = content[table][0] if isinstance(content[table], list) else content[table]
    key = data.draw(st.sampled_from([None, *sorted(part)]) | st.text(max_size=8))
    if key is None:
        content[table] = value
    else:
        part[key] = value

    try:
        job = job_from(content, "new.toml")
    except WattwrightError as error:
        assert str(error).startswith("new.toml: ")  # noqa: PT017 (a refusal is one of two good ends)
    else:
        assert isinstance(job, Job)
