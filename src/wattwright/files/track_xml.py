"""Track points out of XML, in one pass without a tree.

A stream of start and end marks, not a document in memory: a million points need no more room than one, and
there is nothing for an entity to blow up. A document type is refused before anything in it is looked at.
"""

import io
from collections.abc import Callable, Mapping
from pyexpat import ErrorString, ExpatError, ParserCreate, XMLParserType
from typing import Final, NoReturn, Protocol

from wattwright.errors import FileError
from wattwright.files.track_rows import READERS, Recording

CHUNK: Final = 64 * 1024
"""[characters] parsed at a time."""
LONGEST_MARK: Final = 1024 * 1024
"""[bytes] a single tag or comment may have, and about what one text may."""
MOST_PIECES: Final = 32
"""Of one text; the parser hands out at most a chunk at once, and a short text in one or two."""
DEEPEST: Final = 100
"""Elements within elements; a ride needs about ten."""
MOST_NAMES: Final = 1000
"""Different element names remembered; no ride has fifty."""

POINT, OUTLINE, TEXT, OTHER = -1, -2, -3, -4
"""What an element is to us, where it is not the column of a value."""


class Shape(Protocol):
    """How one format spells its points; called by ``read_points`` while it passes over the file."""

    points: frozenset[str]
    """Elements that are a point, without prefix, in lower case like all names here."""
    values: Mapping[str, int]
    """Elements inside a point, and the columns they fill."""
    outline: frozenset[str]
    """Elements around points whose opening and closing means something."""
    texts: frozenset[str]
    """Those of the outline whose text is wanted."""

    def opened(self, element: str) -> None:
        """An outline element begins."""

    def closed(self, element: str, text: str) -> None:
        """An outline element ends."""

    def open_point(self, attributes: Mapping[str, str], row: list[float]) -> None:
        """A point begins: ``row`` is to be filled with what its attributes say."""

    def close_point(self, row: list[float]) -> None:
        """A point ends: ``row`` is to be kept."""


def read_points(text: io.TextIOBase, recording: Recording, shapes: Mapping[str, Shape]) -> str:
    """Pass over an XML text and hand every point to the shape of its root element.

    Args:
        text: Decoded text, from its first character.
        recording: Where trouble is noted.
        shapes: By the name of the root element.

    Returns:
        The root element's name, one of ``shapes``.

    Raises:
        FileError: If it is not XML, not of a ride, or declares a document type.
    """
    roots: list[str] = []
    pieces: list[str] = []
    parser = ParserCreate("utf-8")
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = _refusal_of_doctype(recording.name)

    def root(name: str, _attributes: dict[str, str]) -> None:
        roots.append(_local(name))
        shape = shapes.get(roots[0])
        if shape is None:
            raise FileError(
                recording.name,
                f"it is XML, but not of a ride: it begins with <{name[:40]}>",
                "Export the ride as GPX, TCX, FIT or CSV.",
            )
        _listen(parser, shape, recording, pieces)

    parser.StartElementHandler = root
    try:
        _feed(parser, text, recording, pieces)
    except ExpatError as error:
        if not roots:
            _refuse_broken_beginning(recording.name, error)
        recording.broken = f"{ErrorString(error.code)}, line {error.lineno}"
    return roots[0]


def _feed(parser: XMLParserType, text: io.TextIOBase, recording: Recording, pieces: list[str]) -> None:
    fed = 0
    chunk = text.read(CHUNK).lstrip()
    while chunk:
        data = chunk.encode("utf-8", "replace")
        fed += len(data)
        parser.Parse(data)
        if fed - parser.CurrentByteIndex > LONGEST_MARK or len(pieces) > MOST_PIECES:
            raise FileError(
                recording.name,
                f"line {parser.CurrentLineNumber} holds a mark of more than {LONGEST_MARK // 1024**2} MB",
                "It is no ride as devices write it; export the ride again.",
            )
        recording.check_size()
        chunk = text.read(CHUNK)
    parser.Parse(b"", True)  # noqa: FBT003  the library's own signature


class _Meanings(dict[str, int]):
    """What each element name of the file is to us; worked out where it is first met."""

    def __init__(self, shape: Shape) -> None:
        super().__init__()
        self._shape = shape

    def __missing__(self, name: str) -> int:
        meaning = _meaning(_local(name), self._shape)
        if len(self) < MOST_NAMES:
            self[name] = meaning
        return meaning


def _listen(  # noqa: C901  see docstring
    parser: XMLParserType, shape: Shape, recording: Recording, pieces: list[str]
) -> None:
    """Hang the handlers of one shape on the parser. Closures: these lines run for every tag of the file."""
    meanings = _Meanings(shape)
    row: list[float] = []
    inside = False
    depth = 1

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal inside, depth
        depth += 1
        if depth > DEEPEST:
            _refuse_depth(recording.name, parser.CurrentLineNumber)
        code = meanings[name]
        if code >= 0:
            if inside:
                parser.CharacterDataHandler = pieces.append
        elif code == POINT:
            inside = True
            shape.open_point(attributes, row)
        elif code != OTHER and not inside:
            shape.opened(_local(name))
            if code == TEXT:
                parser.CharacterDataHandler = pieces.append

    def end(name: str) -> None:
        nonlocal inside, depth
        depth -= 1
        code = meanings[name]
        if code >= 0:
            if inside:
                parser.CharacterDataHandler = None
                if row[code] != row[code]:  # no number yet: a point's own elements come before extensions
                    try:
                        row[code] = READERS[code]("".join(pieces))
                    except (ValueError, OverflowError):
                        recording.unreadable[code] += any(piece.strip() for piece in pieces)
                pieces.clear()
        elif code == POINT:
            inside = False
            shape.close_point(row)
        elif code != OTHER and not inside:
            parser.CharacterDataHandler = None
            shape.closed(_local(name), "".join(pieces).strip())
            pieces.clear()

    parser.StartElementHandler = start
    parser.EndElementHandler = end


def _meaning(element: str, shape: Shape) -> int:
    if element in shape.values:
        return shape.values[element]
    if element in shape.points:
        return POINT
    if element in shape.texts:
        return TEXT
    return OUTLINE if element in shape.outline else OTHER


def _local(name: str) -> str:
    return name.rsplit(":", 1)[-1].lower()


def _refusal_of_doctype(name: str) -> Callable[[str, str | None, str | None, bool], None]:
    def refuse(doctype: str, *_declared: object) -> NoReturn:
        if doctype.lower() == "html":
            raise FileError(
                name, "it is a web page, not a ride", "Sign in and export the ride's file itself."
            )
        raise FileError(
            name,
            "it declares a document type, which no ride needs and which can hide harmful entities",
            "Export the ride again.",
        )

    return refuse


def _refuse_depth(name: str, line: int) -> NoReturn:
    raise FileError(
        name,
        f"line {line} is more than {DEEPEST} elements deep",
        "It is no ride as devices write it; export the ride again.",
    )


def _refuse_broken_beginning(name: str, error: ExpatError) -> NoReturn:
    raise FileError(
        name,
        f"it begins like XML but breaks before its first element ({ErrorString(error.code)}, "
        f"line {error.lineno})",
        "Export the ride again.",
    ) from error
