"""How the command line shows things: rich tables for people, JSON for programs."""

import json
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


def console() -> "Console":
    """Where answers go; it knows whether anybody is looking."""
    from rich.console import Console  # noqa: PLC0415 (start-up)

    return Console(highlight=False, soft_wrap=False, emoji=False)


def show_json(answer: Any) -> None:  # noqa: ANN401 (whatever JSON holds)
    """Print an answer as JSON; dates as ISO 8601, never NaN."""
    json.dump(answer, sys.stdout, ensure_ascii=False, indent=2, default=str, allow_nan=False)
    sys.stdout.write("\n")


def table(title: str, columns: Sequence[str], rows: Iterable[Sequence[str]]) -> "Table":
    """A table of texts. A column whose name begins with ">" is set to the right, as figures are."""
    from rich import box  # noqa: PLC0415 (start-up)
    from rich.table import Table  # noqa: PLC0415 (start-up)
    from rich.text import Text  # noqa: PLC0415 (start-up)

    made = Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for name in columns:
        right = name.startswith(">")
        made.add_column(name.removeprefix(">"), justify="right" if right else "left", no_wrap=right)
    for row in rows:
        made.add_row(*(Text(cell) for cell in row))
    return made


def say(sentence: str) -> None:
    """Print one sentence as it is, however long."""
    sys.stdout.write(sentence + "\n")


def lines(title: str, sentences: Iterable[str]) -> None:
    """A heading with a list under it; nothing where the list is empty."""
    from rich.text import Text  # noqa: PLC0415 (start-up)

    found = list(sentences)
    if found:
        console().print(Text(title, style="bold"))
    for sentence in found:
        say(f"  {sentence}")


def figure(value: object) -> str:
    """A value of a file as a table shows it: numbers without needless digits, lists on one line.

    >>> figure(25.0), figure(True), figure(["a", "b"])
    ('25', 'yes', 'a, b')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.6g}"
    if isinstance(value, list):
        return ", ".join(figure(item) for item in value)
    if isinstance(value, dict):
        return "; ".join(f"{key} {figure(item)}" for key, item in value.items())
    return str(value)
