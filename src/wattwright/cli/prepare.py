"""``wattwright prepare``: compile what rides fast ahead of its first use."""

import time

import typer


def prepare_command() -> None:
    """Compile the ride engine for this machine; the first start does it by itself."""
    from wattwright.workflow.warm_up import warm_up  # noqa: PLC0415 - the compiler loads when asked for

    typer.echo("Compiling the ride engine for this machine (once, up to a minute) …", err=True)
    start = time.perf_counter()
    warm_up()
    typer.echo(f"Ready after {time.perf_counter() - start:.0f} s.", err=True)
