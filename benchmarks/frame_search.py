"""How fast the most modules are found: one frame with a whole catalogue, and against trying everything."""

import random
import sys
from functools import cache, partial

from benchmarks.harness import REPOSITORY, Case, benchmark
from wattwright.files.catalogue_file import DATA, load_catalogue
from wattwright.files.fixing_file import load_shelf
from wattwright.files.frame_file import read_frame
from wattwright.frame.candidates import Shelf
from wattwright.frame.cores import Grid
from wattwright.frame.room import Room, room_of
from wattwright.frame.search import most_modules

GRID = Grid(step=0.010, ends=False)
"""Ten times as coarse as the search's own, because everything is tried one by one beside it."""


@cache
def demo_room(name: str) -> Room:
    """A demo bicycle."""
    return room_of(read_frame(DATA / "demo" / "frames" / f"{name}.toml"))


@cache
def whole_catalogue() -> Shelf:
    """Every carrier that takes the demo's module, every fixing."""
    parts = load_catalogue()
    carriers = tuple(
        one for one in parts.carriers.values() if one.shape and "slate-48" in one.modules_fitting
    )
    return Shelf(battery_module=parts.module("slate-48"), carriers=carriers, fixings=load_shelf())


@cache
def small_job() -> tuple[Room, Shelf]:
    """A small frame and catalogue made by chance, as in the tests."""
    sys.path.insert(0, str(REPOSITORY / "tests"))
    from search_examples import (  # type: ignore[import-not-found] # noqa: PLC0415 (among the tests)
        small_frame,
        small_shelf,
    )

    chance = random.Random(3)  # noqa: S311 (not for secrets)
    return room_of(small_frame(chance)), small_shelf(chance)


def whole_catalogue_on(name: str) -> object:
    """The most modules on a demo bicycle."""
    return most_modules(demo_room(name), whole_catalogue())


def by_trying() -> int:
    """The same count on the same offsets, trying everything."""
    room, shelf = small_job()
    from search_examples import most_by_trying  # noqa: PLC0415 (stands among the tests)

    return int(most_by_trying(room, shelf, GRID.step, 2))


def searched() -> object:
    """The search on the offsets that are tried one by one beside it."""
    return most_modules(*small_job(), grid=GRID, most_stacks=2)


@benchmark
def frame_search() -> list[Case]:
    """The most modules on a frame, proven."""
    whole = [
        Case(
            title=f"whole catalogue on the {name} of the demo",
            run=partial(whole_catalogue_on, name),
            aim_seconds=0.5,
        )
        for name in ("mixte", "longtail", "gravel")
    ]
    small = Case(
        title="small frame and catalogue, offsets every 10 mm",
        run=searched,
        reference=by_trying,
        reference_title="every placement and pair asked of the judge",
        reference_repeats=1,
        aim_ratio=100.0,
    )
    return [*whole, small]
