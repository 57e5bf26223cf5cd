"""The step from a survey to where the modules go: the most that fit, other ways, and why not one more."""

import csv
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wattwright.errors import FileError, InputError, WattwrightError
from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.fixing_file import load_shelf
from wattwright.files.frame_file import frame_from
from wattwright.frame.alternatives import Fit, Wish, fits_on
from wattwright.frame.candidates import Shelf
from wattwright.frame.nearest_change import Loosening, Refused, nearest_changes, one_more
from wattwright.frame.room import Room, room_of
from wattwright.frame.search import MOST_STACKS, most_modules
from wattwright.parts.fixing import FixingKind
from wattwright.workflow.frame_papers import Surveyed, surveyed

if TYPE_CHECKING:
    from wattwright.parts.catalogue import Catalogue
    from wattwright.sizing.limits import Limit

GEOMETRY_HEAD = ("title", "kind")
Report = Callable[[str, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameFit:
    """Where the modules of one kind go on one bicycle."""

    title: str
    room: Room
    shelf: Shelf
    fits: tuple[Fit, ...]
    """The most first, then other ways."""
    refused: tuple[Refused, ...]
    """One module more, face by face."""
    changes: tuple[Loosening, ...]
    """What would let one more in, the nearest first."""
    ceiling: "Limit"
    """The same as a limit of the window."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOfMany:
    """The count of one row of a table of frames."""

    title: str
    modules: int | None
    """None where the frame is refused."""
    where: str
    """Stacks in words; or why the frame is refused."""


def fit_frame(
    path: Path,
    *,
    module: str = "",
    wishes: Sequence[Wish] = (),
    most_stacks: int = MOST_STACKS,
    kinds: frozenset[FixingKind] = frozenset(FixingKind),
    changes: bool = True,
    report: Report = lambda _what, _share: None,
) -> FrameFit:
    """Where modules go on a bicycle.

    Args:
        path: Frame file, or a job file that names one.
        module: Name of the module; "" takes the job's.
        wishes: By falling weight.
        most_stacks: On the whole bicycle.
        kinds: Ways of fixing agreed to.
        changes: Whether the nearest changes are searched.
        report: Told what is being done and the share done.

    Raises:
        FileError: If a file is missing or damaged.
        InputError: If a value cannot be used, or the frame is impossible.
        NotInCatalogueError: If the module is not in the catalogue.
    """
    from wattwright.sizing.frame_ceiling import frame_ceiling  # noqa: PLC0415 (start-up)

    bicycle = surveyed(path)
    room, shelf = room_of(bicycle.frame), shelf_for(bicycle, module, kinds)
    report("searching", 0.0)
    fits = fits_on(room, shelf, wishes, most_stacks=most_stacks, report=_part(report, 0.1, 0.4))
    report("why not one more", 0.4)
    refused = one_more(room, shelf, fits[0])
    looser: tuple[Loosening, ...] = ()
    if changes:
        looser = nearest_changes(
            room, shelf, fits[0], refused, most_stacks=most_stacks, report=_part(report, 0.5, 1.0)
        )
    return FrameFit(
        title=bicycle.frame.title,
        room=room,
        shelf=shelf,
        fits=fits,
        refused=refused,
        changes=looser,
        ceiling=frame_ceiling(fits[0], refused, looser),
    )


def shelf_for(bicycle: Surveyed, module: str, kinds: frozenset[FixingKind]) -> Shelf:
    """Carriers with a shape that take the module, and all fixings. Errors as ``shelf_of``."""
    return shelf_of(module or bicycle.module, kinds, bicycle.catalogue)


def shelf_of(module: str, kinds: frozenset[FixingKind], catalogue: "Catalogue | None" = None) -> Shelf:
    """The shelf for a module by name, from the shipped catalogue where no other is given.

    Raises:
        InputError: If no module is named.
        NotInCatalogueError: If the module is not in the catalogue.
    """
    parts = catalogue or load_catalogue()
    if not module:
        known = ", ".join(parts.modules)
        raise InputError("--module", "", f"given where no job names one: one of {known}")
    kind = parts.module(module)
    carriers = tuple(one for one in parts.carriers.values() if one.shape and module in one.modules_fitting)
    return Shelf(battery_module=kind, carriers=carriers, fixings=load_shelf(), kinds=kinds)


def fit_many(
    table: Path, shelf: Shelf, *, most_stacks: int = MOST_STACKS, report: Report = lambda _what, _share: None
) -> tuple[FitOfMany, ...]:
    """How many modules fit on each frame of a table, on all processors.

    Args:
        table: CSV: title, kind, and columns named as the keys of a frame file's [geometry].
        shelf: What may be used.
        most_stacks: On each bicycle.
        report: Told the frame just done and the share done.

    Raises:
        FileError: If the table is missing, empty, or lacks a title or kind.
    """
    rows = list(_rows(table))
    found = []
    work = partial(_fit_row, shelf=shelf, most_stacks=most_stacks)
    with ProcessPoolExecutor() as pool:
        for number, one in enumerate(pool.map(work, rows, chunksize=4), start=1):
            found.append(one)
            report(one.title, number / len(rows))
    return tuple(found)


def _rows(table: Path) -> Iterator[dict[str, str]]:
    try:
        with table.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
    except (OSError, UnicodeDecodeError) as error:
        trouble = "it cannot be read as a table"
        raise FileError(str(table), trouble, "Give a CSV file in UTF-8 with a row for each frame.") from error
    missing = [name for name in GEOMETRY_HEAD if not rows or name not in rows[0]]
    if missing:
        wanted = "Name columns as in a frame file: title, kind, head_angle_deg, stack_mm …"
        raise FileError(str(table), f"it has no rows with {' and '.join(missing)}", wanted)
    yield from rows


def _fit_row(row: dict[str, str], *, shelf: Shelf, most_stacks: int) -> FitOfMany:
    title = row["title"]
    try:
        room = room_of(frame_from(_content(row), title))
    except WattwrightError as error:
        return FitOfMany(title=title, modules=None, where=str(error))
    best = most_modules(room, shelf, most_stacks=most_stacks).best
    where = ", ".join(f"{one.face.name} {one.modules}" for one, _ in best.stacks)
    return FitOfMany(title=title, modules=best.modules, where=where)


def _content(row: dict[str, str]) -> dict[str, Any]:
    """A row as the content of a frame file."""
    geometry = {key: _value(text) for key, text in row.items() if key not in GEOMETRY_HEAD and text}
    return {"frame": {"title": row["title"], "kind": row["kind"]}, "geometry": geometry}


def _value(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _part(report: Report, start: float, end: float) -> Report:
    return lambda what, share: report(what, start + share * (end - start))
