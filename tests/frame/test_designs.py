"""3,015 frames of a research data set: each gives faces, or is refused with the value that cannot be."""

import csv
import statistics
from collections import Counter
from pathlib import Path

import pytest

from frame_designs import Design, designs
from wattwright.frame.plane import distance
from wattwright.frame.room import room_of


@pytest.fixture(scope="module")
def built(shared_data: Path) -> list[Design]:
    return list(designs(shared_data))


REFUSED = {
    "head_tube_mm": 65,
    "stack_mm": 59,
    "down_tube_length_mm": 36,
    "top_tube_below_head_mm": 9,
    "head_angle_deg": 7,
    "width of the chain stays at its start": 6,
    "width of the seat tube at its start": 6,
    "seat_angle_deg": 5,
    "seat_tube_mm": 4,
    "down_tube_above_head_mm": 3,
    "chain_stay_mm": 2,
    "reach_mm": 1,
    "top_tube_on_seat_mm": 1,
    "width of the seat stays at its start": 1,
    "width of the down tube at its start": 1,
    "wall_mm of the chain stays": 1,
    "wall_mm of the seat tube": 1,
    "fork_length_mm (which stack, drop, head angle and head tube give)": 1,
}
"""Refusals by the value that cannot be; a pin (it says changed, never right), for the model page."""


def test_every_design_is_built_or_refused_for_a_value_that_is_named(built: list[Design]) -> None:
    assert len(built) == 3015
    for design in built:
        assert (design.frame is None) != (design.refusal is None)
        if design.refusal is not None:
            assert design.refusal.field
            assert "must be" in str(design.refusal)


def test_the_absurd_ones_are_refused_and_hardly_any_other(built: list[Design]) -> None:
    """DATA.md: medians are ordinary, the tails absurd (54 rows have no stack): about one in fourteen."""
    refused = [design for design in built if design.refusal is not None]

    assert len(refused) == 209
    assert sum(design.stack is None for design in refused) == 54


def test_refusals_by_reason_unchanged(built: list[Design]) -> None:
    found = Counter(design.refusal.field for design in built if design.refusal is not None)

    assert dict(found) == REFUSED


def test_every_frame_that_is_built_has_its_six_faces_and_a_sane_room(built: list[Design]) -> None:
    """Usable stretches lie on their faces; the median down tube is that of the data set."""
    lengths = []
    for design in built:
        if design.frame is None:
            continue
        room = room_of(design.frame)
        tube = design.frame.tube("down tube")
        lengths.append(distance(tube.start, tube.end))
        assert len(room.faces) == 6
        for face in room.faces.values():
            start, end = face.usable
            assert 0.0 <= start <= end <= face.length + 1e-12
    # DATA.md: median down tube 651 mm over all rows.
    assert 1000 * statistics.median(lengths) == pytest.approx(651, abs=2)


def test_the_down_tube_of_a_design_comes_out_as_long_as_its_row_says(
    shared_data: Path, built: list[Design]
) -> None:
    """The row's down tube length went in through the reach; the built tube must give it back."""
    with (shared_data / "geometry" / "frame_designs_part1.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["design"]: float(row["down_tube_length_mm"]) for row in csv.DictReader(file)}
    for design in built:
        if design.frame is not None:
            tube = design.frame.tube("down tube")
            assert 1000 * distance(tube.start, tube.end) == pytest.approx(rows[design.number], abs=1e-6)
