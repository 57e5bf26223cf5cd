"""What fitters say by rule of thumb, held against the planner. Common practice, no source.

None of these is a published value: they tell whether the planner lives in the same world, and by how much it
differs, which is printed. "Typical" is stated in each test.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from sizing_examples import light_brief, limits_of, wishing, with_limit
from stated import state
from wattwright.files.presets import postures
from wattwright.parts.drive import AssistKind
from wattwright.sizing.brief import Brief
from wattwright.sizing.drawn_floor import peak
from wattwright.sizing.service_year import Wear
from wattwright.sizing.subjects import ride_subjects
from wattwright.sizing.trials import Trials, usual_case
from wattwright.units import km_from_metres, metres_per_second_from_km_h, watt_hours_from_joules

KILOMETRES_A_MODULE = 10.0
"""A module just under 100 Wh carries a typical set-up about 10 km (6 miles)."""
BAND = 1.5
"""Factor either way within which "about" is reasonable: riders' shares of the work differ by more."""


def typical(distance: float = 20_000.0) -> Brief:
    """Upright rider of 78 kg with 5 kg on a 15 kg bicycle; a 25 km/h drive at its usual help.

    8 m of climb and four halts in ten kilometres of town's edge, the year's mean weather, new modules of
    93.6 Wh, and the usual reserve of 15 % that nine rides in ten keep.
    """
    brief = wishing(light_brief(distance, 8.0 * distance / 1000.0, 512), years=0.0)
    return replace(brief, bicycle=replace(brief.bicycle, drag_area=postures()["upright"].value))


def held_at_25(brief: Brief) -> Brief:
    """The same with a drive that holds 25 km/h whatever the rider does, as with a throttle."""
    speed = metres_per_second_from_km_h(25.0)
    law = replace(
        brief.drive.assist,
        kind=AssistKind.HELD_SPEED,
        speed=speed,
        fade_start=1.02 * speed,
        cutoff=1.06 * speed,
    )
    return replace(brief, drive=replace(brief.drive, assist=law))


@pytest.mark.parametrize("throttle", [False, True])
def test_a_module_carries_a_typical_set_up_about_ten_kilometres(
    throttle: bool,  # noqa: FBT001 - pytest passes it by name
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Common practice, no source. Charge that nine rides in ten use, per module, down to the reserve."""
    brief = held_at_25(typical()) if throttle else typical()
    trials, modules = Trials(brief), 3
    case = usual_case(brief, brief.rides[0])
    outcome = trials.outcome(case, modules)
    used = 1.0 - float(np.quantile(outcome.charge_left, 1.0 - brief.wishes.confidence))

    kilometres = km_from_metres(outcome.distance) * (1.0 - brief.wishes.reserve) / (used * modules)

    ratio = kilometres / KILOMETRES_A_MODULE
    per_km = watt_hours_from_joules(float(np.median(outcome.energy.battery_out))) / 20.0
    how = "held at 25 km/h" if throttle else "usual help"
    state(
        capsys,
        f"{how}: {kilometres:.1f} km a module ({per_km:.1f} Wh/km), {ratio:.2f} times the rule's 10 km",
    )
    assert watt_hours_from_joules(brief.battery_module.energy) == pytest.approx(93.6)
    assert 1.0 / BAND < ratio < BAND


@pytest.mark.parametrize(
    ("drive", "fewest", "most"), [(20.0, 2, 2), (30.0, 3, 4), (35.0, 3, 4), (40.0, 3, 4)]
)
def test_modules_of_10_a_and_a_strong_drive(
    drive: float, fewest: int, most: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """Common practice, no source: a 20 A drive wants at least 2 modules, a 30 to 40 A drive 3 to 4."""
    brief = with_limit(light_brief(), drive)
    assert brief.battery_module.continuous_discharge_current == 10.0

    limits = limits_of(brief)
    count = limits["controller current"].modules

    drawn = limits["current as drawn"].modules
    state(
        capsys,
        f"{drive:.0f} A drive: {count} modules by nameplate (rule {fewest} to {most}), {drawn} as drawn",
    )
    assert fewest <= count <= most


def test_the_more_modules_the_lower_the_current_of_each_and_the_longer_the_life(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Common practice, no source: the rule names no numbers; here every step must go its way."""
    trials = Trials(typical())
    subject = ride_subjects(trials)[0]
    wear = Wear(trials)
    counts = range(3, 9)

    currents = [peak(trials, subject, count) / count for count in counts]
    left = [wear.ageing(count, 6.0).central.capacity_left for count in counts]

    rows = ", ".join(
        f"{n}: {current:.1f} A and {100 * share:.0f} %"
        for n, current, share in zip(counts, currents, left, strict=True)
    )
    state(capsys, f"highest current of each, and capacity left after six years, by modules: {rows}")
    assert all(more < fewer for fewer, more in pairwise(currents))
    assert all(more > fewer for fewer, more in pairwise(left))
