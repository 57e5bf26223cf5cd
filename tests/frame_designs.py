"""The research data set of frame designs as geometry tables: what its columns say and leave open."""

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from wattwright.errors import InputError
from wattwright.files.frame_file import usual_clearances, usual_equipment
from wattwright.frame.build import Additions, Equipment, TubeSize, build_frame
from wattwright.frame.geometry import GeometryTable
from wattwright.frame.survey import ClearanceKind, Frame, FrameKind, Section, SectionShape
from wattwright.parts.fixing import Material
from wattwright.units import metres_from_mm, radians_from_degrees

FILE = Path("geometry") / "frame_designs_part1.csv"
WHEEL_RADII = (0.334, 0.317, 0.292, 0.238, 0.203)
"""[m] 23-622, 25-584, 13-559, 35-406, 28-349; no column names a wheel: the largest that goes in."""
TUBES = {
    "head tube": "head_tube",
    "down tube": "down_tube",
    "seat tube": "seat_tube",
    "top tube": "top_tube",
    "chain stays": "chain_stay",
    "seat stays": "seat_stay",
}
SPREADS = {"chain stays": 0.05, "seat stays": 0.045}


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One row: its number, and the frame or why there is none."""

    number: str
    stack: float | None
    """[m] None where the row has none."""
    frame: Frame | None
    refusal: InputError | None


def designs(shared_data: Path) -> Iterator[Design]:
    """Every row of the file, built or refused."""
    usual = usual_equipment(FrameKind.DIAMOND)
    clearances = usual_clearances()
    with (shared_data / FILE).open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            stack = metres_from_mm(float(row["stack_mm"])) if row["stack_mm"] else None
            frame, refusal = _built(row, usual, clearances)
            yield Design(number=row["design"], stack=stack, frame=frame, refusal=refusal)


def _built(
    row: Mapping[str, str], usual: Equipment, clearances: Mapping[ClearanceKind, float]
) -> tuple[Frame | None, InputError | None]:
    """The frame with the largest wheels that go in; the refusal if none do."""
    refusal = None
    for radius in WHEEL_RADII:
        try:
            table, equipment = table_of(row, radius), equipment_of(row, usual)
            return build_frame(f"design {row['design']}", table, equipment, clearances, Additions()), None
        except InputError as error:
            refusal = error
            if "radius" not in str(error):
                break
    return None, refusal


def table_of(row: Mapping[str, str], wheel_radius: float) -> GeometryTable:
    """A row's geometry; reach follows from the down tube, which ends on the head tube's axis."""
    if not row["stack_mm"]:
        raise InputError("stack_mm", None, "given")
    number = {key: float(value) for key, value in row.items() if _is_number(value)}

    def length(key: str) -> float:
        return metres_from_mm(number[f"{key}_mm"])

    head, head_tube = radians_from_degrees(number["head_angle_deg"]), length("head_tube_length")
    below, stack = length("head_tube_below_down_tube"), length("stack")
    foot = (head_tube - below) * math.sin(head)
    rise, tube = stack - foot, length("down_tube_length")
    if tube <= abs(rise):
        raise InputError(
            "down_tube_length_mm", number["down_tube_length_mm"], f"more than its rise, {1000 * rise:.1f} mm"
        )
    seat_tube = length("seat_tube_length")
    return GeometryTable(
        kind=FrameKind.DIAMOND,
        head_angle=head,
        seat_angle=radians_from_degrees(number["seat_angle_deg"]),
        stack=stack,
        reach=math.sqrt(tube**2 - rise**2) - (head_tube - below) * math.cos(head),
        bottom_bracket_drop=length("bottom_bracket_drop"),
        chain_stay=length("chain_stay_length"),
        head_tube=head_tube,
        lower_bearing=0.012,
        rake=0.045,
        rear_radius=wheel_radius,
        front_radius=wheel_radius,
        seat_tube=seat_tube,
        top_tube_on_seat=seat_tube - length("seat_tube_above_top_tube"),
        top_tube_below_head=length("head_tube_above_top_tube"),
        down_tube_above_head=below,
    )


def equipment_of(row: Mapping[str, str], usual: Equipment) -> Equipment:
    """Its tubes; wheels, cranks and steering as usual."""
    material = row["material"].lower()
    tubing = dict(usual.tubing)
    for name, key in TUBES.items():
        size, wall = (metres_from_mm(float(row[f"{key}_{what}_mm"])) for what in ("diameter", "wall"))
        section = Section(shape=SectionShape.ROUND, width=size, depth=size)
        tubing[name] = TubeSize(
            start=section, end=section, material=Material(material), wall=wall, spread=SPREADS.get(name, 0.0)
        )
    return replace(
        usual,
        tubing=tubing,
        shell_radius=metres_from_mm(float(row["bottom_bracket_shell_diameter_mm"])) / 2,
        shell_width=metres_from_mm(float(row["bottom_bracket_shell_width_mm"])),
    )


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
