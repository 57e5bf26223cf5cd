"""The phone call: distance, ascent and speed through the same engine."""

from dataclasses import replace

import pytest

from sizing_examples import catalogue
from wattwright.errors import InputError
from wattwright.sizing.plan import Plan
from wattwright.units import km_h_from_metres_per_second, metres_per_second_from_km_h
from wattwright.workflow.phone_call import Call, job_from_call, plan_call

CALL = Call(distance=20_000.0, ascent=150.0)


def worked(call: Call) -> Plan:
    job = replace(job_from_call(call, "2026-11-25", catalogue()), samples=128)
    return plan_call(call, job, catalogue())


def test_room_is_no_limit_and_the_answer_says_it_is_not_measured() -> None:
    plan = worked(CALL)

    assert plan.window.ceiling.subject == "module's parallel limit"
    assert plan.sentence.endswith("Room is not measured yet.")
    assert any("Assumed until the bicycle is seen" in note for note in plan.notes)


def test_the_average_asked_for_is_the_average_ridden() -> None:
    plan = worked(replace(CALL, speed=metres_per_second_from_km_h(19.0)))

    outcome = plan.answers[-1].outcome
    average = outcome.distance / float(outcome.time[0] - outcome.standing[0])
    assert km_h_from_metres_per_second(average) == pytest.approx(19.0, abs=0.5)


def test_faster_wants_at_least_as_many_modules() -> None:
    slow, fast = (worked(replace(CALL, speed=metres_per_second_from_km_h(speed))) for speed in (15.0, 22.0))

    assert fast.answers[-1].energy > slow.answers[-1].energy
    assert fast.window.floor.modules >= slow.window.floor.modules


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"distance": 100.0}, "distance_km"),
        ({"distance": 2e6}, "distance_km"),
        ({"ascent": -1.0}, "ascent_m"),
        ({"ascent": 9000.0}, "ascent_m"),
        ({"speed": 30.0}, "speed_km_h"),
        ({"stops": -1}, "stops"),
        ({"rider_mass": 900.0}, "rider_mass_kg"),
        ({"rider_mass": float("nan")}, "rider_mass_kg"),
        ({"load": -3.0}, "load_kg"),
        ({"times_per_week": 1000.0}, "times_per_week"),
        ({"years": 99.0}, "years"),
        ({"distance": float("nan")}, "distance_km"),
    ],
)
def test_absurd_answers_are_refused_by_name(changes: dict[str, float], named: str) -> None:
    with pytest.raises(InputError) as caught:
        job_from_call(replace(CALL, **changes), "2026-11-25", catalogue())

    assert caught.value.field == named


def test_a_speed_the_drive_cannot_hold_says_what_it_can() -> None:
    with pytest.raises(InputError, match=r"speed_km_h is 40\.0; it must be at most 2\d"):
        worked(replace(CALL, speed=metres_per_second_from_km_h(40.0)))


def test_a_module_named_on_the_telephone_brings_its_charger() -> None:
    assert worked(replace(CALL, module="moor-lfp-38")).brief.charger.name == "kettle-lfp-4"
