"""TOML in and out: faults name line and column."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from wattwright.errors import FileError

LARGEST_FILE: Final = 4_000_000
"""[bytes] A thousand times a long job; more is not a job."""


def read_toml(path: Path) -> dict[str, Any]:
    """The content of a TOML file.

    Raises:
        FileError: If there is no such file, it is no text, or it breaks TOML's grammar (line and column).
    """
    where = str(path)
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise FileError(where, "there is no such file", "Check the name and the folder.") from None
    except OSError as error:
        raise FileError(
            where, f"it cannot be read ({error.strerror})", "Check the path and its rights."
        ) from None
    if len(content) > LARGEST_FILE:
        raise FileError(where, "it is larger than 4 MB", "Jobs and catalogues are short: check the name.")
    try:
        return parsed_toml(content.decode("utf-8-sig"), where)
    except UnicodeDecodeError:
        raise FileError(where, "it is not UTF-8 text", "Save it as plain text in UTF-8.") from None


def parsed_toml(text: str, where: str) -> dict[str, Any]:
    """The content of a TOML text; ``where`` names it in a fault.

    Raises:
        FileError: If it breaks TOML's grammar, with line and column.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        trouble, place = _split(str(error))
        raise FileError(f"{where}{place}", f"it is not valid TOML: {trouble}", "Mend that place.") from None
    except RecursionError:
        raise FileError(where, "its lists are nested too deep", "Write them flat.") from None


def _split(message: str) -> tuple[str, str]:
    found = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    if found is None:
        return message.removesuffix(" (at end of document)").lower(), ""
    return message[: found.start()].lower(), f", line {found[1]}, column {found[2]}"


def toml_text(content: Mapping[str, Any]) -> str:
    """The TOML text of a table of tables."""
    import tomlkit  # noqa: PLC0415 (only those who write pay for it)

    return tomlkit.dumps(content)


def toml_value(value: str) -> str:
    """A text as TOML writes it, quotes and all."""
    import tomlkit  # noqa: PLC0415 (only those who write pay for it)

    return tomlkit.string(value).as_string()
