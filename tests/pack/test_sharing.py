"""Branches in parallel: check rows and Kirchhoff's laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from wattwright.errors import InputError
from wattwright.pack.sharing import shared_current

BRANCH = st.tuples(st.floats(30, 55), st.floats(0.05, 2.0))


def test_two_unequal_modules_share_as_the_check_row_says() -> None:
    """C9: bus 35.38 V, 13.25 A and 6.75 A, nodal equation."""
    row = reference("C9")
    bus, currents = shared_current(np.array([37.5, 37.0]), np.array([0.16, 0.24]), 20.0)

    assert (bus, *currents) == pytest.approx(row.values, abs=row.tolerance)


def test_at_no_load_they_circulate_what_the_check_row_says() -> None:
    """C10: (37.5 − 37.0)/0.40 = 1.25 A."""
    row = reference("C10")
    _, currents = shared_current(np.array([37.5, 37.0]), np.array([0.16, 0.24]), 0.0)

    assert currents[0] == pytest.approx(row.values[0], abs=row.tolerance)
    assert currents.sum() == pytest.approx(0.0, abs=1e-12)


@given(load=st.floats(-30, 60), branches=st.lists(BRANCH, min_size=1, max_size=16))
def test_no_current_is_lost_at_the_bus(load: float, branches: list[tuple[float, float]]) -> None:
    rest, resistance = np.array(branches).T

    assert shared_current(rest, resistance, load)[1].sum() == pytest.approx(load, abs=1e-8)


@given(
    load=st.floats(0, 60),
    rest=st.floats(30, 55),
    resistance=st.floats(0.05, 2.0),
    modules=st.integers(1, 15),
)
def test_one_more_equal_module_never_raises_the_current_of_another(
    load: float, rest: float, resistance: float, modules: int
) -> None:
    few, many = (
        shared_current(np.full(count, rest), np.full(count, resistance), load)[1][0]
        for count in (modules, modules + 1)
    )

    assert many <= few + 1e-9


def test_a_branch_without_resistance_is_refused() -> None:
    with pytest.raises(InputError, match="resistance_mohm"):
        shared_current(np.array([37.0]), np.array([0.0]), 1.0)
    with pytest.raises(InputError, match="branches"):
        shared_current(np.array([37.0]), np.array([0.1, 0.2]), 1.0)
