"""Errors reach whoever asked, from a worker process too."""

import pickle

import pytest

from wattwright.errors import FileError, InputError, NotInCatalogueError, OutsideRangeError, WattwrightError

ERRORS = (
    InputError("rider.mass_kg", 3, "20 to 250", "Give it in kilograms.", "anna.toml"),
    FileError("ride.gpx", "it holds no track points", "Export the ride itself."),
    OutsideRangeError("ISA", "altitude", 90_000.0, "-500 to 11,000 m"),
    NotInCatalogueError("module", "slate", ("slate-48",)),
)


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_an_error_survives_the_way_between_processes(error: WattwrightError) -> None:
    met = pickle.loads(pickle.dumps(error))  # noqa: S301 (made here)

    assert type(met) is type(error)
    assert str(met) == str(error)
    assert vars(met) == vars(error)
