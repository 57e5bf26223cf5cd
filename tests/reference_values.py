"""Published and recomputed check values by their row's name; the sources stand in the rows."""

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).resolve().parent / "reference"
NUMBER = re.compile(r"(?<![A-Za-z\d])[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceRow:
    """One row of ``check_values.csv``."""

    name: str
    inputs: str
    expected: str
    """As written, several values parted by strokes or spaces."""
    unit: str
    tolerance: float
    """Absolute, or a share of the value where ``is_relative``."""
    is_relative: bool
    source: str
    status: str

    @property
    def values(self) -> tuple[float, ...]:
        """The numbers in ``expected``, in order."""
        return tuple(float(number) for number in NUMBER.findall(self.expected))

    def approx(self, index: int = 0) -> Any:  # noqa: ANN401 -- pytest names no type for it
        """The value at ``index`` with the row's own tolerance, to compare with ``==``."""
        value = self.values[index]
        if self.is_relative:
            return pytest.approx(value, rel=self.tolerance, abs=0.0)
        return pytest.approx(value, abs=self.tolerance, rel=0.0)


def reference(row_id: str) -> ReferenceRow:
    """The row of that name; KeyError if there is none."""
    return _rows()[row_id]


@cache
def _rows() -> dict[str, ReferenceRow]:
    lines = (FOLDER / "check_values.csv").read_text(encoding="utf-8").splitlines()
    records = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {record["id"]: _row(record) for record in records}


def _row(record: dict[str, str]) -> ReferenceRow:
    written = record["tolerance"]
    number = NUMBER.search(written)
    tolerance = float(number.group()) if number else 0.0
    is_percent = "%" in written
    return ReferenceRow(
        name=record["id"],
        inputs=record["inputs"],
        expected=record["expected"],
        unit=record["unit"],
        tolerance=tolerance / 100.0 if is_percent else tolerance,
        is_relative=is_percent or "rel" in written,
        source=record["source"],
        status=record["status"],
    )
