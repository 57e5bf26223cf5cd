"""The bytes of a ride file: unpacked, bounded, and opened as text in their own encoding."""

import codecs
import gzip
import io
import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from wattwright.errors import FileError

LARGEST: Final = 512 * 1024 * 1024
"""[bytes] after unpacking; a million points with every extension take about 310 MB."""
HEAD: Final = 4096
"""[bytes] looked at to tell what a file is."""
GZIP_MAGIC: Final = b"\x1f\x8b"
BYTE_ORDER_MARKS: Final = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""UTF-32 first: its little-endian mark begins like that of UTF-16."""
WIDE_BEGINNINGS: Final = ((b"<\x00", "utf-16-le"), (b"\x00<", "utf-16-be"))
DECLARED_ENCODING: Final = re.compile(rb"""<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""")
TEXT_ENCODINGS: Final = re.compile(
    r"(utf-(8|16|32)|iso8859|iso2022|latin|ascii|cp\d|gb|big5|shift_jis|euc|koi8|mac|tis|hz|johab|kz1048|ptcp154)"
)
"""Codecs that turn bytes into text and nothing else (Python also has ones that run-length-decode or zip)."""


class Unpacked(io.RawIOBase):
    """A stream that counts what passes, refuses to go on for ever, and outlives damaged compression.

    Args:
        source: The bytes, already unpacked if they were packed.
        name: Of the file, for the error.
        largest: How many bytes may pass.
    """

    def __init__(self, source: io.BufferedIOBase, name: str, largest: int) -> None:
        super().__init__()
        self._source = source
        self._name = name
        self._largest = largest
        self.passed = 0
        """Bytes so far."""
        self.damage = ""
        """How the packed data broke, as a clause; empty so far."""

    def readable(self) -> bool:
        """Yes."""
        return True

    def readinto(self, buffer: bytearray | memoryview) -> int:  # type: ignore[override]
        """Fill the buffer as far as the source goes.

        Raises:
            FileError: When more than the bound has passed.
        """
        data = self._next(len(buffer))
        self.passed += len(data)
        if self.passed > self._largest:
            raise FileError(
                self._name,
                f"it is larger than {self._largest / 1024**2:g} MB when unpacked",
                "Thin the ride to one point a second, or split it.",
            )
        buffer[: len(data)] = data
        return len(data)

    def _next(self, size: int) -> bytes:
        if self.damage:
            return b""
        try:
            return self._source.read1(size)  # not read: it would lose what came before the damage
        except EOFError:
            self.damage = "the packed data end early"
        except (gzip.BadGzipFile, zlib.error):
            self.damage = "the packed data are damaged"
        return b""


@contextmanager
def unpacked(
    source: io.BufferedIOBase, name: str, largest: int = LARGEST
) -> Iterator[tuple[Unpacked, io.BufferedReader]]:
    """The file's own bytes, through gzip if it is packed, never more than ``largest`` of them.

    Raises:
        FileError: Within, when it is too large.
    """
    head = source.read(len(GZIP_MAGIC))
    source.seek(0)
    plain = gzip.GzipFile(fileobj=source) if head == GZIP_MAGIC else source
    counted = Unpacked(plain, name, largest)
    yield counted, io.BufferedReader(counted, buffer_size=64 * 1024)


def head_of(stream: io.BufferedReader) -> bytes:
    """The first bytes, which stay in the stream."""
    return stream.peek(HEAD)[:HEAD]


def xml_encoding(head: bytes, name: str) -> str:
    """The encoding of an XML file: by its mark, else as it declares, else UTF-8.

    Raises:
        FileError: If it declares one that is not a text encoding.
    """
    if marked := _marked_encoding(head):
        return marked
    declared = DECLARED_ENCODING.search(head)
    wanted = declared.group(1).decode("ascii") if declared else "utf-8"
    try:
        known = codecs.lookup(wanted).name
    except LookupError:
        known = ""
    if not TEXT_ENCODINGS.match(known):
        raise FileError(name, f"its text encoding {wanted!r} is not known", "Save it as UTF-8.")
    # Declared as wide, yet the declaration itself was readable byte by byte: it cannot be.
    return "utf-8" if known.startswith(("utf-16", "utf-32")) else known


def table_encoding(head: bytes) -> str:
    """The encoding of a table: by its mark, else UTF-8 if it can be, else Western European."""
    if marked := _marked_encoding(head):
        return marked
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _marked_encoding(head: bytes) -> str:
    for mark, encoding in BYTE_ORDER_MARKS + WIDE_BEGINNINGS:
        if head.startswith(mark):
            return encoding
    return ""
