"""A recorded ride cut into cells and windows of road, over which work is balanced."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.ride.air import air_density
from wattwright.ride.recorded import RecordedRide
from wattwright.units import FloatArray, Fraction, Kelvin, KilogramPerCubicMetre, Second

CELL: Final = 50.0
"""[m] Over a cell the crank's work is asked as a whole, never below nothing: braking is not given back."""
WINDOW: Final = 500.0
"""[m] Over a window measured and predicted work are compared: long against the noise of height and speed,
short against the hills and the changes of wind. Assumption, weighed in ``docs/models/calibration.md``."""
SPEED_SPAN: Final = 3.0
"""[s] Speeds are averaged over this time, against the steps of position."""
SCALE_REACH: Final = 250.0
"""[m] Recorded speeds are brought to the recorded distance over this far before and behind: a device's two
may differ by 2 % (measured: ``docs/measured-rides.md``), and distance is the surer."""
IDLE_POWER: Final = 15.0
"""[W] Below this the rider is taken to coast; assumption."""
SLOWEST: Final = 1.0
"""[m/s] Slower samples are starts, stops and walks: the balance does not hold them."""
FILL_TEMPERATURE: Final = 288.15
"""[K] Where the recording has no temperature and none is given: the standard atmosphere's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of a recorded ride's air and road besides the recording."""

    temperature: Kelvin | None = None
    """Of the air, instead of what the device felt."""
    humidity: Fraction = 0.6
    density: KilogramPerCubicMetre | None = None
    """Of the air, where it was measured, instead of all that."""
    is_flat: bool = False
    """The road is level, as on an indoor track."""


NOTHING_KNOWN: Final = Known()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretches:
    """What of a recorded ride can be balanced: its moving samples, and how they lie in cells and windows.

    Arrays have shape (used,), one value per used sample; ``cell_start`` has shape (cells,).
    """

    sample: npt.NDArray[np.int64]
    """Index of each used sample in the recording."""
    step: FloatArray
    """[s]"""
    speed: FloatArray
    """Mean over the step. [m/s]"""
    run: FloatArray
    """Distance covered in the step. [m]"""
    rise: FloatArray
    """Height gained in the step. [m]"""
    half_square_gain: FloatArray
    """Half the gain of squared speed in the step: kinetic energy per kilogram. [m²/s²]"""
    grade: FloatArray
    north: FloatArray
    """Cosine of the heading; 0 where the heading is unknown."""
    east: FloatArray
    """Sine of the heading; 0 where it is unknown."""
    density: FloatArray
    """Of the air. [kg/m³]"""
    work: FloatArray
    """Measured at the crank in the step; NaN where there was no reading. [J]"""
    piece: npt.NDArray[np.int64]
    """Integrate within a piece only."""
    cell_start: npt.NDArray[np.int64]
    """First used sample of each cell."""
    window: npt.NDArray[np.int64]
    """(cells,) number of the window each cell lies in, never falling."""
    distance: FloatArray
    """(cells,) where each cell begins, over used samples only. [m]"""

    def by_cell(self, values: FloatArray) -> FloatArray:
        """Sum values of shape (used,) or (used, n) over cells: (cells,) or (cells, n)."""
        return np.asarray(np.add.reduceat(values, self.cell_start, axis=0))

    @property
    def has_heading(self) -> bool:
        """Whether the recording knew where it went."""
        return bool((self.north != 0.0).any())


def stretches_of(recorded: RecordedRide, known: Known = NOTHING_KNOWN) -> Stretches:
    """Cut a recorded ride into cells and windows.

    Args:
        recorded: With power; and with altitude unless the road is known to be level.
        known: What is known of air and road besides the recording.

    Returns:
        The moving samples that carry power.

    Raises:
        InputError: If power or altitude is missing, or fewer than ten windows can be used.
    """
    if not recorded.has_power:
        raise InputError("power_w", "missing", "in at least half of the recording",
                         "A calibration compares the laws of motion with measured power.")  # fmt: skip
    if not known.is_flat and not np.isfinite(recorded.altitude).all():
        raise InputError("altitude_m", "missing", "in the recording", "Or say that the road is level.")
    speed = _calm_speed(recorded) * _scale(recorded)
    before = np.maximum(np.arange(recorded.samples) - 1, 0)
    mean = 0.5 * (speed + speed[before])
    used = np.flatnonzero(recorded.moving & (mean > SLOWEST) & np.isfinite(recorded.power))
    if len(used) == 0 or (mean * recorded.step)[used].sum() < 10 * WINDOW:
        raise InputError(
            "recording", recorded.title, f"at least {10 * WINDOW / 1000:g} km of riding with power"
        )
    altitude = np.zeros_like(speed) if known.is_flat else recorded.altitude
    air = _density(recorded, known)
    heading = np.unwrap(recorded.heading) if np.isfinite(recorded.heading).all() else None
    course = None if heading is None else 0.5 * (heading + heading[before])[used]
    run = (mean * recorded.step)[used]
    begin, window, start = _cells(run, recorded.piece[used])
    return Stretches(
        sample=used,
        step=recorded.step[used],
        speed=mean[used],
        run=run,
        rise=(altitude - altitude[before])[used],
        half_square_gain=0.5 * (speed**2 - speed[before] ** 2)[used],
        grade=np.zeros(len(used)) if known.is_flat else recorded.grade[used],
        north=np.zeros(len(used)) if course is None else np.cos(course),
        east=np.zeros(len(used)) if course is None else np.sin(course),
        density=air[used],
        work=(recorded.power * recorded.step)[used],
        piece=recorded.piece[used],
        cell_start=begin,
        window=window,
        distance=start,
    )


def _cells(
    run: FloatArray, piece: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], FloatArray]:
    """First sample, window and place of each cell; a new piece begins a new cell and a new window."""
    travelled = np.cumsum(run) - run
    _, cell = np.unique(np.stack([piece, (travelled // CELL).astype(np.int64)]), axis=1, return_inverse=True)
    begin = np.flatnonzero(np.diff(cell.ravel(), prepend=-1))
    keys = np.stack([piece[begin], (travelled[begin] // WINDOW).astype(np.int64)])
    _, window = np.unique(keys, axis=1, return_inverse=True)
    return begin, window.ravel(), travelled[begin]


def _calm_speed(recorded: RecordedRide) -> FloatArray:
    """Recorded speed, averaged over about ``SPEED_SPAN`` within each piece."""
    speed = np.where(np.isfinite(recorded.speed), recorded.speed, 0.0)
    usual: Second = float(np.median(recorded.step[recorded.moving])) if recorded.moving.any() else 1.0
    reach = round(0.5 * SPEED_SPAN / max(usual, 1e-3))
    total, count = speed.copy(), np.ones_like(speed)
    for shift in range(1, reach + 1):
        same = recorded.piece[shift:] == recorded.piece[:-shift]
        total[shift:] += np.where(same, speed[:-shift], 0.0)
        total[:-shift] += np.where(same, speed[shift:], 0.0)
        count[shift:] += same
        count[:-shift] += same
    return total / count


def _scale(recorded: RecordedRide) -> FloatArray:
    """Distance recorded around each sample over the distance that its speeds add up to, 0.8 to 1.25."""
    speed = np.where(np.isfinite(recorded.speed), recorded.speed, 0.0)
    before = np.maximum(np.arange(recorded.samples) - 1, 0)
    by_speed = np.where(recorded.moving, 0.5 * (speed + speed[before]) * recorded.step, 0.0)
    by_distance = np.where(recorded.moving, recorded.distance - recorded.distance[before], 0.0)
    place, added = np.cumsum(by_distance), np.cumsum(by_speed)
    low, high = (np.clip(place + reach, place[0], place[-1]) for reach in (-SCALE_REACH, SCALE_REACH))
    # Standing samples repeat a place: a grain of slope keeps the places rising, as interpolation asks.
    rising = place + 1e-9 * np.arange(len(place))
    covered = np.interp(high, rising, added) - np.interp(low, rising, added)
    return np.asarray(np.clip((high - low) / np.maximum(covered, 1.0), 0.8, 1.25))


def _density(recorded: RecordedRide, known: Known) -> FloatArray:
    if known.density is not None:
        return np.full(recorded.samples, known.density)
    given = known.temperature
    felt = recorded.temperature if given is None else np.full(recorded.samples, given)
    usual = float(np.nanmedian(felt)) if np.isfinite(felt).any() else FILL_TEMPERATURE
    altitude = np.where(np.isfinite(recorded.altitude), recorded.altitude, 0.0)
    return air_density(altitude, np.where(np.isfinite(felt), felt, usual), known.humidity)
