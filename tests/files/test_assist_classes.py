"""Class files: read, checked, and plain about what is wrong."""

from pathlib import Path

import pytest

from wattwright.errors import FileError, InputError, NotInCatalogueError
from wattwright.files.assist_classes import ASSIST_CLASSES, assist_class_named, read_assist_class

EU = (ASSIST_CLASSES / "eu.toml").read_text(encoding="utf-8")


def test_an_unknown_class_names_the_nearest() -> None:
    with pytest.raises(NotInCatalogueError, match="us-class-1"):
        assist_class_named("us-clas-1")


def test_a_workshops_own_class_is_named_after_its_file(tmp_path: Path) -> None:
    path = tmp_path / "our-island.toml"
    path.write_text(EU.replace("25.0", "30.0"), encoding="utf-8")

    found = read_assist_class(path)

    assert found.name == "our-island"
    assert found.cutoff == pytest.approx(30.0 / 3.6)


@pytest.mark.parametrize(
    ("before", "after", "error", "words"),
    [
        ("cutoff_km_h = 25.0", "cutof_km_h = 25.0", FileError, "cutoff_km_h"),
        ("cutoff_km_h = 25.0", "cutoff_km_h = 250.0", InputError, "cutoff_km_h is 250"),
        ("rated_power_w = 250.0", "rated_power_w = nan", InputError, "rated_power_w"),
        ("throttle = false", "", FileError, "throttle is missing"),
        (
            "throttle = false",
            "multiple_fades_from_km_h = 25.0\nthrottle = false",
            InputError,
            "below cutoff_km_h",
        ),
        ('standing = "standard or regulation"', 'standing = "hearsay"', InputError, "source.standing"),
        ("[source]", "[sauce]", FileError, "source"),
        ("title =", "title", FileError, "line 2"),
    ],
)
def test_a_faulty_class_file_is_one_line_that_names_key_and_way_out(
    tmp_path: Path, before: str, after: str, error: type[Exception], words: str
) -> None:
    assert before in EU
    path = tmp_path / "faulty.toml"
    path.write_text(EU.replace(before, after), encoding="utf-8")

    with pytest.raises(error, match=r"faulty\.toml") as caught:
        read_assist_class(path)

    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_every_class_file_says_from_where_it_comes() -> None:
    for path in ASSIST_CLASSES.glob("*.toml"):
        found = read_assist_class(path)
        assert found.title
        assert len(found.source.text) > 60
