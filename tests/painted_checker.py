"""An independent checker of arrangements: painted masks at half a millimetre, no geometry of ours.

Everything is painted with Pillow, from the records alone: a stack's piece (or what it sweeps on its way off)
into one picture, what stands in the way into another. Two things meet where a pixel is painted in both. Both
masks are eroded by one pixel, and what is grown is grown by one pixel less, so touching borders do not count.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import permutations

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from wattwright.frame.keepouts import keepouts_of
from wattwright.frame.placement import Keepout, Placement
from wattwright.frame.survey import ClearanceKind, Frame, Side

PIXEL = 0.0005
"""[m]"""

Points = list[tuple[float, float]]
Box = tuple[str, Points, float, float]
"""What it is, its corners in the side plane, its stretch across the bicycle."""


def faults(frame: Frame, placements: Sequence[Placement]) -> list[str]:
    """Every overlap and every blocked way off; none in a good arrangement."""
    stacks = [boxes_of(frame, placement) for placement in placements]
    spare = frame.clearances.get(ClearanceKind.STACK, 0.0)
    found = []
    for placement, stack in zip(placements, stacks, strict=True):
        found += _against_the_bicycle(frame, placement, *stack)
    for (i, (solid, ways)), (j, (other, _)) in permutations(enumerate(stacks), 2):
        found += [
            f"stacks {i} and {j} meet" for one in solid for two in other if _boxes_meet(one, two, spare)
        ]
        if ways and all(any(_boxes_meet(way, two, 0.0) for two in other) for way in ways):
            found.append(f"stack {j} is in the way of taking stack {i} off")
    return found


def _against_the_bicycle(
    frame: Frame, placement: Placement, solid: list[Box], ways: list[Box]
) -> Iterator[str]:
    own = placement.face.split(" ", 1)[1]
    others = [keepout for keepout in keepouts_of(frame) if keepout.name != own]
    for keepout in others:
        for box in solid:
            if _meets(box, keepout, keepout.clearance):
                yield f"{box[0]} of {placement.face} meets {keepout.name}"
    if ways and all(any(_meets(way, keepout, 0.0) for keepout in others) for way in ways):
        yield f"no way off {placement.face}"


def _meets(box: Box, keepout: Keepout, clearance: float) -> bool:
    _, corners, low, high = box
    if beside(low, high, keepout.low, keepout.high, clearance):
        return False
    return meet(corners, list(keepout.core), keepout.radius + clearance)


def _boxes_meet(one: Box, two: Box, keep: float) -> bool:
    return not beside(one[2], one[3], two[2], two[3], keep) and meet(one[1], two[1], keep)


def boxes_of(frame: Frame, placement: Placement) -> tuple[list[Box], list[Box]]:
    """A rail's foot, dock, modules and end piece, and its ways off: written anew from the records."""
    tube = frame.tube(placement.face.split(" ", 1)[1])
    side = Side(placement.face.split(" ", 1)[0])
    (x0, y0), (x1, y1) = tube.start, tube.end
    length = math.hypot(x1 - x0, y1 - y0)
    across = (-(y1 - y0) / length, (x1 - x0) / length)
    wanted = {
        Side.ABOVE: across[1] > 0,
        Side.BELOW: across[1] < 0,
        Side.FRONT: across[0] > 0,
        Side.BEHIND: across[0] < 0,
    }
    if not wanted[side]:
        across = (-across[0], -across[1])
    half0, half1 = tube.start_section.depth / 2, tube.end_section.depth / 2
    a = (x0 + across[0] * half0, y0 + across[1] * half0)
    b = (x1 + across[0] * half1, y1 + across[1] * half1)
    surface = math.hypot(b[0] - a[0], b[1] - a[1])
    along = ((b[0] - a[0]) / surface, (b[1] - a[1]) / surface)
    out = (-along[1], along[0])
    if out[0] * across[0] + out[1] * across[1] < 0:
        out = (along[1], -along[0])
    carrier, kind, count = placement.carrier, placement.battery_module, placement.modules
    shape = carrier.shape
    assert shape is not None
    fixing = placement.fixing
    raised = fixing.plate.thickness if fixing.plate else 0.0

    def corners(u0: float, u1: float, h0: float, h1: float) -> Points:
        found = []
        for u, h in ((u0, h0), (u1, h0), (u1, h1), (u0, h1)):
            s = placement.offset + (u if placement.dock_first else shape.length - u)
            height = h + raised
            found.append((a[0] + along[0] * s + out[0] * height, a[1] + along[1] * s + out[1] * height))
        return found

    end = shape.dock_length + count * kind.pitch
    tail = end + carrier.base_length - shape.dock_length
    low, top, half = (
        min(shape.overhang_low, shape.foot_height),
        shape.foot_height + kind.height,
        kind.width / 2,
    )
    foot = shape.foot_width / 2
    solid = [
        ("foot", corners(0, shape.length, 0, shape.foot_height), -foot, foot),
        ("dock", corners(0, shape.dock_length, 0, shape.dock_height), -half, half),
        ("modules", corners(shape.dock_length, end, low, top), -half, half),
        ("end piece", corners(end, tail, 0, shape.dock_height), -half, half),
    ]
    way, start = carrier.removal_travel + shape.hand_room, shape.dock_length
    ways = {
        "AWAY_FROM_DOCK": [("way", corners(start, tail + way, low, top), -half, half)],
        "TOWARDS_DOCK": [("way", corners(start - way, tail, low, top), -half, half)],
        "OUTWARD": [("way", corners(start, tail, low, top + way), -half, half)],
        "SIDEWAYS": [
            ("left", corners(start, tail, low, top), -half - way, half),
            ("right", corners(start, tail, low, top), -half, half + way),
        ],
    }[shape.release.name]
    return solid, ways


def beside(low: float, high: float, low2: float, high2: float, keep: float) -> bool:
    """Whether two things pass each other across the bicycle."""
    return low - keep >= high2 - 1e-9 or high + keep <= low2 + 1e-9


def meet(one: Points, two: Points, grown: float) -> bool:
    """Whether two shapes, the second grown all around, share painted pixels."""
    xs, ys = [x for x, _ in one], [y for _, y in one]
    reach = [
        min(x for x, _ in two) - grown,
        max(x for x, _ in two) + grown,
        min(y for _, y in two) - grown,
        max(y for _, y in two) + grown,
    ]
    if min(xs) > reach[1] or max(xs) < reach[0] or min(ys) > reach[3] or max(ys) < reach[2]:
        return False
    origin = (min(xs) - 4 * PIXEL, min(ys) - 4 * PIXEL)
    size = (int((max(xs) - origin[0]) / PIXEL) + 5, int((max(ys) - origin[1]) / PIXEL) + 5)
    first, second = Image.new("L", size), Image.new("L", size)
    ImageDraw.Draw(first).polygon(pixels(one, origin), fill=255)
    paint(ImageDraw.Draw(second), two, grown, origin)
    inner, other = (picture.filter(ImageFilter.MinFilter(3)) for picture in (first, second))
    return bool(np.any((np.asarray(inner) > 0) & (np.asarray(other) > 0)))


def pixels(points: Points, origin: tuple[float, float]) -> Points:
    """Corners in pixels."""
    return [((x - origin[0]) / PIXEL, (y - origin[1]) / PIXEL) for x, y in points]


def paint(draw: ImageDraw.ImageDraw, points: Points, grown: float, origin: tuple[float, float]) -> None:
    """A shape grown all around: itself, discs at its corners, broad lines along its sides."""
    at = pixels(points, origin)
    radius = (
        grown / PIXEL - 1
    )  # a painted border is a pixel broad: what keeps the distance exactly is no fault
    if len(at) > 2:
        draw.polygon(at, fill=255)
    if radius <= 0:
        return
    for x, y in at:
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=255)
    for (x0, y0), (x1, y1) in zip(at, at[1:] + at[:1], strict=True):
        length = math.hypot(x1 - x0, y1 - y0)
        if length > 0:
            nx, ny = -(y1 - y0) / length * radius, (x1 - x0) / length * radius
            draw.polygon(
                [(x0 + nx, y0 + ny), (x1 + nx, y1 + ny), (x1 - nx, y1 - ny), (x0 - nx, y0 - ny)], fill=255
            )
