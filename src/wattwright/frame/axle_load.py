"""Where the mass is, and what stands on each wheel, before and after a pack is fitted."""

from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.errors import InputError
from wattwright.frame.survey import Point
from wattwright.units import STANDARD_GRAVITY, Kilogram, Metre, Newton, mm_from_metres


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A mass and its centre in the side plane."""

    name: str
    mass: Kilogram
    centre: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleLoads:
    """What the ground carries under each wheel, standing level."""

    front: Newton
    rear: Newton

    @property
    def front_share(self) -> float:
        """Front load over all."""
        return self.front / (self.front + self.rear)


def mass_centre(bodies: Sequence[Body]) -> Body:
    """All bodies as one.

    Raises:
        InputError: If together they weigh nothing.

    Examples:
        >>> one = Body(name="frame", mass=1.0, centre=(0.0, 0.0))
        >>> other = Body(name="pack", mass=3.0, centre=(0.5, 1.0))
        >>> mass_centre([one, other]).centre
        (0.375, 0.75)
    """
    mass = sum(body.mass for body in bodies)
    if not mass > 0:
        raise InputError("mass_kg", mass, "more than 0 kg in all")
    x, y = (sum(body.mass * body.centre[axis] for body in bodies) / mass for axis in (0, 1))
    return Body(name=" + ".join(body.name for body in bodies), mass=mass, centre=(x, y))


def axle_loads(
    bodies: Sequence[Body], rear_axle: Metre, front_axle: Metre, gravity: float = STANDARD_GRAVITY
) -> AxleLoads:
    """Front and rear axle load of bodies on level ground.

    Args:
        bodies: Everything that the wheels carry, the wheels too.
        rear_axle: Its x. [m]
        front_axle: Its x; ahead of the rear one. [m]
        gravity: [m/s²]

    Returns:
        Loads on the ground. [N] One is negative where the bicycle would tip over the other wheel.

    Raises:
        InputError: If the front axle is not ahead of the rear one, or nothing has mass.

    Notes:
        Balance of moments about the rear contact: F_front = m g (x − x_rear) / wheelbase.

    Examples:
        >>> bicycle = Body(name="bicycle", mass=20.0, centre=(0.55, 0.5))
        >>> loads = axle_loads([bicycle], 0.0, 1.1, gravity=10.0)
        >>> round(loads.front, 6), round(loads.rear, 6)
        (100.0, 100.0)
    """
    if front_axle <= rear_axle:
        wanted = f"ahead of the rear axle at {mm_from_metres(rear_axle):.0f} mm"
        raise InputError("front_axle_mm", round(mm_from_metres(front_axle), 1), wanted)
    whole = mass_centre(bodies)
    weight = whole.mass * gravity
    front = weight * (whole.centre[0] - rear_axle) / (front_axle - rear_axle)
    return AxleLoads(front=front, rear=weight - front)
