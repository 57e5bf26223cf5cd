"""Write docs/measured-rides.md and its pictures from the recorded rides beside the repository.

Run it from the checkout after changing what a ride comes to:
``.venv/bin/python scripts/measured_rides_report.py``. A test compares.
"""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Final

from measured_fields import (
    ROAD_MASS,
    SPHERE_DRAG,
    TRACK_MASS,
    RoadRun,
    SphereRun,
    TrackRun,
    drag_by_frontal_area,
    lap_error,
    road_runs,
    sphere_runs,
    spokes_left_out,
    track_runs,
)
from measured_pictures import energy_picture, height_picture, work_picture
from measured_rides import AIM, RIDES, SAMPLES, SPLITS, Copy, Ridden, copies, ridden

from wattwright.units import (
    Joule,
    km_from_metres,
    km_h_from_metres_per_second,
    minutes_from_seconds,
    percent_from_fraction,
    square_mm_from_square_metres,
    watt_hours_from_joules,
    watts_per_percent_from_watts_per_grade,
)

REPOSITORY: Final = Path(__file__).resolve().parent.parent
DATA: Final = REPOSITORY.parent / "shared" / "data"
PAGE: Final = "docs/measured-rides.md"
ENERGY: Final = "docs/pictures/measured-energy.svg"
HEIGHTS: Final = "docs/pictures/measured-heights.svg"
WORK: Final = "docs/pictures/measured-work.svg"

HEAD: Final = """# Measured rides

Written by `scripts/measured_rides_report.py` from recorded rides; a test compares. The files are not ours
and not in this repository: their list, origin and licences stand in the notes of the data folder beside
it, with their check sums. Method: [calibration](models/calibration.md), [road load](models/road-load.md).

What these files can confirm has bounds. Masses are partly assumed (said below); wind, shelter behind other
riders and posture were not recorded; power meters are good to 1 to 3 % (common practice, no source).
"""

HALVES: Final = """
## One half from the other

Coefficients and wind are fitted on one half of a ride; asked is the crank energy of the other half, both
ways. The aim is 3 %; errors beyond it are marked with *. Halves that take turns share wind, posture and
company, so they test the coefficients. First against second half tests besides whether the ride stayed the
same, and it did not: the mountain ride climbs first and descends then, and the cold one was ridden with
less power in its first and last two hours than between at like speed, which no coefficient explains.
"""

UNFITTED: Final = """
## Without a fit

Ordinary coefficients alone, {samples} draws: drag area, rolling coefficient, efficiency and wind from the
distributions and sources of `wattwright.ride.fit_priors.ORDINARY`, mass as said. Within the interval from
the 10 % to the 90 % quantile lie **{covered} of {rides}** measured energies.
"""

FITTED: Final = """
## Fitted coefficients

With standard errors; in brackets how much of the answer the ride decided, the rest being the ordinary
value. Level: measured over modelled energy, which carries what the balance does not hold (braking within
50 m, shelter now and then, the meter's own scale).
"""

AGAIN: Final = """
## Ridden again

The road of the recording, built as for planning (bends, stops and descents capped as for any careful
rider), ridden by the engine without a drive: once at the power measured at each place, once as the fitted
rider paces. Shown is the error of the moving time, and of the crank energy where the rider paced.
"""

COPIES: Final = """
## One ride in two forms

The hilly ride as FIT and as GPX. The GPX has neither speed nor distance: both come from positions. (A TCX
made from the FIT's points is held against them in the tests.) Modelled: by ordinary coefficients,
unfitted. The speeds of the FIT add up to 2.1 % less than its own distance; each speed is therefore brought
to the distance covered around it before energies are worked out.
"""

SPHERES: Final = """
## A ball on a rod

Three runs of three laps on a loop with steep ends, hub power. With the tester's own mass, air, rolling
coefficient and drag area, height reconstructed from power closes to the figures below (aim 0.25 m). The
fit then frees the drag area alone so that each lap returns to the height of the one before; the standard
error is that of all runs' laps together, {error:.4f} m².
"""

GROWTH: Final = """
Over the bare rod the 3 in ball adds {three} ± {step} cm², the 2 in ball {two} ± {step} cm²; smooth balls
would add {three_expected} and {two_expected} cm² (drag coefficient {ball} (memory)). So the largest ball
shows by more than one standard error, and **the 2 in ball cannot be told from the bare rod**: the order
bare rod, 2 in, 3 in is not reached for the first two (the tester's own figures put them 2 cm² apart). Drag
area over the ball's frontal area rises with a drag coefficient of {slope:.2f} ± {error:.2f}.
"""

ROADS: Final = """
## Out and back on one road

{mass:.0f} kg (rider by the file, bicycle assumed), station's air, its wind from the south sheltered to 0.6
(assumption), rolling coefficient 0.005 (ordinary, assumed). The altimeter of both recordings walks away,
so drag is fitted by laps alone. The two runs agree; what of the figure is posture and what the assumed
rolling coefficient they cannot say.
"""

TRACKS: Final = """
## Indoor track and circuit

Mass {mass:.0f} ± 5 kg assumed. At one speed drag and rolling resistance cannot be told apart: indoors the
rolling coefficient is given (0.0025 ± 10 %), on the circuit it is the ordinary one.
"""


def outputs(data: Path) -> dict[str, str]:
    """Path in the repository and text of the page and its pictures."""
    rides = [ridden(data, ride) for ride in RIDES]
    spheres = sphere_runs(data)
    page = "\n".join(
        [
            HEAD,
            f"![Predicted over measured]({Path(ENERGY).relative_to('docs')})",
            *_rides(rides),
            COPIES,
            *_copies(copies(data)),
            *_spheres(spheres),
            *_roads(road_runs(data)),
            *_tracks(track_runs(data)),
        ]
    )
    return {
        PAGE: page + "\n",
        ENERGY: energy_picture(rides),
        HEIGHTS: height_picture(spheres),
        WORK: work_picture(rides[0]),
    }


def _rides(rides: Sequence[Ridden]) -> list[str]:
    covered = sum(ride.is_covered for ride in rides)
    return [
        HALVES,
        *_table(["ride", *SPLITS], [_halves_row(ride) for ride in rides]),
        "",
        f"Within 3 %, both ways, from every other kilometre: **{_within(rides)} of {len(rides)}** rides.",
        UNFITTED.format(samples=SAMPLES, covered=covered, rides=len(rides)),
        *_table(
            ["ride", "mass", "measured Wh", "10 % / 50 % / 90 % over measured"],
            [_unfitted_row(ride) for ride in rides],
        ),
        FITTED,
        *_table(
            ["ride", "drag area m²", "rolling coefficient", "mass kg", "wind from N, E m/s", "level"],
            [_fitted_row(ride) for ride in rides],
        ),
        "",
        *(f"- {ride.ride.file}: {' '.join(ride.calibration.cannot_tell)}" for ride in rides),
        "",
        f"![Work over every 2 km]({Path(WORK).relative_to('docs')})",
        AGAIN,
        *_table(
            ["ride", "moving min", "time, at measured power", "time, as the rider paces", "energy, as paced"],
            [_again_row(ride) for ride in rides],
        ),
        "",
        "Pacing as fitted:",
        "",
        *_table(
            [
                "ride",
                "power on the flat W",
                "W for 1 % of grade",
                "easing km/h",
                "coasting km/h",
                "scatter W",
            ],
            [_pacing_row(ride) for ride in rides],
        ),
    ]


def _within(rides: Sequence[Ridden]) -> int:
    return sum(max(map(abs, ride.halves["every other kilometre"])) <= AIM for ride in rides)


def _halves_row(ride: Ridden) -> list[str]:
    shown = (", ".join(_error(error) for error in ride.halves[split]) for split in SPLITS)
    return [ride.ride.file, *shown]


def _unfitted_row(ride: Ridden) -> list[str]:
    mass = f"{ride.ride.mass:.0f} ± {ride.ride.mass_spread:.0f} kg: {ride.ride.said}"
    ratios = " / ".join(f"{ratio:.2f}" for ratio in ride.unfitted)
    return [ride.ride.file, mass, f"{watt_hours_from_joules(ride.measured):.0f}", ratios]


def _fitted_row(ride: Ridden) -> list[str]:
    told = ride.calibration
    four = (told.drag_area, told.rolling_coefficient, told.mass)
    shown = [
        f"{one.shown().removesuffix(one.unit).strip()} ({percent_from_fraction(one.data_share):.0f} %)"
        for one in four
    ]
    wind = f"{_signed(told.wind_north.value)}, {_signed(told.wind_east.value)}"
    return [ride.ride.file, *shown, wind, f"{told.level:.3f}"]


def _again_row(ride: Ridden) -> list[str]:
    errors = (ride.time_by_power - 1.0, ride.time_by_habit - 1.0, ride.energy_by_habit - 1.0)
    return [ride.ride.file, f"{minutes_from_seconds(ride.moving_time):.0f}", *(_percent(e) for e in errors)]


def _pacing_row(ride: Ridden) -> list[str]:
    paced = ride.pacing
    return [
        ride.ride.file,
        _pair(paced.power, paced.power_error, float),
        _pair(paced.power_per_grade, paced.power_per_grade_error, watts_per_percent_from_watts_per_grade),
        _pair(paced.easing_speed, paced.easing_speed_error, km_h_from_metres_per_second),
        _pair(paced.coasting_speed, paced.coasting_speed_error, km_h_from_metres_per_second),
        f"{paced.scatter:.0f}",
    ]


def _pair(value: float, error: float, unit: Callable[[float], float]) -> str:
    return f"{unit(value):.0f} ± {unit(error):.0f}"


def _copies(pair: Sequence[Copy]) -> list[str]:
    first = pair[0]
    rows = [
        [
            copy.form,
            f"{km_from_metres(copy.distance):.2f}",
            _beside(copy.measured, first.measured),
            _beside(copy.modelled, first.modelled),
        ]
        for copy in pair
    ]
    return _table(["form", "km", "measured Wh", "modelled Wh"], rows)


def _beside(energy: Joule, first: Joule) -> str:
    return f"{watt_hours_from_joules(energy):.1f} ({_percent(energy / first - 1.0, 2)})"


def _spheres(runs: tuple[SphereRun, ...]) -> list[str]:
    rows = [
        [
            run.body,
            f"{run.relief:.1f}",
            _signed(run.closes, 2),
            f"{run.given:.4f}",
            f"{run.fit.drag_area:.4f}",
            ", ".join(f"{lap:.4f}" for lap in run.fit.by_lap),
        ]
        for run in runs
    ]
    return [
        SPHERES.format(error=lap_error(runs)),
        *_table(["body", "relief m", "closes m", "tester's CdA m²", "fitted m²", "lap by lap m²"], rows),
        _growth(runs),
        f"![Reconstructed heights]({Path(HEIGHTS).relative_to('docs')})",
    ]


def _growth(runs: tuple[SphereRun, ...]) -> str:
    slope, error = drag_by_frontal_area(runs)
    bare, two, three = (run.fit.drag_area for run in runs)
    two_expected, three_expected = (SPHERE_DRAG * run.frontal_area for run in runs[1:])
    return GROWTH.format(
        three=_square_cm(three - bare),
        two=_square_cm(two - bare),
        step=_square_cm(2.0**0.5 * lap_error(runs)).lstrip("+"),
        three_expected=_square_cm(three_expected).lstrip("+"),
        two_expected=_square_cm(two_expected).lstrip("+"),
        ball=SPHERE_DRAG,
        slope=slope,
        error=error,
    )


def _square_cm(area: float) -> str:
    return _signed(square_mm_from_square_metres(area) / 100.0, 0)


def _roads(runs: Iterable[RoadRun]) -> list[str]:
    rows = [
        [
            run.name,
            f"{spokes_left_out(run.fit):.3f} ± {run.fit.standard_error:.3f}",
            str(len(run.fit.by_lap) + 1),
            f"{run.altimeter:.0f}",
        ]
        for run in runs
    ]
    head = ["run", "drag area m²", "laps", "altimeter differs at one place by m"]
    return [ROADS.format(mass=ROAD_MASS), *_table(head, rows)]


def _tracks(runs: Iterable[TrackRun]) -> list[str]:
    head = ["run", "known", "drag area", "rolling coefficient", "level"]
    return [TRACKS.format(mass=TRACK_MASS), *_table(head, [_track_row(run) for run in runs])]


def _track_row(run: TrackRun) -> list[str]:
    told = run.calibration
    shown = (
        f"{one.shown()} ({percent_from_fraction(one.data_share):.0f} %)"
        for one in (told.drag_area, told.rolling_coefficient)
    )
    return [run.name, run.said, *shown, f"{told.level:.3f}"]


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    return [
        f"| {' | '.join(head)} |",
        f"|{'---|' * len(head)}",
        *(f"| {' | '.join(row)} |" for row in rows),
    ]


def _error(error: float) -> str:
    return _percent(error) + ("*" if abs(error) > AIM else "")


def _percent(share: float, digits: int = 1) -> str:
    return f"{_signed(percent_from_fraction(share), digits)} %"


def _signed(value: float, digits: int = 1) -> str:
    return f"{value:+.{digits}f}".replace("-", "−")


if __name__ == "__main__":
    for name, text in outputs(DATA).items():
        (REPOSITORY / name).write_text(text, encoding="utf-8")
        print(f"{name} written")
