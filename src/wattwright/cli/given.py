"""What a flag holds, turned into a date or a choice, or refused in one line."""

import datetime as dt
from enum import Enum
from typing import TypeVar

from wattwright.errors import InputError

Choice = TypeVar("Choice", bound=Enum)


def date_given(flag: str, text: str) -> dt.date:
    """A date written 2026-11-25.

    Raises:
        InputError: If it is no such date.

    Examples:
        >>> date_given("--from", "2026-11-25").year
        2026
    """
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise InputError(flag, text, "a date such as 2026-11-25") from None


def one_of(kind: type[Choice], flag: str, text: str) -> Choice:
    """The member of that value; spaces and strokes count alike.

    Raises:
        InputError: If there is none; names all.
    """
    written = text.strip().lower().replace("-", " ").replace("_", " ")
    for member in kind:
        if member.value == written:
            return member
    raise InputError(flag, text, "one of " + ", ".join(str(member.value) for member in kind))


def mapping_given(flag: str, pairs: list[str]) -> dict[str, str]:
    """Pairs written ``U=rest_voltage_v``.

    Raises:
        InputError: If one has no "=", or a name stands twice.

    Examples:
        >>> mapping_given("--map", ["U=rest_voltage_v", "colour="])
        {'U': 'rest_voltage_v', 'colour': ''}
    """
    found: dict[str, str] = {}
    for pair in pairs:
        name, sign, column = pair.partition("=")
        if not sign or not name:
            raise InputError(flag, pair, 'a header and a column: "U=rest_voltage_v"')
        if name in found:
            raise InputError(flag, pair, f"said once; {name!r} is {found[name]!r} already")
        found[name] = column.strip()
    return found
