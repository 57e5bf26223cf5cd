"""The reader of the shipped tables refuses a damaged one by name."""

from pathlib import Path

import pytest

from wattwright.errors import FileError
from wattwright.files.open_circuit_tables import TABLES, _columns, open_circuit_table
from wattwright.parts.battery_module import Chemistry
from wattwright.working import Standing

HEAD = "charge_pct,open_circuit_voltage_v\n"


def rows(voltages: list[float]) -> str:
    """A table of such voltages at 0, 1, 2 … %."""
    return HEAD + "\n".join(f"{charge},{voltage}" for charge, voltage in enumerate(voltages))


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("", "0 to 100 %"),
        (rows([3.0 + 0.01 * row for row in range(100)]), "0 to 100 %"),
        (rows([3.0] * 101), "does not rise"),
        (rows([float("nan")] * 101), "does not rise"),
        (HEAD + "0,much", "cannot be read"),
        ("charge,volts\n0,3.0", "cannot be read"),
    ],
)
def test_a_damaged_table_is_refused(tmp_path: Path, text: str, trouble: str) -> None:
    file = tmp_path / "cell.csv"
    file.write_text(text, encoding="utf-8")

    with pytest.raises(FileError, match=trouble):
        _columns(file, "cell.csv")


@pytest.mark.parametrize("chemistry", TABLES)
def test_each_table_names_its_source(chemistry: Chemistry) -> None:
    table = open_circuit_table(chemistry)

    assert "Journal of the Electrochemical Society" in table.source.text
    assert table.source.standing is Standing.PUBLISHED
    assert table.title
