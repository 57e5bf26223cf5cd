"""The survey: what was measured on a bicycle that decides where a stack can sit.

The side plane: origin at the bottom bracket, x forward, y up, z to the rider's right. Everything that
stands in the way is a shape in the side plane and a stretch across it (z).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from wattwright.parts.fixing import Insert, Material
from wattwright.units import Metre, Newton, Radian

Point = tuple[Metre, Metre]
"""(x, y) in the side plane, or (s, h) on a face."""


class FrameKind(Enum):
    """The shape of a frame, as the trade names it."""

    DIAMOND = "diamond"
    STEP_THROUGH = "step-through"
    MIXTE = "mixte"
    LONGTAIL = "longtail"
    CARGO = "cargo"
    FOLDING = "folding"
    TANDEM = "tandem"
    SMALL_WHEELS = "small-wheels"


class SectionShape(Enum):
    """The outline of a tube cut across."""

    ROUND = "round"
    OVAL = "oval"
    FLAT_SIDED = "flat-sided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A tube cut across: an ellipse, or a rectangle with rounded corners."""

    shape: SectionShape
    width: Metre
    """Across the bicycle."""
    depth: Metre
    """In the side plane, across the tube."""
    corner: Metre = 0.0
    """Radius of the corners of a flat-sided tube."""


class Side(Enum):
    """Which side of a tube, in the side plane."""

    ABOVE = "above"
    BELOW = "below"
    FRONT = "front"
    BEHIND = "behind"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One straight tube, rack deck or platform, by its axis; a bent tube is several."""

    name: str
    """"down tube", "top tube", "rear rack": used once in a frame."""
    start: Point
    end: Point
    start_section: Section
    end_section: Section
    """As ``start_section`` where it does not taper."""
    material: Material
    wall: Metre
    sides: tuple[Side, ...] = ()
    """Sides that could carry something; () where none does."""
    spread: Metre = 0.0
    """Distance from the middle plane where it is one of a pair; the room between the two counts as taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boss:
    """A threaded boss on a tube."""

    tube: str
    position: Metre
    """Along the tube's axis from its start."""
    side: Side
    thread: str = "M5x0.8"
    depth: Metre = 0.010
    """Of usable thread."""
    insert: Insert = Insert.BRAZED
    pull_out: Newton | None = None
    """As its maker states it; None where nobody does."""


class ClearanceKind(Enum):
    """What a stack keeps its distance from."""

    TUBE = "tube"
    WHEEL = "wheel"
    MUDGUARD = "mudguard"
    CRANK = "crank"
    CHAINRING = "chainring"
    FOOT = "foot"
    KNEE = "knee"
    STEERING = "steering"
    CABLE = "cable"
    SHIFTER = "shifter"
    PUMP = "pump"
    LOCK = "lock"
    LIGHT = "light"
    OTHER = "other"
    STACK = "stack"


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something fixed to the bicycle, as a shape: an outline, or a line or point with a radius."""

    name: str
    kind: ClearanceKind
    outline: tuple[Point, ...]
    """One point, a line of two, or a closed outline of three or more."""
    radius: Metre
    """Added all around; 0 for a plain outline."""
    low: Metre
    """Its stretch across the bicycle, z: from here,"""
    high: Metre
    """to here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """A wheel with its tyre, and a mudguard where there is one."""

    name: str
    centre: Point
    radius: Metre
    """Outside of the tyre."""
    tyre_width: Metre
    mudguard_gap: Metre | None
    """From tyre to the outside of the mudguard; None without."""
    mudguard_width: Metre = 0.0
    is_steered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cranks:
    """What the feet sweep around one bottom bracket."""

    centre: Point
    arm: Metre
    """Bottom bracket to pedal axle."""
    arm_end: Metre
    """Of the arm beyond the pedal axle."""
    arm_inner: Metre
    """Distance of the arms' inner face from the middle plane."""
    arm_outer: Metre
    chainring_radius: Metre
    """Over the teeth; 0 where there is none."""
    chainring_inner: Metre
    """z of the chainring's inner face; on the right."""
    chainring_outer: Metre
    heel_behind: Metre
    """From pedal axle to the back of the heel."""
    toe_ahead: Metre
    foot_height: Metre
    """Of the shoe above the pedal axle; taken all around it."""
    foot_inner: Metre
    """Distance of the shoes' inner side from the middle plane."""
    foot_outer: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """The rider's legs, for the room the knees take."""

    hip: Point
    thigh: Metre
    shank: Metre
    """Knee to pedal axle, shoe included."""
    knee_radius: Metre
    knee_inner: Metre
    """Distance of the knees' inner side from the middle plane."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Steering:
    """Fork and bars, which turn about the head tube's axis as far as ``lock`` either way."""

    top: Point
    """A point of the steering axis: top of the head tube,"""
    bottom: Point
    """and the bottom of the head tube with its lower bearing."""
    lock: Radian
    """Turn of the fork from straight ahead to where it stops."""
    crown_drop: Metre
    """Along the axis from ``bottom`` to the middle of the crown."""
    blade_end: Point
    """Where the blades end: the front axle."""
    blade_spread: Metre
    """Distance of the blades' middle from the middle plane."""
    blade_radius: Metre
    bar_height: Metre
    """Along the axis from ``top`` to the bars' height."""
    bar_reach: Metre
    """Forward of the axis."""
    bar_half_width: Metre
    bar_radius: Metre
    """Of the bar with what is on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One bicycle, as far as room for a stack is concerned."""

    title: str
    kind: FrameKind
    tubes: tuple[Tube, ...]
    wheels: tuple[Wheel, ...]
    cranks: tuple[Cranks, ...]
    steering: Steering | None
    clearances: Mapping[ClearanceKind, Metre]
    """Distance to keep, by kind; 0 for a kind that is not named."""
    bosses: tuple[Boss, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    legs: Legs | None = None
    notes: tuple[str, ...] = field(default=())
    """What was not measured but taken from the kind of frame, as sentences."""

    def tube(self, name: str) -> Tube:
        """The tube of that name; KeyError if there is none."""
        return {tube.name: tube for tube in self.tubes}[name]
