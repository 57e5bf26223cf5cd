"""Loads at the fixings: check rows of the reference sheet, statics, and what holds and what does not."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from frame_examples import ON_BANDS, ON_BOSSES, SHELF, frame_of, placed
from reference_values import reference
from wattwright.errors import InputError, NotInCatalogueError
from wattwright.files.fixing_file import fastener_strengths
from wattwright.frame.fixing_checks import FixingLoads, LoadCheck, fixing_loads
from wattwright.frame.holding import thread_diameter
from wattwright.frame.loads import Push, group_loads, placement_mass, preload, push_of, stress_area
from wattwright.frame.room import room_of
from wattwright.frame.survey import Boss, Side
from wattwright.parts.fixing import Insert, Material, Shock
from wattwright.working import Source, Standing

GRAVITY = 9.80665
ROOM = room_of(frame_of())


def test_stress_areas_of_the_check_row() -> None:
    """F1: ISO 898-1 form."""
    row = reference("F1")

    assert 1e6 * stress_area(0.005, 0.0008) == row.approx(0)
    assert 1e6 * stress_area(0.006, 0.001) == row.approx(1)


def test_preload_and_its_shares_of_the_check_row() -> None:
    """F2: 4 N·m on M5 at K 0.2: 4000 N, 62.7 % of A2-70's 0.2 % limit, 48.6 % of 8.8 proof load."""
    row, force = reference("F2"), preload(4.0, 0.005, 0.2)

    assert force == row.approx(0)
    # The row's share is of the computed area; the table's 6390 N come of the rounded 14.2 mm²: 62.6 %.
    assert 100 * force / (stress_area(0.005, 0.0008) * 450e6) == pytest.approx(62.7, abs=0.05)
    assert 100 * force / SHELF.strength("M5x0.8", "A2-70").proof_force == pytest.approx(62.6, abs=0.05)
    assert 100 * force / SHELF.strength("M5x0.8", "8.8").proof_force == pytest.approx(48.6, abs=0.05)


def test_guideline_preload_torque_and_the_factor_they_imply() -> None:
    """F3: guideline table for A2-70; K = T / (F d) 0.2134 and 0.2135 within 1 %."""
    row = reference("F3")
    for thread in ("M5x0.8", "M6x1"):
        strength = SHELF.strength(thread, "A2-70")
        assert strength.preload is not None
        assert strength.torque is not None
        implied = strength.torque / (strength.preload * strength.diameter)
        assert implied == pytest.approx(0.2134, rel=0.01)
        assert preload(strength.torque, strength.diameter, implied) == pytest.approx(strength.preload)
    assert row.expected.startswith("4030 N 4.3 N m; 5700 N 7.3 N m")
    assert (SHELF.strength("M5x0.8", "A2-70").preload, SHELF.strength("M5x0.8", "A2-70").torque) == (
        4030,
        4.3,
    )
    assert (SHELF.strength("M6x1", "A2-70").preload, SHELF.strength("M6x1", "A2-70").torque) == (5700, 7.3)


@pytest.mark.parametrize(
    ("factor", "diameter", "expected"),
    [(0.20, 0.005, 4000), (0.20, 0.006, 3333), (0.15, 0.005, 5333), (0.15, 0.006, 4444)],
)
def test_preload_dry_and_greased(factor: float, diameter: float, expected: float) -> None:
    """Topic 9: T = K d F at 4 N·m, K 0.20 and 0.15, M5 and M6."""
    assert preload(4.0, diameter, factor) == pytest.approx(expected, abs=0.5)


TABULATED = {
    "M5x0.8": (14.2, 4400, 6250, 8230, 11800, 13800, 6390, 8520),
    "M6x1": (20.1, 6230, 8840, 11600, 16700, 19500, 9040, 12060),
}
"""Topic 9 and fasteners.csv of the reference sheet: stress area, proof loads by class."""


@pytest.mark.parametrize("thread", sorted(TABULATED))
def test_the_shipped_table_of_screws_is_that_of_the_reference_sheet(thread: str) -> None:
    """ISO 898-1 as reprinted; stainless by area × 450 and 600 MPa (ISO 3506-1)."""
    classes = ("4.8", "6.8", "8.8", "10.9", "12.9", "A2-70", "A4-80")
    rows = {row.property_class: row for row in fastener_strengths() if row.thread == thread}
    area, *proofs = TABULATED[thread]

    assert [rows[name].proof_force for name in classes] == proofs
    assert all(1e6 * row.stress_area == pytest.approx(area) for row in rows.values())
    assert 1e6 * stress_area(rows["8.8"].diameter, rows["8.8"].pitch) == pytest.approx(area, rel=2e-3)
    assert rows["A2-70"].proof_force == pytest.approx(area * 450, rel=1e-3)
    assert rows["A4-80"].proof_force == pytest.approx(area * 600, rel=1e-3)


# --- arithmetic of topic 9 ----------------------------------------------------------------------------------


def test_prying_of_the_worked_example() -> None:
    """Topic 9: 2.5 kg at 5 g, centre 60 mm off bosses 64 mm apart: 114.9 N per screw."""
    push = Push(along=2.5 * 5 * GRAVITY, outward=0.0, sideways=0.0)
    first, last = group_loads(push, (0.032, 0.060), (0.0, 0.064), 0.015)

    assert first.pull == pytest.approx(114.9, abs=0.05)
    assert last.pull == 0.0


def test_shear_and_friction_of_the_worked_example() -> None:
    """Topic 9: 2.5 kg at 8 g is 196 N in shear; two M5 at 3000 N with μ 0.15 hold 900 N."""
    push = Push(along=2.5 * 8 * GRAVITY, outward=0.0, sideways=0.0)
    shares = group_loads(push, (0.032, 0.0), (0.0, 0.064), 0.015)

    assert sum(load.shear for load in shares) == pytest.approx(196, abs=0.2)
    assert 0.15 * 2 * preload(3.0, 0.005, 0.2) == pytest.approx(900)


forces = st.floats(-500, 500)


@given(
    along=forces, outward=forces, places=st.lists(st.floats(0, 0.4), min_size=2, max_size=5, unique=True),
    s=st.floats(-0.1, 0.5), h=st.floats(0, 0.2),
)  # fmt: skip
def test_fixings_that_pull_are_in_balance_with_the_push(
    along: float, outward: float, places: list[float], s: float, h: float
) -> None:
    """Law: where every fixing pulls, their sum is the outward push and their moment that of the push."""
    if max(places) - min(places) < 0.02:
        return
    # A large outward push on the middle keeps all of them pulling, so that none is cut off at 0.
    push = Push(along=along, outward=outward + 1e5, sideways=0.0)
    middle = sum(places) / len(places)
    loads = group_loads(push, (middle + 0.001 * s, h), places, 0.015)
    if min(load.pull for load in loads) == 0:
        return

    assert sum(load.pull for load in loads) == pytest.approx(push.outward)
    moment = sum(load.pull * load.s for load in loads)
    assert moment == pytest.approx(push.outward * (middle + 0.001 * s) - along * h, rel=1e-9)


@given(
    side=forces,
    places=st.lists(st.floats(0, 0.4), min_size=2, max_size=4, unique=True),
    h=st.floats(0.01, 0.2),
)
def test_a_sideways_push_pries_about_the_foots_edge(side: float, places: list[float], h: float) -> None:
    """Law: pull times half the foot's width balances the push times its height."""
    if max(places) - min(places) < 0.02:
        return
    loads = group_loads(
        Push(along=0.0, outward=0.0, sideways=side), (sum(places) / len(places), h), places, 0.015
    )

    assert sum(load.pull for load in loads) * 0.015 == pytest.approx(abs(side) * h)
    assert sum(load.shear for load in loads) == pytest.approx(abs(side))


@given(mass=st.floats(0.5, 8), x=st.floats(-10, 10), y=st.floats(-10, 10))
def test_a_shock_turned_into_the_face_keeps_its_size(mass: float, x: float, y: float) -> None:
    shock = Shock(
        name="x", forward=x, upward=y, sideways=0.0, source=Source(text="x", standing=Standing.ASSUMPTION)
    )
    push = push_of(shock, mass, ROOM.faces["above down tube"])

    assert math.hypot(push.along, push.outward) == pytest.approx(mass * GRAVITY * math.hypot(x, y), abs=1e-9)


@given(wide=st.floats(0.03, 0.2), more=st.floats(0, 0.2))
def test_fixings_further_apart_are_pulled_less(wide: float, more: float) -> None:
    push = Push(along=100.0, outward=0.0, sideways=0.0)
    near, far = (group_loads(push, (0.0, 0.08), (0.0, gap), 0.015)[0].pull for gap in (wide, wide + more))

    assert far <= near + 1e-9


# --- a placement --------------------------------------------------------------------------------------------


def loaded(**changed: object) -> FixingLoads:
    return fixing_loads(ROOM, placed(**changed), SHELF)


def check(loads: FixingLoads, what: str) -> LoadCheck:
    return next(check for check in loads.checks if check.what == what)


def test_the_mass_and_where_it_is_by_hand() -> None:
    """Rail 0.14 kg at 116 mm, 8 mm up; four of 0.73 kg at 46 + 84 mm along, 16 + 71 mm up; offset 200 mm."""
    mass, (s, h) = placement_mass(placed())

    assert mass == pytest.approx(0.14 + 4 * 0.73)
    assert s == pytest.approx(0.200 + (0.14 * 0.116 + 2.92 * 0.130) / 3.06)
    assert h == pytest.approx((0.14 * 0.008 + 2.92 * 0.087) / 3.06)


def test_the_mass_of_a_stack_turned_round_lies_at_the_other_end() -> None:
    _, (s, _h) = placement_mass(placed(dock_first=False))

    assert s == pytest.approx(0.200 + (0.14 * 0.116 + 2.92 * (0.232 - 0.130)) / 3.06)


def test_screws_of_a_rail_on_bottle_bosses_checked_by_hand() -> None:
    """8 g down on 3.06 kg: 240.1 N; along the tube at 48.592° sin: 180.1 N down it.

    Preload at 4 N·m: 4000 N, 0.7 of it sure. Each screw takes half the shear; the pry pulls one screw by
    M / 64 mm.
    """
    loads = loaded()
    mass, (s, h) = placement_mass(placed())
    angle = math.atan2(486.538, 429.068)
    along, outward = -8 * mass * GRAVITY * math.sin(angle), -8 * mass * GRAVITY * math.cos(angle)
    middle = 0.312
    moment = outward * (s - middle) - along * h
    pulls = [max(0.0, outward / 2 + moment * arm / (2 * 0.032**2)) for arm in (-0.032, 0.032)]
    slip = check(loads, "slip under the carrier")
    shares = dict(loads.points)["pothole, 8 g down"]

    assert [load.pull for load in shares] == pytest.approx(pulls, rel=1e-5)
    assert sum(load.shear for load in shares) == pytest.approx(abs(along), rel=1e-5)
    assert loads.torque == 4.0
    asked = dict(loads.points)[slip.shock]
    assert slip.load == pytest.approx(sum(load.shear for load in asked))
    assert slip.capacity == pytest.approx(0.15 * (2 * 0.7 * 4000 - sum(load.pull for load in asked)))


def test_a_rail_of_four_holds_on_brazed_steel_bosses() -> None:
    assert all(check.holds for check in loaded().checks)


def test_the_torque_is_what_insert_and_screw_take() -> None:
    """Brazed steel 4 N·m, riveted aluminium 3, below the screw's guideline of 4.3 N·m."""
    riveted = tuple(
        Boss(tube="down tube", position=place, side=Side.ABOVE, insert=Insert.RIVETED)
        for place in (0.28, 0.344)
    )
    frame = frame_of(bosses=riveted)
    tubes = tuple(replace(tube, material=Material.ALUMINIUM) for tube in frame.tubes)
    room = room_of(replace(frame, tubes=tubes))

    assert loaded().torque == 4.0
    assert fixing_loads(room, placed(), SHELF).torque == 3.0


def test_a_weak_insert_is_found_out() -> None:
    """Its maker's own figure goes before the rules: 3000 N do not carry 4000 N of preload."""
    weak = tuple(
        Boss(tube="down tube", position=place, side=Side.ABOVE, pull_out=3000.0) for place in (0.28, 0.344)
    )
    loads = fixing_loads(room_of(frame_of(bosses=weak)), placed(), SHELF)

    assert not check(loads, "pull on the insert").holds
    assert check(loads, "pull on the insert").capacity == 3000.0
    assert (
        loads.checks[0].ratio / loads.checks[0].wanted
        <= min(c.ratio / c.wanted for c in loads.checks) + 1e-12
    )


def test_an_insert_no_rule_knows_is_refused() -> None:
    moulded = tuple(
        Boss(tube="down tube", position=place, side=Side.ABOVE, insert=Insert.MOULDED)
        for place in (0.28, 0.344)
    )
    with pytest.raises(NotInCatalogueError, match="moulded boss in steel"):
        fixing_loads(room_of(frame_of(bosses=moulded)), placed(), SHELF)


def test_bosses_without_a_screw_are_refused() -> None:
    with pytest.raises(InputError, match="screw"):
        loaded(fixing=replace(ON_BOSSES, screw=None))


def test_a_placement_that_is_not_held_has_no_loads() -> None:
    with pytest.raises(InputError, match="at least two that hold"):
        loaded(offset=0.30)


def test_bands_are_checked_for_lifting_sliding_and_turning() -> None:
    loads = loaded(fixing=ON_BANDS, offset=0.22)

    assert {check.what for check in loads.checks} == {
        "lifting off under a band", "sliding along the tube", "turning around the tube",
    }  # fmt: skip
    assert loads.torque == 3.0


def test_turning_around_the_tube_by_hand() -> None:
    """2 g sideways on the mass at its height over the tube's middle; bands hold at the tube's radius."""
    loads = loaded(fixing=ON_BANDS, offset=0.22)
    turn = check(loads, "turning around the tube")
    mass, (_, h) = placement_mass(placed(fixing=ON_BANDS, offset=0.22))

    assert turn.load == pytest.approx(2 * GRAVITY * mass * (h + 0.0159))


@given(modules=st.integers(1, 4))
def test_more_modules_load_every_fixing_no_less(modules: int) -> None:
    few, many = loaded(modules=modules - 1), loaded(modules=modules)

    assert many.mass > few.mass
    for what in ("slip under the carrier", "gap under a screw"):
        assert check(many, what).load >= check(few, what).load - 1e-9


def test_a_load_of_nothing_has_no_end_of_margin() -> None:
    idle = LoadCheck(what="x", shock="y", where=0.0, load=0.0, capacity=1.0, wanted=1.5)

    assert idle.ratio == math.inf
    assert idle.holds


@pytest.mark.parametrize(
    ("torque", "diameter", "factor", "field"),
    [
        (-1.0, 0.005, 0.2, "torque_nm"),
        (4.0, 0.0, 0.2, "diameter_mm"),
        (4.0, 0.005, 0.0, "factor"),
        (math.nan, 0.005, 0.2, "torque_nm"),
    ],
)
def test_torques_and_threads_that_cannot_be(
    torque: float, diameter: float, factor: float, field: str
) -> None:
    with pytest.raises(InputError, match=field):
        preload(torque, diameter, factor)


def test_fixings_at_one_place_are_refused() -> None:
    with pytest.raises(InputError, match="at least two, at different places"):
        group_loads(Push(along=1.0, outward=0.0, sideways=0.0), (0.0, 0.0), (0.1, 0.1), 0.015)


def test_threads_are_read_from_their_names() -> None:
    assert [thread_diameter(name) for name in ("M5x0.8", "M6x1", "M3.5x0.6")] == [0.005, 0.006, 0.0035]
    with pytest.raises(ValueError, match="no metric thread"):
        thread_diameter("1/4-20")


def test_shocks_and_rules_name_their_sources() -> None:
    assert all(shock.source.text for shock in SHELF.shocks)
    assert all(rule.source.text for rule in SHELF.rules.prohibitions)
    assert {"friction", "scatter", "engagement", "minimum_spacing"} <= set(SHELF.rules.sources)
