"""Another drive that brakes back is tried with the regeneration that a fitter would set."""

from dataclasses import replace

from sizing_examples import catalogue, light_brief
from wattwright.sizing.alternatives import ranked
from wattwright.sizing.limits import Aim
from wattwright.sizing.regeneration import regeneration_floor


def test_a_drive_is_not_ruled_out_by_what_a_setting_mends() -> None:
    brief = replace(light_brief(), drive=catalogue().drive("lee-direct-400"))
    as_sold = regeneration_floor(brief, Aim())
    assert as_sold is not None
    assert as_sold.modules > 6  # more than the down tube takes

    (other,) = ranked((brief,), brief.wishes, lambda _what, _share: None)

    assert other.is_open
    assert "Regeneration set to" in other.because


def test_a_module_that_forbids_regeneration_is_tried_with_it_off() -> None:
    brief = replace(light_brief(), drive=catalogue().drive("lee-direct-400"))
    brief = replace(brief, battery_module=replace(brief.battery_module, regeneration_current=0.0))

    (other,) = ranked((brief,), brief.wishes, lambda _what, _share: None)

    assert other.because.endswith("Regeneration switched off.")
