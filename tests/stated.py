"""Lets a test say aloud how far off a model is, whether it passes or not."""

import pytest


def state(capsys: pytest.CaptureFixture[str], sentence: str) -> None:
    """Print one sentence past pytest's capture."""
    with capsys.disabled():
        print(f"\n  {sentence}")  # noqa: T201 -- saying it is the point
