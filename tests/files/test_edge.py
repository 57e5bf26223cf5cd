"""The dictionary between a file's units and SI: every row turns back, and means what it says."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.files.edge import UNITS, edge_number, field_of, suffix_of
from wattwright.files.job_models import DriveChoiceTable, WishesTable

IN_SI = {
    "_wh": (1.0, 3600.0),
    "_ah": (1.0, 3600.0),
    "_min": (2.0, 120.0),
    "_h": (0.5, 1800.0),
    "_mohm": (250.0, 0.25),
    "_c": (-10.0, 263.15),
    "_mm": (42.0, 0.042),
    "_km": (1.5, 1500.0),
    "_mm2": (2.5, 2.5e-6),
    "_km_h": (36.0, 10.0),
    "_rpm": (60.0, math.tau),
    "_rpm_per_v": (9.2, 1.037967),
    "_deg": (180.0, math.pi),
    "_pct": (15.0, 0.15),
    "_kj_per_mol": (22.0, 22_000.0),
    "_w_per_pct": (10.0, 1000.0),
    "_ma": (0.45, 4.5e-4),
    "_pct_per_month": (2.0, 0.02 / (30.4375 * 86400)),
}
"""By definition of the units; 9.2 rpm/V is reference row M1 (Kt = 60 / (2π Kv))."""


@pytest.mark.parametrize("suffix", sorted(UNITS))
def test_each_suffix_means_its_unit(suffix: str) -> None:
    figure, value = IN_SI.get(suffix, (3.25, 3.25))

    assert UNITS[suffix].inwards(figure) == pytest.approx(value, rel=1e-6)
    assert UNITS[suffix].outwards(value) == pytest.approx(figure, rel=1e-6)


@given(suffix=st.sampled_from(sorted(UNITS)), figure=st.integers(1, 10**6), scale=st.integers(0, 4))
def test_a_written_figure_comes_back_as_it_was(suffix: str, figure: int, scale: int) -> None:
    written = figure / 10**scale
    value = UNITS[suffix].inwards(written)

    assert UNITS[suffix].inwards(edge_number(value, UNITS[suffix])) == value


def test_the_longest_suffix_counts() -> None:
    assert suffix_of("easing_speed_km_h") == "_km_h"
    assert suffix_of("wheel_inertia_kg_m2") == "_kg_m2"
    assert suffix_of("one_module_off") == ""


def test_a_key_may_fill_a_field_of_another_name() -> None:
    assert field_of(WishesTable, "charge_time_h") == "charge_hours"
    assert field_of(DriveChoiceTable, "name") == "drive"
