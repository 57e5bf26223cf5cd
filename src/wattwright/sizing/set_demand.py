"""What a job asks of the modules chosen for it."""

import numpy as np

from wattwright.pack.mixing import Demand, end_slope
from wattwright.pack.open_circuit import module_voltage
from wattwright.pack.protection import bearable_current
from wattwright.sizing.trials import Trials, usual_case
from wattwright.units import Ampere


def set_demand(trials: Trials, modules: int) -> Demand:
    """Mean and highest current of the job's set, and what one module bears.

    Args:
        trials: Of the brief; quick ones tell what each ride draws.
        modules: In the set.

    Notes:
        The mean is that of the ride that draws most: median energy over median time and nominal voltage. The
        highest is the controller's battery current limit.
    """
    brief = trials.brief
    kind = brief.battery_module
    return Demand(
        current=max(_mean_current(trials, number, modules) for number in range(len(brief.rides))),
        highest_current=brief.drive.controller.battery_current_limit,
        bearable_current=bearable_current(kind),
        slope=end_slope(module_voltage(brief.open_circuit, kind.cells_in_series)),
    )


def _mean_current(trials: Trials, ride: int, modules: int) -> Ampere:
    case = usual_case(trials.brief, trials.brief.rides[ride])
    time = float(np.median(trials.outcome(case, modules, quick=True).time))
    return trials.energy(case, modules) / time / trials.brief.battery_module.nominal_voltage
