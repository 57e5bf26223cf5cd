"""Write docs/commands.md from the command line itself, so that the page cannot lag behind it.

Run it after changing a command: ``.venv/bin/python scripts/command_pages.py``. A test compares.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import typer
from typer.core import TyperGroup

PAGE: Final = Path(__file__).resolve().parent.parent / "docs" / "commands.md"
HEAD: Final = """# Commands

Written by `scripts/command_pages.py` from the commands' own help. In a checkout each begins with
`./wattwright`.

Exit codes: 0, done; 1, the answer is no (an empty window); 2, something given cannot be used, and one line
on standard error says what and what would do; 70, a fault of ours, and one line says how to report it.
"""


def commands(
    context: typer.Context,
) -> Iterator[typer.Context]:
    """The command of this context and all below it, in the order of the help; hidden ones left out."""
    yield context
    if isinstance(context.command, TyperGroup):
        for name, command in context.command.commands.items():
            if not command.hidden:
                yield from commands(typer.Context(command, info_name=name, parent=context))


def cell(text: str) -> str:
    """Text on one line that cannot be mistaken for the end of a table's cell."""
    return " ".join(text.split()).replace("|", "\\|")


def section(context: typer.Context) -> str:
    """One command: title, help, usage, and a table of what it takes."""
    command = context.command
    lines = [f"## {context.command_path}", "", (command.help or "").strip(), ""]
    lines += ["```text", command.get_usage(context).removeprefix("Usage: "), "```", ""]
    records = [record for given in command.params if (record := given.get_help_record(context))]
    if records:
        lines += ["| given | meaning |", "|---|---|"]
        lines += [f"| `{cell(given)}` | {cell(meaning)} |" for given, meaning in records]
        lines += [""]
    return "\n".join(lines).replace("\b\n", "").rstrip() + "\n"


def page(application: typer.Typer) -> str:
    """The whole page."""
    root = typer.Context(typer.main.get_command(application), info_name="wattwright")
    return "\n".join([HEAD, *(section(context) for context in commands(root))])


if __name__ == "__main__":
    from wattwright.cli.app import app

    PAGE.write_text(page(app), encoding="utf-8")
    print(f"wrote {PAGE.name}")
