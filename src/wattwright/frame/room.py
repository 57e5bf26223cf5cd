"""Room: a frame with what stands in the way on it and its faces, worked out once for many placements."""

from collections.abc import Mapping
from dataclasses import dataclass

from wattwright.errors import InputError
from wattwright.frame.faces import blocked_on_face, faces_of, outline_in_plane
from wattwright.frame.keepouts import keepouts_of
from wattwright.frame.outline import OutlinePart
from wattwright.frame.placement import Face, Keepout
from wattwright.frame.sliding import Interval, left_free
from wattwright.frame.survey import Frame
from wattwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """One bicycle, ready for placements to be judged on it."""

    frame: Frame
    keepouts: tuple[Keepout, ...]
    faces: Mapping[str, Face]
    """By name, in the order of the tubes."""

    def face(self, name: str) -> Face:
        """The face of that name.

        Raises:
            InputError: If the frame has no such face; names those it has.
        """
        if name not in self.faces:
            known = ", ".join(self.faces) or "none: no tube of this frame names a side"
            raise InputError("face", name, f"one of {known}")
        return self.faces[name]


def room_of(frame: Frame) -> Room:
    """The room on a frame.

    Raises:
        InputError: If a tube has no such side, a boss lies beyond its tube, or legs do not reach the pedals.
    """
    keepouts = keepouts_of(frame)
    faces = {face.name: face for face in faces_of(frame, keepouts)}
    return Room(frame=frame, keepouts=keepouts, faces=faces)


def free_stretches(
    room: Room, face: Face, *, height: Metre, half_width: Metre, low: Metre = 0.0
) -> tuple[Interval, ...]:
    """Stretches of a face along which something of that height and width meets nothing.

    Args:
        room: Of the bicycle.
        face: One of its faces.
        height: From the surface. [m]
        half_width: To both sides of the middle plane. [m]
        low: From where above the surface, for what hangs over the ends. [m]

    Returns:
        Intervals of s, by rising s: every s at which a line across the surface from ``low`` to ``height``
        keeps its clearances. [m]

    Notes:
        Exact: intervals in closed form (``sliding.blocked_offsets``), no grid.
    """
    line = outline_in_plane(face, ((0.0, low), (0.0, height)))
    cut = OutlinePart(name="cut", outline=line, low=-half_width, high=half_width)
    return left_free((0.0, face.length), blocked_on_face(face, cut, room.keepouts))
