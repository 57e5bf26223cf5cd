"""The pack as a network: hand-solved branches, Kirchhoff's laws, and the same network solved another way."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from stated import state
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.branches import PlacedModule, Stack, pack_of, parallel_sources
from wattwright.pack.cell import course_of
from wattwright.pack.network import Ask, Happening, many_packs, pack_course
from wattwright.pack.supply import supply_of
from wattwright.parts.battery_module import Chemistry
from wattwright.parts.supply import Supply
from wattwright.units import FloatArray

SUPPLY = supply_of(NICKEL_MODULE, 1, open_circuit_table(NICKEL_MODULE.chemistry).voltage)
REFERENCE = Path(__file__).resolve().parent.parent / "reference" / "network_liionpack.csv"


def flat_supply(
    rest: float, resistance: float, *, relaxation: float = 0.0, capacity: float = 7.2e9
) -> Supply:
    """A source whose rest voltage does not move."""
    return Supply(
        modules=1,
        open_circuit_voltage=np.full(2, rest),
        resistance=np.full(2, resistance),
        relaxation_resistance=np.full(2, relaxation),
        relaxation_time=20.0,
        capacity=capacity,
        protection=(),
        minimum_voltage=0.0,
        maximum_voltage=100.0,
        regeneration_current=0.0,
    )


def test_two_branches_share_as_solved_by_hand() -> None:
    """37.5 V behind 0.16 Ω and 37.0 V behind 0.24 Ω at 20 A: 35.38 V, 13.25 A, 6.75 A (check row C9)."""
    pair = parallel_sources([flat_supply(37.5, 0.16), flat_supply(37.0, 0.24)], charge=[0.5, 0.5])
    course = pack_course(pair, np.array([0.0]), np.array([20.0]))

    assert course.voltage[0] == pytest.approx(35.38, abs=1e-9)
    assert course.current[0] == pytest.approx([13.25, 6.75], abs=1e-9)


def test_a_power_is_met_as_solved_by_hand() -> None:
    """36 V behind 0.1 Ω at 500 W draws 14.4705 A (check row C8), also as two of twice the resistance."""
    pair = parallel_sources([flat_supply(36.0, 0.2)] * 2, charge=[0.5, 0.5])
    course = pack_course(pair, np.array([0.0]), np.array([500.0]), ask=Ask.POWER)

    assert course.drawn[0] == pytest.approx(14.4705, abs=1e-4)
    assert course.voltage[0] * course.drawn[0] == pytest.approx(500.0, abs=1e-9)


def test_a_power_beyond_the_ceiling_is_a_collapse_and_not_an_error() -> None:
    """V²/4R = 3240 W (check row C8) is given; 1 W more is not, and is said."""
    source = parallel_sources([flat_supply(36.0, 0.1)], charge=[0.5])
    time = np.array([0.0, 1.0, 2.0])
    course = pack_course(source, time, np.array([3240.0 - 1e-6, 3241.0, 100.0]), ask=Ask.POWER)

    assert course.served.tolist() == [True, False, True]
    assert course.drawn[1] == 0.0
    assert [event.happening for event in course.events] == [Happening.COLLAPSE]
    assert course.events[0].time == 1.0


def ladder_by_matrix(
    rest: FloatArray, inner: FloatArray, contacts: FloatArray, load: float
) -> tuple[float, FloatArray]:
    """Bus voltage and currents of a ladder by its full nodal matrix: another route to the same answer."""
    count = len(rest)
    matrix, right = np.zeros((count, count)), rest / inner
    for node in range(count):
        matrix[node, node] += 1.0 / inner[node]
        if node > 0:
            g = 1.0 / contacts[node]
            matrix[node, node] += g
            matrix[node - 1, node - 1] += g
            matrix[node, node - 1] -= g
            matrix[node - 1, node] -= g
    right[0] -= load
    nodes = np.linalg.solve(matrix, right)
    return float(nodes[0] - contacts[0] * load), (rest - nodes) / inner


@given(
    charges=st.lists(st.floats(0.05, 0.95), min_size=1, max_size=9),
    contact=st.floats(1e-4, 0.05),
    lead=st.floats(0.0, 0.1),
    load=st.floats(-20.0, 60.0),
)
@settings(max_examples=60, deadline=None)
def test_a_ladder_of_contacts_is_solved_as_by_its_full_matrix(
    charges: list[float], contact: float, lead: float, load: float
) -> None:
    stack = Stack(
        modules=tuple(PlacedModule(charge=charge) for charge in charges), contact=contact, lead=lead
    )
    course = pack_course(pack_of(SUPPLY, NICKEL_MODULE, [stack]), np.array([0.0]), np.array([load]))
    grid = np.linspace(0.0, 1.0, 101)
    rest = np.interp(charges, grid, SUPPLY.open_circuit_voltage)
    inner = np.interp(charges, grid, SUPPLY.resistance)
    contacts = np.full(len(charges), contact)
    contacts[0] += lead
    voltage, currents = ladder_by_matrix(rest, inner, contacts, load)
    if voltage <= 0.0:
        assert not course.served[0]
        return

    assert course.voltage[0] == pytest.approx(voltage, abs=1e-8)
    assert course.current[0] == pytest.approx(currents, abs=1e-8)


MODULES = st.builds(
    PlacedModule,
    charge=st.floats(0.2, 0.95),
    temperature=st.floats(263.15, 313.15),
    capacity_left=st.floats(0.6, 1.0),
    resistance_risen=st.floats(1.0, 2.5),
    lead=st.floats(0.0, 0.1),
)
PACKS = st.lists(
    st.builds(
        Stack,
        modules=st.lists(MODULES, min_size=1, max_size=4).map(tuple),
        contact=st.floats(0.0, 0.01),
        lead=st.floats(0.0, 0.05),
    ),
    min_size=1,
    max_size=3,
)
LOADS = st.lists(st.floats(-5.0, 15.0), min_size=2, max_size=12)


@given(stacks=PACKS, loads=LOADS)
@settings(max_examples=60, deadline=None)
def test_currents_sum_to_what_is_drawn(stacks: list[Stack], loads: list[float]) -> None:
    time = 5.0 * np.arange(len(loads))
    course = pack_course(pack_of(SUPPLY, NICKEL_MODULE, stacks), time, np.array(loads))

    assert course.current.sum(axis=1) == pytest.approx(course.drawn, abs=1e-9)
    assert course.drawn == pytest.approx(np.where(course.served, loads, 0.0), abs=1e-9)


@given(stacks=PACKS, load=st.floats(-5.0, 15.0))
@settings(max_examples=40, deadline=None)
def test_no_energy_appears(stacks: list[Stack], load: float) -> None:
    """Work at the pack's end and in every lead, contact and resistance is what the rest voltages gave.

    At each sample the power of the rest voltages (less what charges the RC pairs' capacitors) equals the
    power at the end plus I²R of every branch and contact, worked out here from charges and currents alone.
    """
    branches = pack_of(SUPPLY, NICKEL_MODULE, stacks)
    time = np.arange(0.0, 301.0, 2.0)
    course = pack_course(branches, time, np.full(len(time), load))
    grid = np.linspace(0.0, 1.0, 101)
    factor = branches.start[1]
    rest = np.interp(course.charge, grid, SUPPLY.open_circuit_voltage)
    series = np.interp(course.charge, grid, SUPPLY.resistance) * factor
    drop = rest - series * course.current - course.module_voltage
    source = (rest * course.current).sum(axis=1)
    inside = (series * course.current**2 + drop * course.current).sum(axis=1)
    leads = (branches.string_resistance * course.current**2).sum(axis=1)
    contacts = np.zeros(len(time))
    for node in range(len(branches.parent)):
        below = [node]
        for child in range(node + 1, len(branches.parent)):
            if branches.parent[child] in below:
                below.append(child)
        mine = np.isin(branches.string_node, below)
        contacts += branches.contact[node] * course.current[:, mine].sum(axis=1) ** 2
    balance = source - inside - leads - contacts - course.voltage * course.drawn

    # The tables of a step hold for the charge guessed for its end, 1e-4 beside it at most: 10 mV there.
    assert np.abs(balance).max() < 0.02 * max(1.0, np.abs(course.current).max())
    # Charge: what flowed out is what the charges fell by (exact for currents straight between samples).
    moved = np.trapezoid(course.current, time, axis=0) / branches.start[0]
    assert course.charge[0] - course.charge[-1] == pytest.approx(moved, abs=1e-10)


@given(stacks=PACKS, loads=LOADS, seed=st.integers(0, 1000))
@settings(max_examples=40, deadline=None)
def test_the_order_of_branches_does_not_matter(stacks: list[Stack], loads: list[float], seed: int) -> None:
    """Stacks may be named in any order; modules of a stack without contact resistance too."""
    order = np.random.default_rng(seed).permutation(len(stacks))
    time = 10.0 * np.arange(len(loads))
    first = pack_course(pack_of(SUPPLY, NICKEL_MODULE, stacks), time, np.array(loads))
    other = pack_course(pack_of(SUPPLY, NICKEL_MODULE, [stacks[at] for at in order]), time, np.array(loads))

    assert other.voltage == pytest.approx(first.voltage, abs=1e-6)
    assert np.sort(other.current, axis=1) == pytest.approx(np.sort(first.current, axis=1), abs=1e-6)


def test_equal_modules_fare_as_one_alone() -> None:
    """Six times the load over six is one time over one, to the solver of a single module."""
    time = np.arange(0.0, 1801.0)
    load = 3.0 + 2.0 * np.sin(time / 40.0)
    stack = Stack(modules=(PlacedModule(charge=0.9),) * 6)
    course = pack_course(pack_of(SUPPLY, NICKEL_MODULE, [stack]), time, 6.0 * load)
    alone = course_of(SUPPLY, time, load, charge=0.9)

    assert course.charge[:, 3] == pytest.approx(alone.charge, abs=1e-12)
    assert np.abs(course.voltage - alone.voltage).max() < 2e-3  # of 48 V: 0.15 mV a cell


def test_a_tenth_of_the_step_changes_little() -> None:
    """Unequal modules at 1 s and at 0.1 s: the step is of second order."""
    modules = tuple(PlacedModule(charge=charge) for charge in (0.95, 0.7, 0.5))
    branches = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=modules, contact=0.002)])
    found = []
    for step in (1.0, 0.1):
        time = np.linspace(0.0, 600.0, round(600 / step) + 1)
        load = 8.0 + 6.0 * np.sin(time / 30.0)
        course = pack_course(branches, time, load)
        found.append(course.current[:: round(1 / step)])

    assert np.abs(found[0] - found[1]).max() < 5e-3


def test_many_packs_fare_as_each_by_itself() -> None:
    rng = np.random.default_rng(4)
    time = np.arange(0.0, 601.0)
    load = np.clip(rng.normal(250.0, 150.0, len(time)), -50.0, 900.0)
    branches = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(),) * 4, contact=0.003)])
    start = np.tile(branches.start, (5, 1, 1))
    start[:, 2] = rng.uniform(0.6, 1.0, (5, 4))
    many = many_packs(branches, start, time, load, ask=Ask.POWER)
    from dataclasses import replace  # noqa: PLC0415

    for lane in range(5):
        one = pack_course(replace(branches, start=start[lane]), time, load, ask=Ask.POWER)
        assert many.lowest_voltage[lane] == pytest.approx(one.voltage.min(), abs=1e-12)
        assert many.peak_module_current[lane] == pytest.approx(np.abs(one.current).max(), abs=1e-12)
        assert many.charge_left[lane] == pytest.approx(one.charge_left, abs=1e-12)


def test_in_series_only_where_the_sheet_permits() -> None:
    from dataclasses import replace  # noqa: PLC0415

    string = Stack(modules=(PlacedModule(charge=0.9), PlacedModule(charge=0.6)), in_series=2)
    with pytest.raises(InputError, match="in_series"):
        pack_of(SUPPLY, NICKEL_MODULE, [string])
    permitted = replace(NICKEL_MODULE, maximum_series=2)
    course = pack_course(pack_of(SUPPLY, permitted, [string]), np.array([0.0]), np.array([2.0]))
    alone = [
        course_of(SUPPLY, np.array([0.0]), np.array([2.0]), charge=charge).voltage[0] for charge in (0.9, 0.6)
    ]

    assert course.voltage[0] == pytest.approx(sum(alone), abs=1e-9)
    assert course.current[0] == pytest.approx([2.0, 2.0])


def test_a_pack_beyond_its_sheet_is_refused() -> None:
    with pytest.raises(InputError, match="17"):
        pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(),) * 17)])
    with pytest.raises(InputError, match="charge_pct"):
        pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(charge=1.2),))])
    good = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(),))])
    with pytest.raises(InputError, match="never falling"):
        pack_course(good, np.array([1.0, 0.0]), np.zeros(2))
    with pytest.raises(InputError, match="power_w"):
        pack_course(good, np.array([0.0]), np.array([np.nan]), ask=Ask.POWER)


@pytest.mark.parametrize("branches", [6, 16])
@pytest.mark.parametrize("case", ["equal", "resistance", "charge"])
def test_branch_currents_are_those_of_a_fuller_pack_solver(
    capsys: pytest.CaptureFixture[str], case: str, branches: int
) -> None:
    """Liionpack 0.4.0 over PyBaMM's Thevenin model, recorded by scripts/record_network_reference.py."""
    lines = [line for line in REFERENCE.read_text("utf-8").splitlines() if not line.startswith("#")]
    rows = [row for row in csv.DictReader(lines) if row["case"] == case and int(row["branches"]) == branches]
    steps = sorted({int(row["step"]) for row in rows})
    recorded = np.zeros((len(steps), branches))
    for row in rows:
        recorded[steps.index(int(row["step"])), int(row["branch"])] = float(row["current_a"])
    spread = np.linspace(-1.0, 1.0, branches)
    factor = 1.0 + 0.4 * spread if case == "resistance" else np.ones(branches)
    charge = 0.8 + 0.01 * spread if case == "charge" else np.full(branches, 0.8)
    cell = Supply(
        modules=1,
        open_circuit_voltage=open_circuit_table(Chemistry.NMC811).voltage,
        resistance=np.full(101, 0.030),
        relaxation_resistance=np.full(101, 0.015),
        relaxation_time=20.0,
        capacity=5.0 * 3600,
        protection=(),
        minimum_voltage=2.5,
        maximum_voltage=4.2,
        regeneration_current=0.0,
    )
    from dataclasses import replace  # noqa: PLC0415

    bus = parallel_sources([cell] * branches, charge=list(charge), resistance_factor=list(factor))
    ladder = replace(
        bus,
        string_node=np.arange(branches),
        string_resistance=np.full(branches, 0.010),
        parent=np.arange(branches) - 1,
        contact=np.array([0.0] + [2 * 0.0005] * (branches - 1)),
    )
    time = np.arange(0.0, 601.0)
    course = pack_course(ladder, time, np.full(len(time), 3.0 * branches))
    error = np.abs(course.current[steps] - recorded).max() / (3.0 * branches)
    state(capsys, f"{case}, {branches} branches: worst branch {100 * error:.4f} % of the total")

    assert error < 0.005  # asked for
