"""The tables of a frame file: the survey of one bicycle, in millimetres and degrees as it is measured.

Ranges are wide physical bounds (common practice, no source): they catch slips of the pen and of the unit,
an inch figure where millimetres are due among them.
"""

from enum import Enum
from typing import Annotated, ClassVar, Final

from pydantic import Field, model_validator

from wattwright.files.edge import Edge, contradiction
from wattwright.frame.build import Deck
from wattwright.frame.survey import (
    Boss,
    ClearanceKind,
    FrameKind,
    Legs,
    Obstacle,
    SectionShape,
    Side,
)
from wattwright.parts.fixing import Insert, Material

MILLIMETRES: Final = 5000.0
"""No place on a bicycle is further from the bottom bracket."""
Coordinate = Annotated[float, Field(ge=-MILLIMETRES, le=MILLIMETRES)]
PointMm = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]
Pixel = Annotated[float, Field(ge=-100_000, le=100_000)]
PointPx = Annotated[list[Pixel], Field(min_length=2, max_length=2)]


class Mark(Enum):
    """A point to mark in a picture."""

    BOTTOM_BRACKET = "bottom_bracket"
    REAR_AXLE = "rear_axle"
    FRONT_AXLE = "front_axle"
    HEAD_TOP = "head_top"
    HEAD_BOTTOM = "head_bottom"
    SEAT_TOP = "seat_top"
    TOP_TUBE_SEAT = "top_tube_seat"
    TOP_TUBE_HEAD = "top_tube_head"
    DOWN_TUBE_HEAD = "down_tube_head"


class FrameHeadTable(Edge):
    """Which bicycle it is."""

    title: str = Field(min_length=1, max_length=200)
    kind: FrameKind = Field(strict=False)
    """It decides which tubes there are."""


class GeometryTableKeys(Edge):
    """The usual geometry table; what is left out and not needed only goes unchecked."""

    head_angle_deg: float = Field(ge=45, le=85)
    """To the horizontal, from behind."""
    seat_angle_deg: float = Field(ge=45, le=90)
    stack_mm: float = Field(ge=250, le=1000)
    """Bottom bracket to top of the head tube, upright,"""
    reach_mm: float | None = Field(default=None, ge=150, le=900)
    """and forward; or give effective_top_tube_mm."""
    effective_top_tube_mm: float | None = Field(default=None, ge=300, le=1200)
    bottom_bracket_drop_mm: float | None = Field(default=None, ge=-250, le=150)
    """Rear axle above bottom bracket; or give bottom_bracket_height_mm."""
    bottom_bracket_height_mm: float | None = Field(default=None, ge=150, le=450)
    chain_stay_mm: float = Field(ge=250, le=1200)
    head_tube_mm: float = Field(ge=50, le=500)
    lower_bearing_mm: float = Field(ge=0, le=50)
    """Of the headset, below the head tube."""
    rake_mm: float = Field(ge=0, le=150)
    """Front axle ahead of the steering axis, square to it."""
    rear_tyre: str | None = None
    """Size on the tyre: "47-622"; or give rear_radius_mm."""
    rear_radius_mm: float | None = Field(default=None, ge=120, le=420)
    front_tyre: str | None = None
    """Where it differs from the rear one."""
    front_radius_mm: float | None = Field(default=None, ge=120, le=420)
    seat_tube_mm: float = Field(ge=150, le=900)
    """Bottom bracket to the top of the seat tube."""
    top_tube_on_seat_mm: float | None = Field(default=None, ge=50, le=900)
    """Bottom bracket to the top tube's axis, along the seat tube; or leave it to the usual share:"""
    top_tube_on_seat_pct: float = Field(ge=1, le=100)
    """of the seat tube."""
    top_tube_below_head_mm: float | None = Field(default=None, ge=5, le=400)
    """Along the head tube, from its top to the top tube's axis."""
    top_tube_below_head_pct: float = Field(ge=1, le=99)
    """Of the head tube, where it was not measured."""
    down_tube_above_head_mm: float | None = Field(default=None, ge=5, le=400)
    """Along the head tube, from its bottom to the down tube's axis."""
    down_tube_above_head_pct: float = Field(ge=1, le=99)
    stoker_distance_mm: float = Field(default=0.0, ge=0, le=1500)
    """Between the bottom brackets of a tandem; the others are the front one's."""
    fork_length_mm: float | None = Field(default=None, ge=200, le=700)
    """Axle to crown along the steering axis; checks the rest, as wheelbase, front_centre and trail do."""
    wheelbase_mm: float | None = Field(default=None, ge=600, le=3000)
    front_centre_mm: float | None = Field(default=None, ge=300, le=1500)
    trail_mm: float | None = Field(default=None, ge=-50, le=200)

    @model_validator(mode="after")
    def _says_each_thing(self) -> "GeometryTableKeys":
        for keys in (
            ("reach_mm", "effective_top_tube_mm"),
            ("bottom_bracket_drop_mm", "bottom_bracket_height_mm"),
            ("rear_tyre", "rear_radius_mm"),
        ):
            if all(getattr(self, key) is None for key in keys):
                raise contradiction(keys[0], None, " or ".join(keys))
        return self


class MarkedLengthTable(Edge):
    """A length on the bicycle between two marks of the picture."""

    start: Mark = Field(strict=False)
    end: Mark = Field(strict=False)
    length_mm: float = Field(ge=20, le=3000)


class MarksTable(Edge):
    """Points marked on a drawing or picture taken square to the bicycle, in pixels: x right, y down."""

    bottom_bracket_px: PointPx
    rear_axle_px: PointPx
    front_axle_px: PointPx
    head_top_px: PointPx
    head_bottom_px: PointPx
    seat_top_px: PointPx
    top_tube_seat_px: PointPx | None = None
    """Where the axes of top tube and seat tube meet."""
    top_tube_head_px: PointPx | None = None
    down_tube_head_px: PointPx | None = None
    known: list[MarkedLengthTable] = Field(min_length=1, max_length=10)
    """One known length; more check that the picture is square."""
    rear_tyre: str
    """Size on the tyre: "47-622"."""
    front_tyre: str | None = None
    lower_bearing_mm: float = Field(ge=0, le=50)
    stoker_distance_mm: float = Field(default=0.0, ge=0, le=1500)


class EquipmentTable(Edge):
    """Wheels, cranks, feet and steering; what is left out is taken as usual for the kind."""

    tyre_width_mm: float = Field(ge=18, le=130)
    mudguard_gap_mm: float | None = Field(default=None, ge=2, le=80)
    """From tyre to the outside of the mudguard; left out without mudguards."""
    mudguard_width_mm: float = Field(ge=0, le=200)
    crank_arm_mm: float = Field(ge=90, le=220)
    """Bottom bracket to pedal axle."""
    crank_arm_end_mm: float = Field(ge=0, le=60)
    """Of the arm beyond the pedal axle."""
    crank_arm_inner_mm: float = Field(ge=20, le=150)
    """Of the arms' inner face from the middle plane."""
    crank_arm_outer_mm: float = Field(ge=30, le=200)
    chainring_radius_mm: float = Field(ge=0, le=160)
    """Over the teeth; 0 without."""
    chainring_inner_mm: float = Field(ge=10, le=120)
    chainring_outer_mm: float = Field(ge=15, le=150)
    heel_behind_mm: float = Field(ge=0, le=300)
    """From pedal axle to the back of the heel."""
    toe_ahead_mm: float = Field(ge=0, le=300)
    foot_height_mm: float = Field(ge=0, le=200)
    """Of the shoe above the pedal axle."""
    foot_inner_mm: float = Field(ge=10, le=200)
    """Of the shoes' inner side from the middle plane."""
    foot_outer_mm: float = Field(ge=20, le=350)
    lock_deg: float = Field(ge=5, le=180)
    """Turn of the fork from straight ahead to where it stops."""
    crown_drop_mm: float = Field(ge=0, le=120)
    """Lower bearing to the middle of the fork crown."""
    blade_spread_mm: float = Field(ge=10, le=150)
    """Of the blades' middle from the middle plane."""
    blade_radius_mm: float = Field(ge=4, le=50)
    bar_height_mm: float = Field(ge=-50, le=500)
    """Of the bars over the head tube, along the steering axis."""
    bar_reach_mm: float = Field(ge=-150, le=250)
    """Of the bars ahead of the steering axis."""
    bar_half_width_mm: float = Field(ge=50, le=600)
    bar_radius_mm: float = Field(ge=5, le=120)
    """Of the bar with what is on it."""
    shell_radius_mm: float = Field(ge=10, le=80)
    """Of the bottom bracket."""
    shell_width_mm: float = Field(ge=40, le=250)
    beam_on_seat_mm: float = Field(ge=0, le=500)
    """Of a folding frame: bottom bracket to the main beam's axis, along the seat tube."""

    @model_validator(mode="after")
    def _inside_before_outside(self) -> "EquipmentTable":
        for name in ("crank_arm", "chainring", "foot"):
            inner, outer = getattr(self, f"{name}_inner_mm"), getattr(self, f"{name}_outer_mm")
            if inner >= outer:
                raise contradiction(f"{name}_inner_mm", inner, f"below {name}_outer_mm ({outer:g} mm)")
        return self


class TubeSizeTable(Edge):
    """How thick one tube of the kind is."""

    name: str = Field(min_length=1, max_length=60)
    """As the kind has it: "down tube", "top tube", "seat tube", "head tube", "chain stays", "seat stays" …"""
    shape: SectionShape = Field(default=SectionShape.ROUND, strict=False)
    width_mm: float = Field(ge=8, le=200)
    """Across the bicycle, at the tube's start."""
    depth_mm: float | None = Field(default=None, ge=8, le=200)
    """Across the tube in the side view; as the width if left out."""
    end_width_mm: float | None = Field(default=None, ge=8, le=200)
    """At its end, where it tapers."""
    end_depth_mm: float | None = Field(default=None, ge=8, le=200)
    corner_mm: float = Field(default=0.0, ge=0, le=100)
    """Radius of the corners of a flat-sided tube."""
    wall_mm: float = Field(ge=0.3, le=20)
    material: Material = Field(strict=False)
    spread_mm: float = Field(default=0.0, ge=0, le=200)
    """Of each of a pair from the middle plane."""

    @model_validator(mode="after")
    def _round_is_round(self) -> "TubeSizeTable":
        if self.shape is SectionShape.ROUND and self.depth_mm not in {None, self.width_mm}:
            raise contradiction(
                "depth_mm", self.depth_mm, f"left out for a round tube, or {self.width_mm:g} mm",
                'If it is oval, write shape = "oval".',
            )  # fmt: skip
        return self


class OwnTubeTable(TubeSizeTable):
    """A tube, rack or platform that the kind does not have, or has elsewhere."""

    start_mm: PointMm
    """[x, y] from the bottom bracket, x forward, y up."""
    end_mm: PointMm
    sides: list[Annotated[Side, Field(strict=False)]] = Field(default_factory=list)
    """Which could carry something: above, below, front, behind."""


class DeckTable(Edge):
    """A rack over the rear wheel, or a platform over the front one."""

    record: ClassVar[type] = Deck

    length_mm: float = Field(ge=100, le=2000)
    width_mm: float = Field(ge=40, le=1000)
    thickness_mm: float = Field(ge=4, le=100)
    gap_mm: float = Field(ge=5, le=400)
    """Between tyre and underside."""
    material: Material = Field(strict=False)


class BossTable(Edge):
    """A threaded boss."""

    record: ClassVar[type] = Boss

    tube: str = Field(min_length=1, max_length=60)
    position_mm: float = Field(ge=0, le=3000)
    """Along the tube's axis from its start: the bottom bracket, seat or rear end."""
    side: Side = Field(strict=False)
    thread: str = Field(default="M5x0.8", pattern=r"^M\d+(\.\d+)?x\d(\.\d+)?$")
    """Diameter and pitch."""
    depth_mm: float = Field(default=10.0, ge=1, le=60)
    """Of usable thread."""
    insert: Insert = Field(default=Insert.BRAZED, strict=False)
    pull_out_n: float | None = Field(default=None, ge=50, le=50_000)
    """As the frame's maker states it; left out where nobody does."""


class ObstacleTable(Edge):
    """Something fixed to the bicycle: a point or line with a radius, or a closed outline."""

    record: ClassVar[type] = Obstacle

    name: str = Field(min_length=1, max_length=60)
    kind: ClearanceKind = Field(strict=False)
    outline_mm: list[PointMm] = Field(min_length=1, max_length=200)
    """[x, y] from the bottom bracket: one point, a line of two, or the corners of an outline."""
    radius_mm: float = Field(default=0.0, ge=0, le=500)
    low_mm: float = Field(default=-30.0, ge=-600, le=600)
    """Its stretch across the bicycle, to the rider's right: from here,"""
    high_mm: float = Field(default=30.0, ge=-600, le=600)
    """to here."""


class LegsTable(Edge):
    """The rider's legs, for the room the knees take."""

    record: ClassVar[type] = Legs

    hip_mm: PointMm
    """[x, y] of the hip joint from the bottom bracket."""
    thigh_mm: float = Field(ge=200, le=700)
    shank_mm: float = Field(ge=200, le=700)
    """Knee to pedal axle, shoe included."""
    knee_radius_mm: float = Field(default=65.0, ge=20, le=150)
    knee_inner_mm: float = Field(default=50.0, ge=0, le=300)
    """Of the knees' inner side from the middle plane."""


class ClearancesTable(Edge):
    """Distance to keep, by what it is kept from."""

    tube_mm: float = Field(ge=0, le=100)
    wheel_mm: float = Field(ge=0, le=100)
    mudguard_mm: float = Field(ge=0, le=100)
    crank_mm: float = Field(ge=0, le=100)
    chainring_mm: float = Field(ge=0, le=100)
    foot_mm: float = Field(ge=0, le=100)
    knee_mm: float = Field(ge=0, le=200)
    steering_mm: float = Field(ge=0, le=100)
    cable_mm: float = Field(ge=0, le=100)
    shifter_mm: float = Field(ge=0, le=100)
    pump_mm: float = Field(ge=0, le=100)
    lock_mm: float = Field(ge=0, le=100)
    light_mm: float = Field(ge=0, le=100)
    other_mm: float = Field(ge=0, le=100)
    stack_mm: float = Field(ge=0, le=100)


class FrameTables(Edge):
    """A frame file: geometry or marks, and what else was measured."""

    frame: FrameHeadTable
    geometry: GeometryTableKeys | None = None
    marks: MarksTable | None = None
    equipment: EquipmentTable
    tubing: list[TubeSizeTable] = Field(default_factory=list, max_length=40)
    tubes: list[OwnTubeTable] = Field(default_factory=list, max_length=40)
    rack: DeckTable | None = None
    platform: DeckTable | None = None
    bosses: list[BossTable] = Field(default_factory=list, max_length=60)
    obstacles: list[ObstacleTable] = Field(default_factory=list, max_length=100)
    legs: LegsTable | None = None
    clearances: ClearancesTable

    @model_validator(mode="after")
    def _geometry_or_marks(self) -> "FrameTables":
        if (self.geometry is None) == (self.marks is None):
            raise contradiction("geometry", None, "either [geometry] or [marks]")
        names = [tube.name for tube in self.tubes]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise contradiction("tubes", twice, "a list in which every name stands once")
        return self
