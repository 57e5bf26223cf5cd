"""The report of measured rides is what its script writes today."""

import re
from pathlib import Path

import pytest
from measured_rides_report import PAGE, outputs

REPOSITORY = Path(__file__).resolve().parent.parent.parent
FIGURE = re.compile(r"[+−]?\d+(?:\.\d+)?")


@pytest.mark.slow
def test_the_report_is_up_to_date(shared_data: Path) -> None:
    """Word for word; figures to the last digit but one, since machines round differently."""
    for name, fresh in outputs(shared_data).items():
        kept = (REPOSITORY / name).read_text(encoding="utf-8")
        assert FIGURE.sub("#", kept) == FIGURE.sub("#", fresh), f"{name}: write it anew with the script"
        for was, now in zip(FIGURE.findall(kept), FIGURE.findall(fresh), strict=True):
            last_digit = 10.0 ** -len(was.partition(".")[2])
            assert _number(was) == pytest.approx(_number(now), abs=2.5 * last_digit), f"{name}: {was}, {now}"


def test_the_report_shows_its_pictures() -> None:
    page = (REPOSITORY / PAGE).read_text(encoding="utf-8")
    pictures = re.findall(r"\]\((pictures/[^)]+)\)", page)

    assert len(pictures) == 3
    for picture in pictures:
        assert (REPOSITORY / "docs" / picture).read_text(encoding="utf-8").startswith("<svg")


def _number(text: str) -> float:
    return float(text.replace("−", "-"))
