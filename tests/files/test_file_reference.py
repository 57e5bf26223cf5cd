"""The pages on job and catalogue files list every key as the reader takes it."""

from pathlib import Path

import pytest

from scripts.file_reference import MARKER, PAGES, page
from wattwright.files.catalogue_file import read_catalogue_text

DOCS = Path(__file__).resolve().parents[2] / "docs"


@pytest.mark.parametrize("name", sorted(PAGES))
def test_the_page_is_current(name: str) -> None:
    written = (DOCS / name).read_text(encoding="utf-8")

    assert MARKER in written
    assert written == page(name), "run: python scripts/file_reference.py"


def test_the_catalogue_shown_on_the_page_reads() -> None:
    text = (DOCS / "catalogue-file.md").read_text(encoding="utf-8")
    shown = text.split("```toml\n")[1].split("```")[0]

    assert read_catalogue_text(shown, "shown").cable("drum-4").maximum_current == 32
