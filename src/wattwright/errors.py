"""Every error Wattwright raises on purpose.

WattwrightError
├── InputError             a value the user gave cannot be used: which, why, what would do
│   └── FileError          a file cannot be read as what it claims to be: which, where, what would do
├── OutsideRangeError      a model was asked beyond the range its source covers
└── NotInCatalogueError    no part of that name; carries the nearest names

The core raises; only the shells catch, once each.
"""

from collections.abc import Sequence


class WattwrightError(Exception):
    """Anything Wattwright raises on purpose; its text is one line a fitter can act on."""

    def __reduce__(self) -> tuple[object, ...]:
        """As its fields: an error met in a worker process reaches the one who asked."""
        return _as_it_was, (type(self), self.args, dict(self.__dict__))


def _as_it_was(
    kind: type[WattwrightError], said: tuple[object, ...], fields: dict[str, object]
) -> WattwrightError:
    error = kind.__new__(kind, *said)
    error.__dict__.update(fields)
    return error


class InputError(WattwrightError):
    """A value the user gave cannot be used.

    Args:
        field: The name of the value as the user knows it, with its unit suffix.
        value: What was given.
        wanted: The range or form that would do, as a phrase: "0 m or more".
        way_out: What to do about it, where that is not plain from ``wanted``.
        where: The file (and place in it) the value came from, where there is one.
    """

    def __init__(self, field: str, value: object, wanted: str, way_out: str = "", where: str = "") -> None:
        self.field = field
        self.value = value
        self.wanted = wanted
        self.way_out = way_out
        self.where = where
        super().__init__(str(self))

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        hint = f" {self.way_out}" if self.way_out else ""
        return f"{place}{self.field} is {self.value!r}; it must be {self.wanted}.{hint}"

    def located(self, where: str) -> "InputError":
        """The same error, naming the file it came from."""
        return type(self)(self.field, self.value, self.wanted, self.way_out, where)


class FileError(InputError):
    """A file cannot be read as what it claims to be.

    Args:
        where: The file's name as the user gave it.
        trouble: What is wrong with it, as a clause: "the track has no points".
        way_out: What to do about it, as a sentence.
    """

    def __init__(self, where: str, trouble: str, way_out: str) -> None:
        self.trouble = trouble
        super().__init__(field="file", value=where, wanted=trouble, way_out=way_out, where=where)

    def __str__(self) -> str:
        return f"{self.where}: {self.trouble}. {self.way_out}"

    def located(self, where: str) -> "FileError":
        """The same error, naming another file."""
        return FileError(where, self.trouble, self.way_out)


class OutsideRangeError(WattwrightError):
    """A model was asked beyond the range its source covers."""

    def __init__(self, model: str, quantity: str, value: float, covered: str) -> None:
        self.model = model
        self.quantity = quantity
        self.value = value
        self.covered = covered
        super().__init__(f"{model} covers {quantity} {covered}; it was asked for {value:g}.")


class NotInCatalogueError(WattwrightError):
    """No part of that name; carries the nearest names."""

    def __init__(self, kind: str, name: str, nearest: Sequence[str]) -> None:
        self.kind = kind
        self.name = name
        self.nearest = tuple(nearest)
        hint = f" Nearest: {', '.join(self.nearest)}." if nearest else " The catalogue has none of that kind."
        super().__init__(f"There is no {kind} called {name!r} in the catalogue.{hint}")
