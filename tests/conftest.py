"""What every test may ask for."""

from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parent.parent
SHARED_DATA = REPOSITORY.parent / "shared" / "data"


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of real data files beside the repository; skips plainly where it is absent."""
    if not SHARED_DATA.is_dir():
        pytest.skip("real data files are absent (../shared/data): this check needs them")
    return SHARED_DATA


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what takes many minutes, and say so, unless it is asked for: -m exhaustive."""
    if "exhaustive" in config.option.markexpr:
        return
    asked = pytest.mark.skip(reason="takes many minutes: ./wattwright test -m exhaustive")
    for item in items:
        if item.get_closest_marker("exhaustive"):
            item.add_marker(asked)
