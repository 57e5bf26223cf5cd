"""Writing files whole or not at all."""

import os
import tempfile
from pathlib import Path

from wattwright.errors import FileError


def write_text(path: Path, text: str, *, replace: bool) -> None:
    """Write a text file, UTF-8. Errors as ``write_bytes``."""
    write_bytes(path, text.encode("utf-8"), replace=replace)


def write_bytes(path: Path, content: bytes, *, replace: bool) -> None:
    """Write a file so that it is there whole, or as it was before.

    Raises:
        FileError: If there is a file already and ``replace`` is false, or the folder does not take it.
    """
    if path.exists() and not replace:
        raise FileError(str(path), "there is a file already", "Choose another name, or give --force.")
    try:
        _write_beside(path, content)
    except OSError as error:
        trouble = f"it cannot be written ({error.strerror})"
        raise FileError(str(path), trouble, "Check the folder and its rights.") from None


def _write_beside(path: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(0o666 & ~_usual_mask())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _usual_mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
