"""Count the modules that fit on every research frame; write docs/frames-and-room.md with its picture.

Needs the real data files beside the repository (../shared/data) and a quarter of an hour.
"""

import sys
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(REPOSITORY / "tests"))

from frame_designs import Design, designs  # type: ignore[import-not-found] # noqa: E402 (among the tests)
from wattwright.files.catalogue_file import load_catalogue  # noqa: E402
from wattwright.files.fixing_file import load_shelf  # noqa: E402
from wattwright.frame.candidates import Shelf  # noqa: E402
from wattwright.frame.room import room_of  # noqa: E402
from wattwright.frame.search import most_modules  # noqa: E402
from wattwright.frame.survey import Side  # noqa: E402
from wattwright.units import mm_from_metres  # noqa: E402

PAGE = REPOSITORY / "docs" / "frames-and-room.md"
PICTURE = REPOSITORY / "docs" / "pictures" / "frames-and-room.svg"
WIDTH = 0.025
"""[m] Of a class of stack height."""
Counted = tuple[float, int, int]
"""Stack height, modules above the down tube alone, modules in three stacks."""


def shelf() -> Shelf:
    """The demo's module with every carrier that takes it."""
    parts = load_catalogue()
    fitting = tuple(one for one in parts.carriers.values() if one.shape and "slate-48" in one.modules_fitting)
    return Shelf(battery_module=parts.module("slate-48"), carriers=fitting, fixings=load_shelf())


def counted(design: Design) -> Counted | None:
    """The two counts of one design; None where it is refused."""
    if design.frame is None or design.stack is None:
        return None
    down = tuple(
        replace(tube, sides=(Side.ABOVE,) if tube.name == "down tube" else ()) for tube in design.frame.tubes
    )
    alone = most_modules(room_of(replace(design.frame, tubes=down)), shelf(), most_stacks=1)
    whole = most_modules(room_of(design.frame), shelf())
    return design.stack, alone.best.modules, whole.best.modules


def main() -> None:
    """Count, and write page and picture."""
    data = REPOSITORY.parent / "shared" / "data"
    if not data.is_dir():
        sys.exit("The real data files are absent (../shared/data): nothing was written.")
    every = list(designs(data))
    with ProcessPoolExecutor() as pool:
        built = [one for one in every if one.refusal is None]  # what is refused is not handed over
        found = [one for one in pool.map(counted, built, chunksize=8) if one is not None]
    rows = list(by_height(found))
    PAGE.write_text(page(rows, found, len(every)), encoding="utf-8")
    PICTURE.write_text(picture(rows), encoding="utf-8")


Row = tuple[float, int, list[int], list[int]]


def by_height(found: Sequence[Counted]) -> list[Row]:
    """Class of stack height, frames, and both counts in rising order; classes of ten frames or more."""
    classes = sorted({int(stack / WIDTH) for stack, _, _ in found})
    rows = []
    for number in classes:
        here = [one for one in found if int(one[0] / WIDTH) == number]
        if len(here) >= 10:
            rows.append(
                (number * WIDTH, len(here), sorted(a for _, a, _ in here), sorted(b for *_, b in here))
            )
    return rows


def share(counts: Sequence[int], part: float) -> int:
    """A quantile, nearest rank."""
    return counts[min(len(counts) - 1, int(part * len(counts)))]


def page(rows: Sequence[Row], found: Sequence[Counted], total: int) -> str:
    """The page's text."""
    spread = Counter(alone for _, alone, _ in found)
    table = "\n".join(
        "| "
        + " | ".join(
            [
                f"{mm_from_metres(low):.0f}–{mm_from_metres(low + WIDTH):.0f}",
                str(number),
                *(str(share(counts, part)) for counts in (one, whole) for part in (0.1, 0.5, 0.9)),
            ]
        )
        + " |"
        for low, number, one, whole in rows
    )
    alone = ", ".join(f"{count}: {spread[count]}" for count in sorted(spread))
    return f"""# Frames and room

How many modules of the demo's kind (INVENTED, 42 mm pitch, 74 mm wide, 142 mm high) fit on {len(found)} of
the {total} research frames; the others are refused with the value that cannot be. Bands and straps only: the
data names no bosses. Wheels, cranks and steering are as usual (see the frame file's page). Written by
`scripts/frames_and_room.py`.

Above the down tube alone, frames by modules: {alone}.

![Modules by stack height](pictures/frames-and-room.svg)

Lowest tenth, middle, highest tenth of the down tube alone, then of three stacks:

| stack height, mm | frames | tube: low | middle | high | three: low | middle | high |
| --- | --- | --- | --- | --- | --- | --- | --- |
{table}
"""


def picture(rows: Sequence[Row]) -> str:
    """A bar from the lowest to the highest tenth for each class, and a mark at the middle."""
    most = max(share(all_, 0.9) for *_, all_ in rows) + 1
    step, height = 560 / len(rows), 260
    marks = []
    for number, (low, _, one, all_) in enumerate(rows):
        x = 60 + number * step
        for shift, ink, counts in ((0.25, "#2c6e63", one), (0.6, "#b5651d", all_)):
            y0, y1, middle = (height - 20 - share(counts, q) * 220 / most for q in (0.1, 0.9, 0.5))
            left = x + shift * step
            marks.append(
                f'<line x1="{left:.1f}" y1="{y0:.1f}" x2="{left:.1f}" y2="{y1:.1f}" '
                f'stroke="{ink}" stroke-width="5"/>'
            )
            marks.append(f'<circle cx="{left:.1f}" cy="{middle:.1f}" r="5" fill="{ink}"/>')
        if number % 2 == 0:
            marks.append(f'<text x="{x:.1f}" y="{height}" font-size="13">{mm_from_metres(low):.0f}</text>')
    scale = "".join(
        f'<text x="30" y="{height - 16 - count * 220 / most:.1f}" font-size="13" '
        f'text-anchor="end">{count}</text>'
        for count in range(0, most, 4)
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 640 300" font-family="sans-serif">'
        "<title>Modules that fit, by stack height of the frame in mm</title>"
        '<rect width="640" height="300" fill="#ffffff"/>'
        f"{scale}{''.join(marks)}"
        '<text x="60" y="290" font-size="13">stack height, mm; green: above the down tube, '
        "brown: three stacks</text>"
        "</svg>\n"
    )


if __name__ == "__main__":
    main()
