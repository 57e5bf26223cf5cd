"""Parts that do not belong together are refused in one line that names what would fit."""

from dataclasses import replace

import pytest

from sizing_examples import catalogue, light_brief
from wattwright.errors import InputError
from wattwright.sizing.alternatives import ranked
from wattwright.sizing.brief import RankBy
from wattwright.sizing.mismatch import charger_suits, module_suits, refuse_mismatch
from wattwright.sizing.planner import plan


def test_parts_that_fit_pass() -> None:
    refuse_mismatch(light_brief(), catalogue())


def test_a_charger_of_another_chemistry_is_refused_with_those_that_fit() -> None:
    brief = replace(light_brief(), charger=catalogue().charger("kettle-lfp-4"))

    with pytest.raises(InputError, match="Would fit: kettle-48-2, kettle-48-4") as caught:
        refuse_mismatch(brief, catalogue())
    assert str(caught.value).startswith("pack.charger is 'kettle-lfp-4'; it must be a nmc811 charger")
    assert "\n" not in str(caught.value)
    assert not charger_suits(brief.charger, brief.battery_module)


def test_a_controller_that_bears_less_than_a_full_module_is_refused_with_modules_that_fit() -> None:
    drive = light_brief().drive
    weak = replace(drive, controller=replace(drive.controller, maximum_voltage=45.0))

    with pytest.raises(InputError, match=r"at most 45\.0 V full.*Would fit: fen-36, moor-lfp-38"):
        refuse_mismatch(replace(light_brief(), drive=weak), catalogue())
    assert not module_suits(light_brief().battery_module, weak)


def test_a_controller_that_is_off_at_the_modules_voltage_is_refused() -> None:
    drive = light_brief().drive
    high = replace(drive, controller=replace(drive.controller, cutoff_voltage=50.0))

    with pytest.raises(InputError, match=r"more than 50\.0 V nominal"):
        plan(replace(light_brief(), drive=high))


def test_what_cannot_be_built_comes_last_with_its_reason() -> None:
    drive = light_brief().drive
    weak = replace(drive, controller=replace(drive.controller, maximum_voltage=45.0))
    others = (replace(light_brief(), drive=weak), light_brief())

    first, last = ranked(others, light_brief().wishes, lambda _what, _share: None)

    assert first.is_open
    assert not last.is_open
    assert last.because.startswith("It would need a module of at most 45.0 V full")


@pytest.mark.parametrize("by", list(RankBy))
def test_alternatives_are_ranked_by_what_the_fitter_asks(by: RankBy) -> None:
    brief = light_brief()
    heavy = replace(brief, drive=replace(brief.drive, mass=9.0, price=100.0))
    power = replace(brief, battery_module=catalogue().module("slate-48-power"))
    wishes = replace(brief.wishes, rank_by=by)

    worked = ranked((power, heavy, brief), wishes, lambda _what, _share: None)

    measure = {
        RankBy.PRICE: [one.price for one in worked],
        RankBy.MASS: [one.mass for one in worked],
        RankBy.ARRIVAL: [-one.worst_arrival for one in worked],
        RankBy.COUNT: [float(one.floor) for one in worked],
    }[by]
    assert measure == sorted(measure)
