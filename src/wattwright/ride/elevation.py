"""Elevation: from noisy recorded heights to a profile, its grade and its ascent."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.ride.smoothing import smoothed, strength_of_wavelength
from wattwright.units import FloatArray, Fraction, Metre

GRID_STEP: Final = 10.0
"""[m] Step of the profile heights are smoothed on."""
GRADE_NOISE: Final = 0.003
"""Standard deviation of grade that height noise may leave; assumption: 3 W in 1,000 at 90 kg and 4 m/s."""
SHORTEST_WAVELENGTH: Final = 60.0
"""[m] Undulations shorter than this are always halved at least; assumption."""
LONGEST_WAVELENGTH: Final = 600.0
"""[m] However noisy the heights, longer undulations stay; assumption."""
BUMP: Final = 4.0
"""[m] Heights closer to a smooth course are always believed; assumption."""
BUMP_SPREADS: Final = 6.0
"""Robust standard deviations from a smooth course beyond which a height is not believed; assumption."""
BUMP_WAVELENGTH: Final = 200.0
"""[m] Of that course."""
DENSE: Final = 1.0 / 3.0
"""Share of 10 m cells with a height below which no height is doubted: there is too little to compare."""
DEAD_BAND: Final = 3.0
"""[m] Rises smaller than this do not count as ascent; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """Smoothed height over distance on an even grid."""

    distance: FloatArray
    """(grid,) [m]"""
    altitude: FloatArray
    """(grid,) [m]"""
    grade: FloatArray
    """(grid,) rise over run."""
    noise: Metre
    """Standard deviation of the recorded heights about the profile, from their third differences."""
    wavelength: Metre
    """Undulations of this length are halved by the smoothing."""
    bump: npt.NDArray[np.bool_]
    """(grid,) where recorded heights were not believed and bridged."""

    def altitude_at(self, distance: FloatArray) -> FloatArray:
        """Height [m] at distances [m] of any shape; the ends hold beyond the ends."""
        return np.asarray(np.interp(distance, self.distance, self.altitude), dtype=float)

    def grade_at(self, distance: FloatArray) -> FloatArray:
        """Grade at distances [m] of any shape."""
        return np.asarray(np.interp(distance, self.distance, self.grade), dtype=float)


def profile_of(distance: FloatArray, altitude: FloatArray) -> Profile:
    """Smooth recorded heights over distance, the more the noisier they are.

    Args:
        distance: (points,) never falling. [m]
        altitude: (points,) NaN where missing, at least one finite. [m]

    Returns:
        The profile from the first distance to the last.

    Raises:
        InputError: If no altitude is finite.

    Notes:
        Heights are averaged over cells of ``GRID_STEP`` (a standing rider's many samples count once) and
        freed of single spikes by a median of three cells. Cells farther than ``BUMP`` and ``BUMP_SPREADS``
        usual deviations from a smooth course of 200 m wavelength, fitted without them, are bridged: a
        pressure sensor passed by a lorry, not a road. The rest is smoothed with a penalty on kinks whose
        strength leaves ``GRADE_NOISE`` of grade noise: for white noise σ per cell of length Δ it passes
        σ_G² = (σ/Δ)² λ^(-3/4) / (8 √2), so λ = [(σ/(Δ σ_G))² / (8 √2)]^(4/3).
    """
    if not np.isfinite(altitude).any():
        raise InputError("altitude_m", "missing", "given at one point at least")
    grid, heights, step, held = _averaged(distance, altitude)
    noise = max(_noise(heights), _resolution(altitude) / np.sqrt(12.0))
    strength = _strength(noise, step)
    calm = _without_spikes(heights)
    bump = _bumps(calm, step) if held > DENSE else np.zeros(len(calm), dtype=bool)
    level = smoothed(np.where(bump, np.nan, calm), strength)
    slope = np.gradient(level, grid) if len(grid) > 1 else np.zeros(1)
    wavelength = 2.0 * np.pi * step * strength**0.25
    return Profile(distance=grid, altitude=level, grade=slope, noise=noise, wavelength=wavelength, bump=bump)


def ascent(altitude: FloatArray, *, dead_band: Metre = DEAD_BAND) -> Metre:
    """Climb along a series of heights, counting only rises of the dead band or more.

    Args:
        altitude: (points,) finite. [m]
        dead_band: 0 or more; 0 sums every rise. [m]

    Returns:
        Sum of rises. [m]

    Notes:
        An anchor follows the heights in steps of the dead band or more; each upward step counts whole. Each
        hill so loses up to the dead band at its foot and at its top.

    Examples:
        >>> ascent(np.array([12.0, 17, 15, 20, 22, 18, 15, 16, 14, 12]), dead_band=0.0)
        13.0
        >>> ascent(np.array([0.0, 2, 4, 6, 5, 3, 0, 4, 9, 8, 12]), dead_band=5.0)
        15.0
    """
    if dead_band < 0:
        raise InputError("dead_band_m", dead_band, "0 or more")
    heights = altitude.tolist()
    climbed, anchor = 0.0, heights[0] if heights else 0.0
    for height in heights:
        if height >= anchor + dead_band:
            climbed += height - anchor
            anchor = height
        elif height <= anchor - dead_band:
            anchor = height
    return climbed


def descent(altitude: FloatArray, *, dead_band: Metre = DEAD_BAND) -> Metre:
    """Fall along a series of heights [m]: the ascent of the way back, so the two swap on reversal.

    Examples:
        >>> descent(np.array([10.0, 0.0, 4.0]))
        10.0
    """
    return ascent(altitude[::-1], dead_band=dead_band)


def _averaged(distance: FloatArray, altitude: FloatArray) -> tuple[FloatArray, FloatArray, Metre, Fraction]:
    """Heights on an even grid: grid, heights, step, share of cells that hold a point.

    Points are averaged cell by cell, in height and in place; straight lines join these means, go on beyond
    the first and last of them, and cross empty cells.
    """
    start, span = float(distance[0]), float(distance[-1] - distance[0])
    cells = max(round(span / GRID_STEP), 1)
    step = span / cells if span > 0 else GRID_STEP
    present = np.isfinite(altitude)
    cell = np.clip(np.rint((distance[present] - start) / step).astype(int), 0, cells)
    count = np.bincount(cell, minlength=cells + 1)
    held = count > 0
    place = np.bincount(cell, weights=distance[present], minlength=cells + 1)[held] / count[held]
    height = np.bincount(cell, weights=altitude[present], minlength=cells + 1)[held] / count[held]
    grid = start + step * np.arange(cells + 1, dtype=float)
    return grid, _joined(grid, place, height), step, float(held.mean())


def _joined(grid: FloatArray, place: FloatArray, height: FloatArray) -> FloatArray:
    """Straight lines through the points, beyond the ends by less than a grid step."""
    level = np.interp(grid, place, height)
    if len(place) > 1:
        near = np.clip(grid, place[0] - (grid[1] - grid[0]), place[-1] + (grid[1] - grid[0]))
        first, last = near < place[0], near > place[-1]
        level[first] += (near[first] - place[0]) * (height[1] - height[0]) / (place[1] - place[0])
        level[last] += (near[last] - place[-1]) * (height[-1] - height[-2]) / (place[-1] - place[-2])
    return np.asarray(level, dtype=float)


def _noise(heights: FloatArray) -> Metre:
    """White noise per cell from third differences, whose variance is 20 σ²; robust against spikes."""
    wiggle = np.diff(heights, 3)
    if len(wiggle) == 0:
        return 0.0
    return float(np.median(np.abs(wiggle)) / 0.6745 / np.sqrt(20.0))


def _resolution(altitude: FloatArray) -> Metre:
    """The step heights were rounded to: the smallest change that occurs often."""
    change = np.abs(np.diff(altitude[np.isfinite(altitude)]))
    change = change[change > 1e-6]
    return float(np.quantile(change, 0.05)) if len(change) else 0.0


def _strength(noise: Metre, step: Metre) -> float:
    wanted = float(((noise / (step * GRADE_NOISE)) ** 2 / (8.0 * np.sqrt(2.0))) ** (4.0 / 3.0))
    lowest, highest = (strength_of_wavelength(w, step) for w in (SHORTEST_WAVELENGTH, LONGEST_WAVELENGTH))
    return min(max(wanted, lowest), highest)


def _without_spikes(heights: FloatArray) -> FloatArray:
    """Median of each cell and its two neighbours; the ends stay."""
    calm = heights.copy()
    if len(heights) > 2:
        calm[1:-1] = np.median(np.stack([heights[:-2], heights[1:-1], heights[2:]]), axis=0)
    return calm


def _bumps(heights: FloatArray, step: Metre) -> npt.NDArray[np.bool_]:
    """Cells that do not fit a smooth course through the others; found in a few rounds."""
    bump = np.zeros(len(heights), dtype=bool)
    strength = strength_of_wavelength(BUMP_WAVELENGTH, step)
    for _ in range(6):
        believed = np.where(bump, np.nan, heights)
        if np.isfinite(believed).sum() < 3:
            return np.zeros(len(heights), dtype=bool)
        off = np.abs(heights - smoothed(believed, strength))
        spread = 1.4826 * float(np.median(off))
        found = off > max(BUMP, BUMP_SPREADS * spread)
        if np.array_equal(found, bump):
            break
        bump = found
    wide = bump.copy()  # a cell beside a bump holds half of its edge
    wide[1:] |= bump[:-1]
    wide[:-1] |= bump[1:]
    return wide
