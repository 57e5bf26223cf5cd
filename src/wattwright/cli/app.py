"""The command line's frame: commands, exit codes, and errors on one line.

Exit codes: 0 it went well; 1 the answer is "no" (an empty window, parts that do not belong together); 2 bad
input; 70 a fault of ours; 130 interrupted.
"""

import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer
from typer.exceptions import TyperException

from wattwright.cli import frame, job, keep, parts, register
from wattwright.cli.ask import ask_command
from wattwright.cli.connect import connect_command
from wattwright.cli.demo import demo_command
from wattwright.cli.pack import pack_command
from wattwright.cli.plan import plan_command
from wattwright.cli.prepare import prepare_command
from wattwright.cli.ride import ride_command
from wattwright.errors import WattwrightError

app = typer.Typer(
    name="wattwright",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Work out a bicycle's conversion to electric drive, and show the working.",
)
app.add_typer(frame.app, name="frame")
app.add_typer(job.app, name="job")
app.add_typer(parts.app, name="parts")
app.add_typer(register.app, name="register")
app.add_typer(keep.app, name="keep")
app.command("demo")(demo_command)
app.command("plan")(plan_command)
app.command("ride")(ride_command)
app.command("ask")(ask_command)
app.command("pack")(pack_command)
app.command("connect")(connect_command)
app.command("prepare", hidden=True)(prepare_command)
# A command imports what it needs inside its function, so that --help stays quick.

BAD_INPUT, OUR_FAULT, INTERRUPTED = 2, 70, 130


def _show_version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version  # noqa: PLC0415 (start-up)

        typer.echo(f"wattwright {version('wattwright')}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version.")
    ] = False,
    debug: Annotated[
        bool, typer.Option("--debug", help="On an unexpected fault, show where in the program it arose.")
    ] = False,
) -> None:
    """Work out a bicycle's conversion to electric drive with small battery modules."""


def run(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit code; errors go to standard error, one line each."""
    try:
        answer = app(list(arguments), prog_name="wattwright", standalone_mode=False)
    except WattwrightError as error:
        return _complain(str(error), BAD_INPUT)
    except TyperException as error:
        return _complain(error.format_message() or "give a command.", BAD_INPUT)
    except (KeyboardInterrupt, typer.Abort):
        return _complain("interrupted; nothing was left half-written.", INTERRUPTED)
    except BrokenPipeError:
        # Whoever read us (head, less) has seen enough; do not complain again when Python flushes at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:  # noqa: BLE001 (the last line of defence: a person must never see a traceback)
        return _our_fault(error, arguments)
    return answer if isinstance(answer, int) else 0


def _complain(message: str, code: int) -> int:
    typer.echo("wattwright: " + " ".join(message.split()), err=True)
    return code


def _our_fault(error: Exception, arguments: Sequence[str]) -> int:
    if "--debug" in arguments:
        import traceback  # noqa: PLC0415 (start-up)

        traceback.print_exception(error)
    return _complain(
        f"unexpected {type(error).__name__}: {error}. This is a fault of ours: run it again with "
        "“wattwright --debug …” and report what it prints, with the file if you may.",
        OUR_FAULT,
    )


def main() -> None:
    """Run the command line of this process."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
