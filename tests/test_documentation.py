"""The documents: what they show runs, what they link to exists, what they name is in the code.

In README.md and docs/first-job.md every ``console`` and ``python`` block is run, in order, in one folder that
looks like a fresh checkout: each line that begins with ``$`` must end with exit code 0, or the one its
remark names (``# exit code 1``), and the lines below it must occur in what it prints, in that order; ``…`` in
a line stands for anything. ``sh`` blocks are not run (they set up, or run these very tests), but every
command of ours in them must exist.
"""

import importlib
import os
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Annotated

import pytest
import typer

from scripts.command_pages import PAGE, commands, page
from wattwright.cli.app import app

REPOSITORY = Path(__file__).resolve().parent.parent
RUN_THROUGH = ("README.md", "docs/first-job.md")
PAGES = sorted(
    path.relative_to(REPOSITORY).as_posix()
    for path in [*REPOSITORY.glob("*.md"), *(REPOSITORY / "docs").rglob("*.md")]
)
LAUNCHER_COMMANDS = {"test", "check", "benchmark"}
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(document: str, *languages: str) -> list[tuple[str, str]]:
    """Language and text of each fenced block in those languages, in order."""
    text = (REPOSITORY / document).read_text(encoding="utf-8")
    return [(language, body) for language, body in FENCE.findall(text) if language in languages]


@dataclass(frozen=True)
class Step:
    """One command line, what it should print, and the exit code it should end with."""

    line: str
    expected: tuple[str, ...]
    exit_code: int


def steps(block: str) -> list[Step]:
    """The command lines of a console block."""
    found: list[Step] = []
    for piece in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        line, *expected = piece.rstrip().splitlines()
        while line.endswith("\\"):
            line = line[:-1] + expected.pop(0).lstrip("> ")
        code = re.search(r"# exit code (\d+)", line)
        found.append(Step(line, tuple(filter(None, expected)), int(code[1]) if code else 0))
    return found


def missing(expected: tuple[str, ...], printed: str) -> list[str]:
    """The expected lines that do not occur in the printed text in the order given."""
    rest, absent = [" ".join(line.split()) for line in printed.splitlines()], []
    for line in expected:
        pattern = re.compile(".*".join(map(re.escape, " ".join(line.split()).split("…"))))
        place = next((i for i, shown in enumerate(rest) if pattern.search(shown)), None)
        if place is None:
            absent.append(line)
        else:
            rest = rest[place + 1 :]
    return absent


def fresh_checkout(folder: Path) -> dict[str, str]:
    """A folder that looks like a checkout, and the environment to run in it."""
    launcher = folder / "wattwright"
    launcher.write_text(f'#!/bin/sh\nexec "{Path(sys.executable).parent / "wattwright"}" "$@"\n')
    launcher.chmod(0o755)
    (folder / "src").symlink_to(REPOSITORY / "src")
    home = folder / "home"
    home.mkdir()
    return {**os.environ, "HOME": str(home), "XDG_CONFIG_HOME": str(home / "config"), "COLUMNS": "120"}


@pytest.mark.slow
@pytest.mark.parametrize("document", RUN_THROUGH)
def test_what_the_documents_show_can_be_done(document: str, tmp_path: Path) -> None:
    environment = fresh_checkout(tmp_path)
    done_something = False
    for language, block in blocks(document, "console", "python"):
        todo = steps(block) if language == "console" else [Step(f"{shlex.quote(sys.executable)} -", (), 0)]
        assert todo, f"a console block without a command: {block}"
        for step in todo:
            done = subprocess.run(
                ["sh", "-c", step.line],
                cwd=tmp_path,
                env=environment,
                input=block if language == "python" else "",
                capture_output=True,
                text=True,
                check=False,
            )
            printed = done.stdout + done.stderr
            assert done.returncode == step.exit_code, f"$ {step.line}\n{printed}"
            assert missing(step.expected, printed) == [], f"$ {step.line}\n{printed}"
            done_something = True
    assert done_something


def test_a_block_that_shows_something_else_would_be_noticed() -> None:
    """The check itself can fail: on another line, another order, another exit code."""
    (step,) = steps("$ echo four modules # exit code 3\nfour … modules\n")

    assert (step.exit_code, step.expected) == (3, ("four … modules",))
    assert missing(("four … modules",), "x\nfour  good\tmodules, y") == []
    assert missing(("four … modules",), "five modules") == ["four … modules"]
    assert missing(("b", "a"), "a\nb") == ["a"]


@pytest.mark.parametrize(
    "document", [name for name in PAGES if "wattwright" in (REPOSITORY / name).read_text()]
)
def test_every_command_in_a_document_exists(document: str) -> None:
    root = typer.Context(typer.main.get_command(app), info_name="wattwright")
    known = {context.command_path for context in commands(root)}
    groups = {path.rpartition(" ")[0] for path in known}
    for _, block in blocks(document, "console", "sh"):
        for words in re.findall(r"(?:^|\s)(?:\./)?wattwright((?: [a-z][a-z-]*)*)", block):
            path = f"wattwright{words}".split()
            if path[1:2] and path[1] in LAUNCHER_COMMANDS:
                continue
            # "job new mine" is a command and an argument: the longest known beginning must not be a group
            # that was asked for something it does not have.
            depth = max(n for n in range(1, len(path) + 1) if " ".join(path[:n]) in known)
            assert depth == len(path) or " ".join(path[:depth]) not in groups, " ".join(path)


def test_the_page_of_commands_is_what_the_commands_say() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(app), "run scripts/command_pages.py"


def test_every_command_and_option_says_what_it_is_for() -> None:
    root = typer.Context(typer.main.get_command(app), info_name="wattwright")
    silent = []
    for context in commands(root):
        if not context.command.help:
            silent.append(context.command_path)
        for given in context.command.params:
            record = given.get_help_record(context)
            if record and not re.sub(r"\[.*?\]", "", record[1]).strip():
                silent.append(f"{context.command_path} {given.name}")

    assert silent == []


def test_the_page_of_commands_shows_nested_commands_and_their_options() -> None:
    """On a command line of the test's own, so that the generator is known to leave nothing out."""
    outer, inner = typer.Typer(help="Outer."), typer.Typer(help="Inner.")
    outer.add_typer(inner, name="job")

    @inner.command()
    def new(
        file: Annotated[Path, typer.Argument(help="Where to.")],
        *,
        force: Annotated[bool, typer.Option("--force", help="Even over a file.")] = False,
    ) -> None:
        """Begin a job."""

    shown = page(outer)

    assert "## wattwright job new\n\nBegin a job.\n" in shown
    assert re.search(r"^\| `--force` \| Even over a file\.", shown, re.MULTILINE)
    assert re.search(r"^\| `file.*` \| Where to\.", shown, re.MULTILINE)


def anchors(page_text: str) -> set[str]:
    """The anchors of a page's headings."""
    titles = re.findall(r"^#+ (.+)$", FENCE.sub("", page_text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") for title in titles}


@pytest.mark.parametrize("document", PAGES)
def test_every_link_leads_somewhere(document: str) -> None:
    place = REPOSITORY / document
    text = FENCE.sub("", place.read_text(encoding="utf-8"))
    broken = []
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if "://" in target or target.startswith("mailto:"):
            continue
        path, _, anchor = target.partition("#")
        file = place if not path else place.parent / path
        if not file.exists() or (anchor and anchor not in anchors(file.read_text(encoding="utf-8"))):
            broken.append(target)

    assert broken == []


def glossary_rows() -> list[tuple[str, str]]:
    """Word and place in the code of every row that names one."""
    text = (REPOSITORY / "docs" / "glossary.md").read_text(encoding="utf-8")
    return re.findall(r"^\| ([^|]+) \|.*\| `([\w.]+)` \|$", text, re.MULTILINE)


def is_file(parts: list[str]) -> bool:
    """Whether a dotted name is that of a file or folder of ours."""
    path = REPOSITORY / "src" / Path(*parts)
    return path.with_suffix(".py").is_file() or path.is_dir()


@pytest.mark.parametrize(("word", "place"), glossary_rows())
def test_each_word_of_the_glossary_is_in_the_code(word: str, place: str) -> None:
    parts = ["wattwright", *place.split(".")]
    depth = next(n for n in range(len(parts), 0, -1) if is_file(parts[:n]))
    found: object = importlib.import_module(".".join(parts[:depth]))
    for name in parts[depth:]:
        if is_dataclass(found) and name in {field.name for field in fields(found)}:
            return
        assert hasattr(found, name), f"{word}: {place} is not in the code"
        found = getattr(found, name)


def test_every_page_can_be_found_from_the_first_one() -> None:
    """Following links from docs/index.md reaches every page of docs/."""
    seen: set[Path] = set()
    waiting = [REPOSITORY / "docs" / "index.md"]
    while waiting:
        here = waiting.pop().resolve()
        if here in seen or not here.is_file() or here.suffix != ".md":
            continue
        seen.add(here)
        waiting += [
            here.parent / target.partition("#")[0]
            for target in re.findall(r"\]\(([^)\s]+)\)", here.read_text(encoding="utf-8"))
            if "://" not in target
        ]
    unreached = [path.name for path in (REPOSITORY / "docs").rglob("*.md") if path.resolve() not in seen]

    assert unreached == []


def test_shell_blocks_of_the_readme_are_complete_on_their_own() -> None:
    """The two commands a newcomer types stand together, at the top."""
    first = blocks("README.md", "sh", "console")[0][1]

    assert [line.split("#")[0].strip() for line in first.splitlines()] == [
        "./wattwright demo",
        "./wattwright test",
    ]
