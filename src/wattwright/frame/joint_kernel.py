"""The compiled inner loop of the search: whether stacks can be put so that no two are in each other's way.

Two convex pieces of which each slides along a line of its own come too near over a convex set of offsets: the
part of the plane of both offsets that the rounded Minkowski difference of the two takes. So a whole rectangle
of offsets is out as soon as its four corners lie in one such set, and what is not out is halved. Where three
stacks or more are not settled so soon, each two are written out offset by offset (at one offset of the first
such a set is an interval of the second) and the offsets tried one after another. Readable arrays are prepared
in ``joint.py``.
"""

import numba
import numpy as np
import numpy.typing as npt

from wattwright.units import FloatArray

IntArray = npt.NDArray[np.int64]

CORNERS = 8
"""A Minkowski difference of two pieces of four corners has eight at most."""
TOUCHING = 1e-9
DEEPEST = 512
ENOUGH = 64
"""Rectangles after which three stacks or more are tried offset by offset."""


@numba.njit(cache=True)
def start_corner(piece: FloatArray) -> int:
    """Index of the lowest corner of a piece, the leftmost of those."""
    best = 0
    for k in range(1, 4):
        lower = piece[k, 1] < piece[best, 1]
        if lower or (piece[k, 1] == piece[best, 1] and piece[k, 0] < piece[best, 0]):
            best = k
    return best


@numba.njit(cache=True)
def difference_of(one: FloatArray, other: FloatArray, found: FloatArray) -> int:
    """Corners of ``other`` less ``one``, counter-clockwise, into ``found``; returns how many."""
    turned = -one  # turned half round it is counter-clockwise still
    i0, j0 = start_corner(turned), start_corner(other)
    x, y = turned[i0, 0] + other[j0, 0], turned[i0, 1] + other[j0, 1]
    i = j = count = 0
    while i < 4 or j < 4:
        ax = ay = bx = by = 0.0
        if i < 4:
            ax = turned[(i0 + i + 1) % 4, 0] - turned[(i0 + i) % 4, 0]
            ay = turned[(i0 + i + 1) % 4, 1] - turned[(i0 + i) % 4, 1]
            if ax == 0.0 and ay == 0.0:
                i += 1
                continue
        if j < 4:
            bx = other[(j0 + j + 1) % 4, 0] - other[(j0 + j) % 4, 0]
            by = other[(j0 + j + 1) % 4, 1] - other[(j0 + j) % 4, 1]
            if bx == 0.0 and by == 0.0:
                j += 1
                continue
        found[count, 0], found[count, 1] = x, y
        count += 1
        if j >= 4 or (i < 4 and ax * by - ay * bx >= 0.0):
            x, y = x + ax, y + ay
            i += 1
        else:
            x, y = x + bx, y + by
            j += 1
    return count


@numba.njit(cache=True)
def signed_distance(x: float, y: float, corners: FloatArray, count: int) -> float:
    """Distance of a point from a convex outline; negative inside."""
    depth, near = 1e300, 1e300
    inside = True
    for k in range(count):
        x0, y0 = corners[k, 0], corners[k, 1]
        nxt = k + 1 if k + 1 < count else 0
        ex, ey = corners[nxt, 0] - x0, corners[nxt, 1] - y0
        length = ex * ex + ey * ey
        if length == 0.0:
            continue
        px, py = x - x0, y - y0
        across = (ex * py - ey * px) / np.sqrt(length)
        if across < 0.0:
            inside = False
        depth = min(depth, across)
        share = min(1.0, max(0.0, (ex * px + ey * py) / length))
        dx, dy = px - share * ex, py - share * ey
        near = min(near, dx * dx + dy * dy)
    return -depth if inside else np.sqrt(near)


@numba.njit(cache=True)
def pair_sets(  # noqa: PLR0917 (compiled: arrays, no records)
    a: int,
    b: int,
    quads: FloatArray,
    across: FloatArray,
    role: IntArray,
    first: IntArray,
    spare: float,
    sets: FloatArray,
    facts: FloatArray,
) -> int:
    """The sets of offsets at which candidates a and b are in each other's way; returns how many.

    ``facts`` of each: corners, distance to keep, whether a's and b's piece moves, and which condition it
    belongs to: 0 solid against solid, 1 … ways off of a, 11 … ways off of b.
    """
    count = 0
    for i in range(first[a], first[a + 1]):
        for j in range(first[b], first[b + 1]):
            if role[i, 0] and role[j, 0]:
                continue  # two ways off may cross: one stack comes off while the other stays
            keep = 0.0 if role[i, 0] or role[j, 0] else spare
            if across[i, 0] - keep >= across[j, 1] or across[i, 1] + keep <= across[j, 0]:
                continue
            facts[count, 0] = difference_of(quads[i], quads[j], sets[count])
            facts[count, 1] = keep
            facts[count, 2] = role[i, 1]
            facts[count, 3] = role[j, 1]
            facts[count, 4] = role[i, 0] or (10 + role[j, 0] if role[j, 0] else 0)
            count += 1
    return count


@numba.njit(cache=True)
def corner_answers(  # noqa: C901, PLR0912, PLR0917 (one compiled loop)
    sets: FloatArray,
    facts: FloatArray,
    count: int,
    ways: FloatArray,
    along: FloatArray,
    s: FloatArray,
    t: FloatArray,
    out: IntArray,
) -> bool:
    """For the four pairs of offsets (s, t): which are in each other's way; True where one set holds them all.

    ``ways`` holds the number of ways off of a and of b, ``along`` both directions.
    """
    out[:] = 0
    blocked = np.zeros((2, 3, 4), dtype=np.int64)
    all_blocked = np.zeros((2, 3), dtype=np.int64)
    for k in range(count):
        held = 0
        hit = np.zeros(4, dtype=np.int64)
        for c in range(4):
            x = facts[k, 2] * s[c // 2] * along[0, 0] - facts[k, 3] * t[c % 2] * along[1, 0]
            y = facts[k, 2] * s[c // 2] * along[0, 1] - facts[k, 3] * t[c % 2] * along[1, 1]
            if signed_distance(x, y, sets[k], int(facts[k, 0])) < facts[k, 1] - TOUCHING:
                hit[c] = 1
                held += 1
        rule = int(facts[k, 4])
        if rule == 0:
            if held == 4:
                out[:] = 1
                return True
            out[:] |= hit
        else:
            whose, way = (0, rule - 1) if rule < 10 else (1, rule - 11)
            blocked[whose, way] |= hit
            if held == 4:
                all_blocked[whose, way] = 1
    for whose in range(2):
        number = int(ways[whose])
        if number == 0:
            continue
        every = 0
        for way in range(number):
            every += all_blocked[whose, way]
        if every == number:
            out[:] = 1
            return True
        for c in range(4):
            shut = 0
            for way in range(number):
                shut += blocked[whose, way, c]
            if shut == number:
                out[c] = 1
    return False


@numba.njit(cache=True)
def interval_of(  # noqa: C901, PLR0912, PLR0917 (one compiled loop)
    corners: FloatArray, count: int, reach: float, x: float, y: float, dx: float, dy: float
) -> tuple[float, float]:
    """Where (x, y) + t · (dx, dy) lies within ``reach`` of a convex outline; low above high where nowhere.

    (dx, dy) is a unit vector, or nothing at all.
    """
    low, high = 1e300, -1e300
    if dx == 0.0 and dy == 0.0:
        return (-1e300, 1e300) if signed_distance(x, y, corners, count) < reach - TOUCHING else (low, high)
    if reach <= TOUCHING:
        low, high = -1e300, 1e300
        for k in range(count):
            nxt = k + 1 if k + 1 < count else 0
            ex, ey = corners[nxt, 0] - corners[k, 0], corners[nxt, 1] - corners[k, 1]
            length = np.sqrt(ex * ex + ey * ey)
            if length == 0.0:
                continue
            here = (ex * (y - corners[k, 1]) - ey * (x - corners[k, 0])) / length - TOUCHING
            speed = (ex * dy - ey * dx) / length
            if abs(speed) < 1e-12:
                if here <= 0.0:
                    return 1e300, -1e300
            elif speed > 0.0:
                low = max(low, -here / speed)
            else:
                high = min(high, -here / speed)
        return low, high
    radius = reach - TOUCHING
    for k in range(count):
        nxt = k + 1 if k + 1 < count else 0
        px, py = corners[k, 0] - x, corners[k, 1] - y
        middle, aside = px * dx + py * dy, px * dy - py * dx
        if aside * aside <= radius * radius:
            half = np.sqrt(radius * radius - aside * aside)
            low, high = min(low, middle - half), max(high, middle + half)
        ex, ey = corners[nxt, 0] - corners[k, 0], corners[nxt, 1] - corners[k, 1]
        length = np.sqrt(ex * ex + ey * ey)
        if length == 0.0:
            continue
        for sign in (-1.0, 1.0):
            # The side moved out by the radius crosses the line at t, at a share of the side's length.
            qx, qy = px - sign * radius * ey / length, py + sign * radius * ex / length
            cross = dx * ey - dy * ex
            if abs(cross) > 1e-12 * length:
                share = (dy * qx - dx * qy) / cross
                if 0.0 <= share <= 1.0:
                    t = (qx + share * ex) * dx + (qy + share * ey) * dy
                    low, high = min(low, t), max(high, t)
    return low, high


@numba.njit(cache=True)
def allowed_pairs(  # noqa: C901, PLR0917 (one compiled loop)
    sets: FloatArray,
    facts: FloatArray,
    count: int,
    ways: FloatArray,
    along: FloatArray,
    s: FloatArray,
    t: FloatArray,
) -> "npt.NDArray[np.uint8]":
    """For every offset of the one and every offset of the other: 1 where the two can be together."""
    good = np.ones((len(s), len(t)), dtype=np.uint8)
    shut = np.zeros((2, 3, len(t)), dtype=np.uint8)
    for row in range(len(s)):
        shut[:] = 0
        for k in range(count):
            x, y = facts[k, 2] * s[row] * along[0, 0], facts[k, 2] * s[row] * along[0, 1]
            dx, dy = -facts[k, 3] * along[1, 0], -facts[k, 3] * along[1, 1]
            low, high = interval_of(sets[k], int(facts[k, 0]), facts[k, 1], x, y, dx, dy)
            if low >= high:
                continue
            begin, end = np.searchsorted(t, low, side="right"), np.searchsorted(t, high, side="left")
            rule = int(facts[k, 4])
            for column in range(begin, end):
                if rule == 0:
                    good[row, column] = 0
                elif rule < 10:
                    shut[0, rule - 1, column] = 1
                else:
                    shut[1, rule - 11, column] = 1
        for whose in range(2):
            number = int(ways[whose])
            for column in range(len(t)) if number else range(0):
                blocked = 0
                for way in range(number):
                    blocked += shut[whose, way, column]
                if blocked == number:
                    good[row, column] = 0
    return good


@numba.njit(cache=True)
def offset_by_offset(  # noqa: C901, PLR0917 (one compiled loop)
    chosen: IntArray,
    sets: FloatArray,
    facts: FloatArray,
    counts: IntArray,
    ways: FloatArray,
    along: FloatArray,
    places: FloatArray,
    place_first: IntArray,
    answer: IntArray,
) -> bool:
    """Places at which all can be together, into ``answer``: tried one after another, none left out."""
    k = len(chosen)
    sizes = np.zeros(k, dtype=np.int64)
    for n in range(k):
        sizes[n] = place_first[chosen[n] + 1] - place_first[chosen[n]]
    most = sizes.max()
    good = np.zeros((k, k, most, most), dtype=np.uint8)
    p = 0
    for i in range(k):
        for j in range(i + 1, k):
            s = places[place_first[chosen[i]] : place_first[chosen[i] + 1]]
            t = places[place_first[chosen[j]] : place_first[chosen[j] + 1]]
            good[i, j, : sizes[i], : sizes[j]] = allowed_pairs(
                sets[p], facts[p], counts[p], ways[p], along[p], s, t
            )
            p += 1
    left = np.zeros((k, k, most), dtype=np.uint8)
    for n in range(k):
        left[0, n, : sizes[n]] = 1
    answer[:k] = -1
    level = 0
    while level >= 0:
        answer[level] += 1
        while answer[level] < sizes[level] and not left[level, level, answer[level]]:
            answer[level] += 1
        if answer[level] >= sizes[level]:
            answer[level] = -1
            level -= 1
            continue
        if level == k - 1:
            return True
        alive = True
        for n in range(level + 1, k):
            some = 0
            for place in range(sizes[n]):
                value = left[level, n, place] & good[level, n, answer[level], place]
                left[level + 1, n, place] = value
                some |= value
            if not some:
                alive = False
                break
        if alive:
            level += 1
    return False


@numba.njit(cache=True)
def together(  # noqa: C901, PLR0912, PLR0915, PLR0917 (one compiled loop)
    chosen: IntArray,
    quads: FloatArray,
    across: FloatArray,
    role: IntArray,
    first: IntArray,
    ways: IntArray,
    along: FloatArray,
    places: FloatArray,
    place_first: IntArray,
    spare: float,
    answer: IntArray,
) -> int:
    """Places at which all chosen candidates can be together, into ``answer``.

    Returns:
        Rectangles looked at; negative where they cannot be together at any of their places.
    """
    k = len(chosen)
    most = 0
    for n in range(k):
        most = max(most, first[chosen[n] + 1] - first[chosen[n]])
    pairs = k * (k - 1) // 2
    sets = np.zeros((pairs, most * most, CORNERS, 2))
    facts = np.zeros((pairs, most * most, 5))
    counts = np.zeros(pairs, dtype=np.int64)
    both_ways = np.zeros((pairs, 2))
    both_along = np.zeros((pairs, 2, 2))
    p = 0
    for i in range(k):
        for j in range(i + 1, k):
            a, b = chosen[i], chosen[j]
            counts[p] = pair_sets(a, b, quads, across, role, first, spare, sets[p], facts[p])
            both_ways[p, 0], both_ways[p, 1] = ways[a], ways[b]
            both_along[p, 0], both_along[p, 1] = along[a], along[b]
            p += 1
    stack = np.zeros((DEEPEST, k, 2), dtype=np.int64)
    for n in range(k):
        stack[0, n, 1] = place_first[chosen[n] + 1] - place_first[chosen[n]] - 1
    table = np.zeros((pairs, 4), dtype=np.int64)
    s, t = np.zeros(2), np.zeros(2)
    height, looked = 1, 0
    while height > 0:
        height -= 1
        box = stack[height].copy()
        looked += 1
        if k > 2 and looked > ENOUGH:
            good = offset_by_offset(
                chosen, sets, facts, counts, both_ways, both_along, places, place_first, answer
            )
            return looked if good else -looked
        out = False
        widest, size = -1, 0
        p = 0
        for i in range(k):
            for j in range(i + 1, k):
                base_i, base_j = place_first[chosen[i]], place_first[chosen[j]]
                s[0], s[1] = places[base_i + box[i, 0]], places[base_i + box[i, 1]]
                t[0], t[1] = places[base_j + box[j, 0]], places[base_j + box[j, 1]]
                out = corner_answers(
                    sets[p], facts[p], counts[p], both_ways[p], both_along[p], s, t, table[p]
                )
                if out:
                    break
                if table[p].any():  # only stacks that meet are worth halving
                    for n in (i, j):
                        if box[n, 1] - box[n, 0] > size:
                            widest, size = n, box[n, 1] - box[n, 0]
                p += 1
            if out:
                break
        if out:
            continue
        for mask in range(1 << k):
            good = True
            p = 0
            for i in range(k):
                for j in range(i + 1, k):
                    if table[p, ((mask >> i) & 1) * 2 + ((mask >> j) & 1)]:
                        good = False
                    p += 1
            if good:
                for n in range(k):
                    answer[n] = box[n, (mask >> n) & 1]
                return looked
        if size < 2:
            continue  # every place of the stacks that meet was a corner, and no other is in their way there
        middle = (box[widest, 0] + box[widest, 1]) // 2
        stack[height] = box
        stack[height, widest, 0] = middle
        stack[height + 1] = box
        stack[height + 1, widest, 1] = middle
        height += 2
    return -looked


@numba.njit(cache=True)
def first_that_goes(  # noqa: PLR0917 (compiled: arrays, no records)
    chosen: IntArray,
    candidates: IntArray,
    known: IntArray,
    quads: FloatArray,
    across: FloatArray,
    role: IntArray,
    first: IntArray,
    ways: IntArray,
    along: FloatArray,
    places: FloatArray,
    place_first: IntArray,
    spare: float,
) -> int:
    """The first of ``candidates`` that goes with each of ``chosen``, two by two; −1 where none does.

    ``known`` remembers pairs: 0 not asked, 1 they go together, 2 they do not.
    """
    pair, answer = np.zeros(2, dtype=np.int64), np.zeros(2, dtype=np.int64)
    for number in range(len(candidates)):
        j = candidates[number]
        good = True
        for i in chosen:
            if known[i, j] == 0:
                pair[0], pair[1] = i, j
                looked = together(
                    pair, quads, across, role, first, ways, along, places, place_first, spare, answer
                )
                known[i, j] = known[j, i] = 1 if looked > 0 else 2
            if known[i, j] == 2:
                good = False
                break
        if good:
            return number
    return -1
