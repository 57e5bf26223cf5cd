"""A progress bar for anything longer than a second, on the error stream so that results can be piped."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(title: str, *, quiet: bool = False) -> Iterator[Callable[[str, float], None]]:
    """A bar that is told what is being done and the share done, and leaves nothing behind.

    Args:
        title: Shown before the first report.
        quiet: Whether nothing is to be shown, as with ``--json``.
    """
    if quiet or not sys.stderr.isatty():
        yield lambda _what, _share: None
        return
    from rich.console import Console  # noqa: PLC0415 - only where it is seen
    from rich.progress import BarColumn, Progress, TextColumn  # noqa: PLC0415 - only where it is seen

    with Progress(
        BarColumn(), TextColumn("{task.description}"), console=Console(stderr=True), transient=True
    ) as bar:
        task = bar.add_task(title, total=1.0)
        yield lambda what, share: bar.update(task, description=what, completed=share)
