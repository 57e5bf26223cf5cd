"""A steel diamond frame, a rail, a module and fixings to put on it; reference sheet, topic 10."""

import math
from dataclasses import replace
from typing import Any

from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.fixing_file import load_shelf
from wattwright.files.frame_file import usual_clearances, usual_equipment
from wattwright.frame.build import Additions, build_frame
from wattwright.frame.geometry import GeometryTable
from wattwright.frame.placement import Fixing, Placement
from wattwright.frame.survey import Boss, Frame, FrameKind, Obstacle, Side
from wattwright.parts.accessories import Carrier
from wattwright.parts.fixing import FixingKind

CATALOGUE = load_catalogue(own=())
SHELF = load_shelf()
RULES = SHELF.rules
MODULE = CATALOGUE.module("slate-48")
RAIL = CATALOGUE.carrier("sill-rail-4")
BAG = CATALOGUE.carrier("satchel-bag")

REFERENCE = GeometryTable(
    kind=FrameKind.DIAMOND,
    head_angle=math.radians(71),
    seat_angle=math.radians(73),
    stack=0.600,
    reach=0.390,
    bottom_bracket_drop=0.070,
    chain_stay=0.435,
    head_tube=0.160,
    lower_bearing=0.012,
    rake=0.045,
    rear_radius=0.348,
    front_radius=0.348,
    seat_tube=0.520,
    top_tube_on_seat=0.480,
    top_tube_below_head=0.035,
    down_tube_above_head=0.040,
)
"""B1 to B3, and the worked main triangle below them."""

BOTTLE_BOSSES = tuple(Boss(tube="down tube", position=place, side=Side.ABOVE) for place in (0.280, 0.344))
ON_BOSSES = Fixing(kind=FixingKind.BOSSES, screw=SHELF.screws["m5x12-a2"])
ON_BANDS = Fixing(kind=FixingKind.BANDS, band=SHELF.bands["hoop-small"])


def frame_of(
    table: GeometryTable = REFERENCE,
    *,
    bosses: tuple[Boss, ...] = BOTTLE_BOSSES,
    obstacles: tuple[Obstacle, ...] = (),
    **changed: Any,  # noqa: ANN401
) -> Frame:
    """The frame of a table with usual equipment, or what is changed of it."""
    equipment = replace(usual_equipment(table.kind), **changed)
    additions = Additions(bosses=bosses, obstacles=obstacles)
    return build_frame("example", table, equipment, usual_clearances(), additions)


def placed(**changed: Any) -> Placement:  # noqa: ANN401
    """Four modules on a short rail above the down tube, on the bottle bosses."""
    usual: dict[str, Any] = {
        "face": "above down tube",
        "carrier": RAIL,
        "battery_module": MODULE,
        "modules": 4,
        "offset": 0.200,
        "dock_first": True,
        "fixing": ON_BOSSES,
    }
    return Placement(**{**usual, **changed})


def reshaped(carrier: Carrier, **changed: Any) -> Carrier:  # noqa: ANN401
    """A carrier with some of its shape changed."""
    assert carrier.shape is not None
    return replace(carrier, shape=replace(carrier.shape, **changed))
