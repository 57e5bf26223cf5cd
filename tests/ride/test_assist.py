"""Assist laws, and drives held against the regions' classes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.errors import InputError
from wattwright.files.assist_classes import assist_class_named, assist_class_names
from wattwright.parts.drive import (
    AssistKind,
    AssistLaw,
    Controller,
    Drive,
    Motor,
    MotorPosition,
)
from wattwright.ride.assist import SAME, asked_power, class_findings, fade, permitted_multiple
from wattwright.units import metres_per_second_from_km_h as km_h


def law_of(kind: AssistKind = AssistKind.TORQUE_MULTIPLE, **changes: object) -> AssistLaw:
    law = AssistLaw(
        kind=kind,
        multiple=2.0,
        power=250.0,
        speed=km_h(20.0),
        fade_start=km_h(22.0),
        cutoff=km_h(25.0),
        needs_pedalling=True,
    )
    return replace(law, **changes)


def drive_of(law: AssistLaw, rated_power: float = 250.0) -> Drive:
    """A hub drive of which only law and marking matter here."""
    motor = Motor(
        torque_constant=1.0, resistance=0.15, no_load_current=0.8, winding_heat_capacity=300.0,
        housing_heat_capacity=2000.0, winding_to_housing=0.3, housing_to_air=0.5, airflow_gain=0.3,
        rollback_start=390.0, hottest_winding=430.0,
    )  # fmt: skip
    controller = Controller(
        battery_current_limit=15.0, phase_current_limit=40.0, regeneration_current_limit=0.0, efficiency=0.95,
        standby_power=1.0, rollback_start_voltage=36.0, cutoff_voltage=33.0, maximum_voltage=60.0,
    )  # fmt: skip
    return Drive(
        name="example", title="Example", position=MotorPosition.HUB, motor=motor, controller=controller,
        assist=law, gear_ratio=1.0, gear_efficiency=1.0, freewheels=True, peak_torque=40.0,
        rated_power=rated_power, mass=3.0, price=300.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("speed_km_h", "ratio"), [(0.0, 2.0), (10.0, 2.0), (17.0, 1.0), (20.5, 0.5), (24.0, 0.0), (30.0, 0.0)]
)
def test_japanese_taper(speed_km_h: float, ratio: float) -> None:
    """references.md topic 2: ratio = 2 − (v − 10)/7, 17 km/h → 1.0 (memory); limits seen in the rule."""
    japan = assist_class_named("jp")
    law = law_of(multiple=2.0, power=1e9, fade_start=km_h(10.0), cutoff=km_h(24.0))

    assert permitted_multiple(km_h(speed_km_h), japan) == pytest.approx(ratio, abs=1e-9)
    assert asked_power(km_h(speed_km_h), law, rider_power=100.0) == pytest.approx(100.0 * ratio, abs=1e-6)
    assert class_findings(drive_of(law), japan) == ()


@pytest.mark.parametrize("kind", list(AssistKind))
@given(
    speed=st.floats(0.0, 15.0),
    faster=st.floats(0.0, 5.0),
    rider=st.floats(0.0, 600.0),
    hold=st.floats(-500, 2000),
)
def test_help_never_grows_with_speed_nor_exceeds_its_power(
    kind: AssistKind, speed: float, faster: float, rider: float, hold: float
) -> None:
    law = law_of(kind)

    asked = asked_power(speed, law, rider_power=rider, holding_power=hold)

    assert 0.0 <= asked <= law.power
    assert asked_power(speed + faster, law, rider_power=rider, holding_power=hold) <= asked
    assert asked_power(law.cutoff, law, rider_power=rider, holding_power=hold) == 0.0


@pytest.mark.parametrize("kind", list(AssistKind))
def test_help_ends_when_pedalling_ends(kind: AssistKind) -> None:
    """EN 15194:2017 scope: cut when the cyclist stops pedalling."""
    assert asked_power(3.0, law_of(kind), rider_power=0.0, holding_power=200.0) == 0.0


def test_each_law_asks_for_what_it_says() -> None:
    slow = km_h(15.0)

    assert asked_power(slow, law_of(), rider_power=80.0) == 160.0
    assert asked_power(slow, law_of(), rider_power=200.0) == 250.0
    assert asked_power(slow, law_of(AssistKind.HELD_POWER), rider_power=1.0) == 250.0
    held = law_of(AssistKind.HELD_SPEED, needs_pedalling=False)
    assert asked_power(slow, held, rider_power=0.0, holding_power=120.0) == 120.0
    assert asked_power(slow, held, rider_power=0.0, holding_power=-50.0) == 0.0
    assert asked_power(km_h(23.5), law_of(), rider_power=80.0) == pytest.approx(80.0)


def test_laws_take_arrays() -> None:
    speeds = np.array([2.0, 6.5, 8.0])
    riders = np.array([100.0, 100.0, 100.0])

    for kind in AssistKind:
        together = asked_power(speeds, law_of(kind), rider_power=riders, holding_power=90.0)
        alone = [asked_power(v, law_of(kind), rider_power=100.0, holding_power=90.0) for v in speeds.tolist()]
        assert together.tolist() == alone


def test_a_cut_off_below_the_fade_is_refused() -> None:
    with pytest.raises(InputError, match="cutoff_m_s"):
        fade(1.0, 5.0, 5.0)


PRINTED = {
    "eu": (25.0, 250.0, False),
    "uk": (24.94, 250.0, False),
    "us-class-1": (32.19, 750.0, False),
    "us-class-2": (32.19, 750.0, True),
    "us-class-3": (45.06, 750.0, False),
    "jp": (24.0, math.inf, False),
}
"""Cut-off in km/h, rated power in W, help without pedalling: references.md topic 2 (EN 15194, the UK rule as
quoted, 36 CFR 1.4, the Japanese article 1-3), km/h to its two decimals."""


@pytest.mark.parametrize("name", PRINTED)
def test_classes_hold_what_the_references_say(name: str) -> None:
    cutoff_km_h, power, throttle = PRINTED[name]
    found = assist_class_named(name)

    assert found.cutoff == pytest.approx(km_h(cutoff_km_h), abs=0.005 / 3.6)
    assert (found.rated_power, found.throttle, found.name) == (power, throttle, name)
    assert "Read 2026-11 in" in found.source.text


def test_every_shipped_class_is_in_the_table_above() -> None:
    assert assist_class_names() == sorted(PRINTED)


def test_a_drive_set_to_its_class_has_no_findings() -> None:
    assert class_findings(drive_of(law_of()), assist_class_named("eu")) == ()
    class_2 = law_of(AssistKind.HELD_POWER, cutoff=km_h(32.0), needs_pedalling=False)
    assert class_findings(drive_of(class_2, 500.0), assist_class_named("us-class-2")) == ()


@pytest.mark.parametrize(
    ("drive", "name", "wanted"),
    [
        (drive_of(law_of(cutoff=km_h(32.0))), "eu", ["32 km/h (19.9 mph)", "25 km/h (15.5 mph)"]),
        (drive_of(law_of()), "uk", ["24.9 km/h (15.5 mph)"]),
        (drive_of(law_of(), rated_power=500.0), "eu", ["500 W", "250 W", "another drive"]),
        (drive_of(law_of(AssistKind.HELD_POWER, needs_pedalling=False)), "eu", ["without pedalling"]),
        (drive_of(law_of(AssistKind.HELD_POWER, cutoff=km_h(24.0))), "jp", ["does not follow the rider"]),
        (
            drive_of(law_of(multiple=3.0, fade_start=km_h(10.0), cutoff=km_h(24.0))),
            "jp",
            ["3.00 times", "2.00 times"],
        ),
        (drive_of(law_of(multiple=2.0, cutoff=km_h(24.0))), "jp", ["At 22 km/h", "2.00 times", "0.29 times"]),
    ],
)
def test_each_misfit_is_one_sentence_with_its_numbers(drive: Drive, name: str, wanted: list[str]) -> None:
    findings = class_findings(drive, assist_class_named(name))

    assert len(findings) == 1
    for words in wanted:
        assert words in findings[0]


def test_all_misfits_are_told_at_once() -> None:
    wild = drive_of(
        law_of(AssistKind.HELD_SPEED, cutoff=km_h(45.0), needs_pedalling=False), rated_power=1000.0
    )

    assert len(class_findings(wild, assist_class_named("eu"))) == 3


@given(multiple=st.floats(0.1, 5.0), start=st.floats(1.0, 8.0), band=st.floats(0.5, 5.0))
def test_a_fitting_ratio_fits_at_every_speed(multiple: float, start: float, band: float) -> None:
    """Law: the bends the check looks at are enough."""
    japan = assist_class_named("jp")
    law = law_of(multiple=multiple, fade_start=start, cutoff=start + band)
    speeds = np.append(np.linspace(0.0, 15.0, 1501), [law.fade_start, japan.multiple_fades_from])
    excess = law.multiple * fade(speeds, law.fade_start, law.cutoff) - permitted_multiple(speeds, japan)

    findings = class_findings(drive_of(law), japan)

    assert any("times the rider" in finding for finding in findings) == bool(excess.max() > SAME)


def test_a_class_without_a_ratio_says_so() -> None:
    with pytest.raises(InputError, match="limits no ratio"):
        permitted_multiple(3.0, assist_class_named("eu"))
