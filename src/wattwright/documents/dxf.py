"""Drawing files for saw and mill: offset plates and the full-size template, DXF R2010, millimetres."""

from io import StringIO
from typing import TYPE_CHECKING, Final

from wattwright.documents.template_plate import FullSize, Plate
from wattwright.frame.plane import Outline
from wattwright.units import Metre, mm_from_metres

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

LAYERS: Final = {
    "outline": 7,
    "holes to frame": 1,
    "holes to carrier": 3,
    "slots": 4,
    "bands": 6,
    "centre line": 8,
    "stack": 5,
    "words": 8,
}
"""Layer names with their colour numbers."""
WORDS: Final = 4.0
"""[mm] Height of lettering."""


def plate_dxf(plate: Plate) -> str:
    """An offset plate as DXF text, its start at x = 0 and its middle line at y = 0.

    Args:
        plate: As ``template_plate.plate_of`` gives it. [m]

    Returns:
        DXF R2010 in mm ($INSUNITS 4): closed outline, holes as circles, bands as lines.
    """
    document = _document()
    space = document.modelspace()
    half = plate.width / 2
    length = plate.end - plate.start
    _outline(space, ((0.0, -half), (length, -half), (length, half), (0.0, half)), "outline")
    _line(space, (-0.005, 0.0), (length + 0.005, 0.0), "centre line")
    for hole in plate.holes:
        layer = "holes to carrier" if hole.purpose == "to carrier" else "holes to frame"
        centre = mm_from_metres(hole.s - plate.start), 0.0
        space.add_circle(centre, mm_from_metres(hole.diameter) / 2, dxfattribs={"layer": layer})
    for s in plate.bands:
        _line(space, (s - plate.start, -half), (s - plate.start, half), "bands")
    sizes = (length, plate.width, plate.thickness)
    words = f"{plate.name}, {' x '.join(f'{mm_from_metres(size):.1f}' for size in sizes)} mm"
    for row, text in enumerate((words, *plate.warnings)):
        _words(space, text, (0.0, -half - 0.008 * (row + 1)))
    return _text(document)


def template_dxf(laid: FullSize) -> str:
    """The template as DXF text: side view of the stack (s, h) and, below it, the carrier from above (s, z).

    Args:
        laid: As ``template_plate.full_size`` gives it. [m]

    Returns:
        DXF R2010 in mm; x = s along the tube from its start, y = 0 the tube's surface in the upper view.
    """
    document = _document()
    space = document.modelspace()
    (start, end), drop = laid.tube_ends, -0.060
    _line(space, (start, 0.0), (end, 0.0), "outline")
    for name, outline in laid.side:
        _outline(space, outline, "outline" if name in {"foot", "bag"} else "stack")
    for name, outline in laid.plan:
        lowered = tuple((s, z + drop) for s, z in outline)
        _outline(space, lowered, "slots" if name == "slot" else "outline")
    _line(space, (start, drop), (end, drop), "centre line")
    for s in laid.bosses:
        space.add_circle(
            (mm_from_metres(s), mm_from_metres(drop)), 2.5, dxfattribs={"layer": "holes to frame"}
        )
    for s in laid.seats:
        _line(space, (s, drop - 0.02), (s, drop + 0.02), "bands")
    _words(space, laid.title, (start, drop - 0.035))
    return _text(document)


def _document() -> "Drawing":
    from ezdxf.filemanagement import new  # noqa: PLC0415 (start-up)

    document = new("R2010", units=4)
    document.ezdxf_metadata()["CREATED_BY_EZDXF"] = "undated"  # the same plate gives the same file
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    return document


def _outline(space: "Modelspace", outline: Outline, layer: str) -> None:
    points = [(mm_from_metres(x), mm_from_metres(y)) for x, y in outline]
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _line(space: "Modelspace", start: tuple[Metre, Metre], end: tuple[Metre, Metre], layer: str) -> None:
    one, other = ((mm_from_metres(x), mm_from_metres(y)) for x, y in (start, end))
    space.add_line(one, other, dxfattribs={"layer": layer})


def _words(space: "Modelspace", text: str, at: tuple[Metre, Metre]) -> None:
    place = (mm_from_metres(at[0]), mm_from_metres(at[1]))
    space.add_text(text, height=WORDS, dxfattribs={"layer": "words"}).set_placement(place)


def _text(document: "Drawing") -> str:
    """The file's text, without dates or chance numbers in its head."""
    from ezdxf._options import options  # noqa: PLC0415 (start-up)

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        stream = StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue()
