"""Drawing files read back with the library and measured."""

from io import StringIO

import ezdxf
import pytest
from ezdxf.document import Drawing

from frame_examples import ON_BANDS, RULES, SHELF, frame_of, placed
from wattwright.documents.bicycle_drawing_stacks import placed_stack
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.dxf import LAYERS, plate_dxf, template_dxf
from wattwright.documents.template_plate import FullSize, full_size
from wattwright.frame.placement import Fixing
from wattwright.frame.room import room_of
from wattwright.parts.fixing import FixingKind

ROOM = room_of(frame_of())
ON_BOSS_PLATE = Fixing(
    kind=FixingKind.PLATE_ON_BOSSES, screw=SHELF.screws["m5x16-a2"], plate=SHELF.plates["shim-5"], step=-0.020
)  # fmt: skip
ON_BAND_PLATE = Fixing(
    kind=FixingKind.PLATE_ON_BANDS, band=SHELF.bands["hoop-small"], plate=SHELF.plates["shim-5"]
)


def laid_out(fixing: Fixing, offset: float = 0.19) -> FullSize:
    placement = placed(fixing=fixing, offset=offset)
    view = BicycleView(room=ROOM, rules=RULES, placements=(placement,))
    return full_size(ROOM.frame, placed_stack(view, placement))


def read(text: str) -> Drawing:
    document = ezdxf.read(StringIO(text))
    assert not document.audit().has_errors
    return document


def test_a_plate_reads_back_in_millimetres_with_its_holes() -> None:
    """From 260 − 10 to 344 + 10 mm: 104 × 28 mm; holes at 10, 30, 74 and 94 mm from its end."""
    laid = laid_out(ON_BOSS_PLATE)
    assert laid.plate is not None
    document = read(plate_dxf(laid.plate))
    space = document.modelspace()
    (outline,) = space.query("LWPOLYLINE[layer=='outline']")
    xs, ys = zip(*outline.get_points("xy"), strict=True)
    holes = sorted((c.dxf.center.x, 2 * c.dxf.radius, c.dxf.layer) for c in space.query("CIRCLE"))

    assert document.units == 4
    assert document.dxfversion == "AC1024"  # R2010
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((104.0, 28.0))
    assert outline.closed
    assert [place for place, _, _ in holes] == pytest.approx([10.0, 30.0, 74.0, 94.0])
    assert [size for _, size, _ in holes] == pytest.approx([4.2, 5.5, 4.2, 5.5])
    assert [layer for _, _, layer in holes] == ["holes to carrier", "holes to frame"] * 2


def test_a_plate_under_bands_shows_where_they_go() -> None:
    laid = laid_out(ON_BAND_PLATE)
    assert laid.plate is not None
    space = read(plate_dxf(laid.plate)).modelspace()
    bands = sorted(line.dxf.start.x for line in space.query("LINE[layer=='bands']"))

    assert bands == pytest.approx([(s - laid.plate.start) * 1000 for s in laid.seats])
    assert len(bands) >= 2
    assert len(space.query("CIRCLE")) == 2


def test_the_template_reads_back_with_stack_foot_slots_and_bosses() -> None:
    """Four modules of 42 mm pitch on a foot of 232 mm from 190 mm on; bosses at 280 and 344 mm."""
    space = read(template_dxf(laid_out(ON_BANDS))).modelspace()
    feet = [entity.get_points("xy") for entity in space.query("LWPOLYLINE[layer=='outline']")]
    bosses = sorted(circle.dxf.center.x for circle in space.query("CIRCLE[layer=='holes to frame']"))

    assert bosses == pytest.approx([280.0, 344.0])
    for points in feet:
        assert (min(x for x, _ in points), max(x for x, _ in points)) == pytest.approx((190.0, 422.0))
    assert len(feet) == 2
    assert len(space.query("LWPOLYLINE[layer=='slots']")) == 2
    assert len(space.query("LWPOLYLINE[layer=='stack']")) == 6  # dock, four modules, end piece


def test_layers_are_named_in_plain_words_and_the_file_is_the_same_each_time() -> None:
    laid = laid_out(ON_BOSS_PLATE)
    assert laid.plate is not None
    text = plate_dxf(laid.plate)

    assert set(LAYERS) <= {layer.dxf.name for layer in read(text).layers}
    assert plate_dxf(laid.plate) == text
