"""The only place where the clock is read."""

from datetime import datetime


def today() -> str:
    """Today's date at the bench, ISO 8601."""
    return datetime.now().astimezone().date().isoformat()
