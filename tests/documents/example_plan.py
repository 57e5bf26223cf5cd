"""An invented plan to draw and print: every number is made up, none is worked out."""

from dataclasses import replace

import numpy as np

from wattwright.documents.header import SheetHeader
from wattwright.parts.accessories import Cable, Carrier, Charger
from wattwright.parts.assist_class import AssistClass
from wattwright.parts.battery_module import BatteryModule, Chemistry, ProtectionPoint
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, AssistLaw, Controller, Drive, Motor, MotorPosition
from wattwright.ride.outcome import EnergyBook, Outcome, Trace
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.sizing.brief import Brief, Climate, Month, Place, PlannedRide, RankBy, Spread, Wishes
from wattwright.sizing.limits import Change, Limit, Side, Window, window
from wattwright.sizing.plan import Alternative, PartLine, Plan, RideAnswer, Season, Setting
from wattwright.working import Quantity, Source, Standing, Working

LANES = 400
MARKS = 120

INVENTED = Source(text="Made up for this example", standing=Standing.INVENTED)
PRACTICE = Source(text="Workshop habit", standing=Standing.COMMON_PRACTICE)
CYCLING_POWER = Source(
    text="Martin, J. C. et al. (1998), Validation of a mathematical model for road cycling power, "
    "Journal of Applied Biomechanics 14, 276-291, eq. 1",
    standing=Standing.PUBLISHED,
)


def quantity(symbol: str, meaning: str, value: float, unit: str, digits: int = 1) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=value, unit=unit, digits=digits)


def header(**changes: object) -> SheetHeader:
    plain = SheetHeader(
        workshop="Halvermoor bench 2",
        title="Steel mixte, district nurse’s hill round",
        number="14",
        customer="R. Ottery",
        date="2026-11-25",
        revision="7",
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def road(
    title: str, *, distance: float, hills: float, segments: int, stops: int, start: float = 0.0
) -> RidePath:
    """A made-up road: three rounded hills, and stops at even spacing."""
    at = np.linspace(0.0, distance, segments + 1)
    turn = 2 * np.pi * at / distance
    height = 140.0 + hills * (
        0.5 - 0.35 * np.cos(turn + start) - 0.3 * np.cos(2 * turn) + 0.18 * np.sin(5 * turn)
    )
    rise, run = np.diff(height), np.diff(at)
    dwell = np.zeros(segments)
    if stops:
        dwell[np.linspace(segments / (stops + 1), segments - 1, stops).astype(int)] = 30.0
    return RidePath(
        title=title,
        length=np.hypot(run, rise),
        grade=rise / run,
        heading=turn[1:],
        altitude=(height[1:] + height[:-1]) / 2,
        speed_cap=np.where(dwell > 0, 0.0, 12.0),
        dwell=dwell,
        rolling_factor=np.ones(segments),
        latitude=np.full(segments, np.nan),
        longitude=np.full(segments, np.nan),
    )


def trace(path: RidePath, left: float) -> Trace:
    """A made-up central lane along a path, ending with ``left`` in the pack."""
    grade = path.grade
    wobble = np.sin(np.arange(path.segments) * 1.7)
    speed = np.clip(6.4 - 48.0 * grade + 0.3 * wobble, 2.4, 12.0)
    speed[path.dwell > 0] = 0.0
    rider = np.clip(95.0 + 900.0 * grade + 6.0 * wobble, 0.0, 190.0)
    motor = np.clip(120.0 + 5200.0 * grade + 14.0 * wobble, -90.0, 430.0)
    motor[path.dwell > 0] = 0.0
    current = motor / 38.0
    drawn = np.cumsum(np.maximum(motor, 0.0) * path.length)
    return Trace(
        distance=np.cumsum(path.length),
        time=np.cumsum(path.length / np.maximum(speed, 1.0) + path.dwell),
        speed=speed,
        rider_power=rider,
        motor_power=motor,
        battery_current=current,
        pack_voltage=np.full(path.segments, 46.0),
        charge_left=1.0 - (1.0 - left) * drawn / drawn[-1],
        winding_temperature=np.full(path.segments, 330.0),
    )


def outcome(path: RidePath, left: float, modules: int) -> Outcome:
    """A made-up outcome: lanes spread about the central trace, ever wider along the ride."""
    chance = np.random.default_rng(7)
    middle = trace(path, left)
    mark = np.linspace(0.0, path.distance, MARKS)
    central = np.interp(
        mark, np.concatenate([[0.0], middle.distance]), np.concatenate([[1.0], middle.charge_left])
    )
    usage = chance.normal(1.0, 0.11, LANES)
    usage[0] = 1.0
    charge = np.clip(1.0 - np.outer(1.0 - central, usage), 0.0, 1.0)
    return Outcome(
        modules=modules,
        distance=path.distance,
        time=np.full(LANES, middle.time[-1]),
        standing=np.full(LANES, path.dwell.sum()),
        charge_left=charge[-1],
        mark=mark,
        charge_at_mark=charge,
        lowest_voltage=np.full(LANES, 41.0),
        peak_current=np.full(LANES, 16.4),
        longest_above=np.zeros((1, LANES)),
        peak_charge_current=np.full(LANES, 2.3),
        hottest_winding=np.full(LANES, 351.0),
        rolled_back=np.zeros(LANES),
        unassisted=np.zeros(LANES),
        walked=np.zeros(LANES),
        energy=_book(),
        trace=middle,
    )


def _book() -> EnergyBook:
    zeros = np.zeros(LANES)
    return EnergyBook(
        rider=zeros, battery_out=zeros, battery_in=zeros, pack_loss=zeros, climb=zeros, kinetic=zeros,
        air=zeros,
        rolling=zeros, bearings=zeros, drivetrain=zeros, motor_copper=zeros, motor_iron=zeros, gear=zeros,
        controller=zeros, brake=zeros,
    )  # fmt: skip


def planned(name: str, path: RidePath, times: float, months: tuple[int, ...]) -> PlannedRide:
    return PlannedRide(
        name=name,
        path=path,
        times_per_week=times,
        months=months,
        load=8.0,
        start_charge=1.0,
        charged_after=True,
    )


SEASONS = (
    Season(
        title="new, yearly mean", temperature=282.15, age_years=0.0, capacity_left=1.0, resistance_risen=1.0
    ),
    Season(title="new, January", temperature=272.15, age_years=0.0, capacity_left=1.0, resistance_risen=1.0),
    Season(
        title="year 6, January", temperature=272.15, age_years=6.0, capacity_left=0.83, resistance_risen=1.3
    ),
)


def answer(ride: PlannedRide, season: Season, left: float, modules: int) -> RideAnswer:
    came_to = outcome(ride.path, left, modules)
    return RideAnswer(
        ride=ride,
        season=season,
        outcome=came_to,
        arrival=np.quantile(came_to.charge_left, (0.05, 0.1, 0.5, 0.9, 0.95)),
        likely_to_arrive=float(np.mean(came_to.charge_left >= 0.15)),
        energy=(1.0 - left) * 468.0 * 3600.0,
        time=float(came_to.time[0]),
    )


RIDES = (
    planned(
        "hill round",
        road("hill round", distance=24_600.0, hills=95.0, segments=2460, stops=9),
        5.0,
        tuple(range(1, 13)),
    ),
    planned(
        "clinic and back",
        road("clinic and back", distance=11_800.0, hills=40.0, segments=1180, stops=4, start=1.2),
        2.0,
        tuple(range(1, 13)),
    ),
    planned(
        "Sunday on the lake road with the long way home over the pass",
        road("lake road", distance=46_200.0, hills=160.0, segments=4620, stops=0, start=2.4),
        0.5,
        (4, 5, 6, 7, 8, 9),
    ),
)


def working(
    title: str, formula: str, result: Quantity, *values: Quantity, source: Source = INVENTED
) -> Working:
    return Working(title=title, formula=formula, values=values, result=result, source=source)


def floor(subject: str, modules: int, because: str, **more: object) -> Limit:
    return _limit(subject, Side.FLOOR, modules, because, **more)


def ceiling(subject: str, modules: int, because: str, **more: object) -> Limit:
    return _limit(subject, Side.CEILING, modules, because, **more)


def _limit(subject: str, side: Side, modules: int, because: str, **more: object) -> Limit:
    shown = working(
        subject.capitalize(),
        "n = asked / each, rounded up" if side is Side.FLOOR else "n = given / each, rounded down",
        quantity("n", "modules", modules, "", 0),
        quantity("a", "asked or given in all", modules * 9.7, "A"),
        quantity("e", "of each module", 9.9, "A"),
    )
    plain = Limit(subject=subject, side=side, modules=modules, because=because, working=shown)
    return replace(plain, **more)  # type: ignore[arg-type]


def by_count(
    symbol: str, meaning: str, unit: str, digits: int, *values: float
) -> tuple[tuple[int, Quantity], ...]:
    return tuple(
        (n, quantity(symbol, meaning, value, unit, digits)) for n, value in enumerate(values, start=1)
    )


ARRIVAL = "charge left, nine rides in ten"

LAST_YEAR = floor(
    "last year of service",
    5,
    "In January of the sixth year nine hill rounds in ten still arrive with 15 % in the pack, "
    "if it has five modules.",
    working=Working(
        title="Charge left on the hill round, sixth January",
        formula="s = 1 − E / (n · W · h · k)",
        values=(
            quantity("E", "drawn from the pack, nine rides in ten at most", 318.0, "Wh", 0),
            quantity("n", "modules", 5, "", 0),
            quantity("W", "marked energy of one module", 93.6, "Wh", 1),
            quantity("h", "health after six years", 0.83, "", 2),
            quantity("k", "usable in the cold", 0.985, "", 3),
        ),
        result=quantity("s", "charge left", 17.0, "%", 0),
        source=INVENTED,
        steps=(
            Working(
                title="Power at the wheel on the steepest stretch",
                formula="P = v · (½ · ρ · CdA · (v + w)² + m · g · (Crr + sin β))",
                values=(
                    quantity("v", "speed", 3.1, "m/s", 1),
                    quantity("ρ", "air density at −1 °C, 180 m", 1.271, "kg/m³", 3),
                    quantity("CdA", "drag area", 0.58, "m²", 2),
                    quantity("m", "all that rolls", 118.4, "kg", 1),
                    quantity("Crr", "rolling resistance", 0.0075, "", 4),
                ),
                result=quantity("P", "power at the wheel", 291.0, "W", 0),
                source=CYCLING_POWER,
            ),
            working(
                "Health after six years",
                "h = 1 − a · √t − b · N",
                quantity("h", "health", 0.83, "", 2),
                quantity("t", "time in service", 2191, "d", 0),
                quantity("N", "full cycles", 1240, "", 0),
                source=Source(text="A textbook value, to be looked up", standing=Standing.MEMORY),
            ),
        ),
    ),
    loosen=(
        Change(
            what="charge once at midday", field="rides.charged_after", before=0, after=1, unit="", modules=3
        ),
        Change(
            what="plan for five years of service instead of six",
            field="wishes.years",
            before=6,
            after=5,
            unit="a",
            modules=4,
        ),
    ),
    at_count=by_count("s", ARRIVAL, "%", 0, -62, -18, 2, 11, 17, 24, 30, 34),
    bound=quantity("s", "reserve wished for", 15, "%", 0),
)
DOWN_TUBE = ceiling(
    "down tube",
    6,
    "The down tube has room for six; a seventh would need 41 mm more.",
    loosen=(
        Change(
            what="lower the carrier by one boss",
            field="places.free_length_mm",
            before=412,
            after=440,
            unit="mm",
            modules=6,
        ),
        Change(what="add a second stack on the rack", field="places", before=1, after=2, unit="", modules=10),
    ),
    at_count=by_count("l", "length needed", "mm", 0, 187, 232, 277, 322, 367, 412, 457, 502),
    bound=quantity("l", "free length of the down tube", 416, "mm", 0),
)

LIMITS: tuple[Limit, ...] = (
    LAST_YEAR,
    floor(
        "winter round",
        4,
        "In January, with a new pack, nine hill rounds in ten arrive with 15 % if it has four modules.",
        at_count=by_count("s", ARRIVAL, "%", 0, -28, 4, 14, 22, 29, 35, 41, 45),
        bound=quantity("s", "reserve wished for", 15, "%", 0),
    ),
    floor(
        "one module off",
        4,
        "With one module off the other three still carry the 20 A the controller may draw.",
    ),
    floor(
        "controller current",
        3,
        "The controller may draw 20 A; one module gives 8 A for as long as it is asked.",
        at_count=by_count("i", "current of each module", "A", 1, 20, 10, 6.7, 5, 4, 3.3, 2.9, 2.5),
        bound=quantity("i", "continuous current of a module", 8, "A", 1),
    ),
    floor("current as drawn", 2, "On the steepest minute of the hill round the drive draws 16.4 A."),
    floor(
        "clinic and back",
        2,
        "Nine trips in ten to the clinic and back arrive with 15 % if the pack has two modules.",
    ),
    floor("charge current", 2, "The charger gives 4 A; one module takes 2 A."),
    floor("regeneration", 1, "The drive does not regenerate: one module would do."),
    DOWN_TUBE,
    ceiling(
        "budget", 7, "The parts may cost 2 400.00 EUR; an eighth module would cost 118.00 EUR more than that."
    ),
    ceiling(
        "added mass",
        8,
        "The conversion may add 14 kg.",
        at_count=by_count("m", "added mass", "kg", 1, 8.1, 8.8, 9.4, 10.1, 10.7, 11.4, 12.0, 12.7),
        bound=quantity("m", "most the conversion may add", 13.0, "kg", 1),
    ),
    ceiling("parallel limit", 16, "The modules’ maker permits sixteen in parallel."),
)


def brief() -> Brief:
    """The job the example answers."""
    return Brief(
        title="Steel mixte, district nurse’s hill round",
        rider=Rider(
            mass=71.0, power=95.0, power_per_grade=900.0, cadence=7.0, easing_speed=8.0, coasting_speed=11.0,
            strongest_push=280.0,
        ),
        bicycle=Bicycle(
            title="steel mixte", mass=17.2, wheel_radius=0.345, wheel_inertia=0.26,
            rolling_coefficient=0.0075,
            drag_area=0.58, drivetrain_efficiency=0.95, lowest_gear=0.9, highest_gear=3.2,
        ),
        rides=RIDES,
        climate=Climate(
            months=(Month(temperature=272.15, temperature_spread=4.0, wind=3.5, humidity=0.8),) * 12,
            wind_from=None, station_altitude=140.0, shelter=0.5,
        ),
        assist_class=AssistClass(
            name="demo", title="demo class, 25 km/h", cutoff=25 / 3.6, rated_power=250.0, throttle=False,
            source=INVENTED,
        ),
        drive=DRIVE,
        battery_module=MODULE,
        open_circuit=np.linspace(3.0, 4.2, 101),
        charger=Charger(
            name="demo", title="4 A charger", chemistry=Chemistry.NMC811, voltage=54.6, current=4.0,
            efficiency=0.9,
            mass=0.9, price=79.0,
        ),
        cable=Cable(
            name="demo", title="two-core lead 2.5 mm²", area=2.5e-6, mass_per_metre=0.09, price_per_metre=4.2,
            maximum_current=30.0,
        ),
        cable_length=0.9,
        places=(Place(name="down tube", free_length=0.416, carrier=CARRIER),),
        other_parts_mass=0.6,
        other_parts_price=64.0,
        spread=Spread(
            mass=3.0, drag_area=0.08, rolling_coefficient=0.12, rider_power=0.15, wind=0.5, capacity=0.03,
            resistance=0.1,
        ),
        wishes=Wishes(
            confidence=0.9, reserve=0.15, years=6.0, added_mass=13.0, budget=2400.0, one_module_off=True,
            charge_hours=None, currency="EUR", rank_by=RankBy.PRICE,
        ),
        storage_temperature=283.15,
        storage_charge=0.7,
        charge_temperature=291.15,
        samples=LANES,
        seed=7,
    )  # fmt: skip


MODULE = BatteryModule(
    name="demo-48", title="48 V class module, 93.6 Wh", chemistry=Chemistry.NMC811, cells_in_series=13,
    cells_in_parallel=1, capacity=7200.0, energy=93.6 * 3600, resistance=0.42, relaxation_resistance=0.12,
    relaxation_time=30.0, activation_energy=25_000.0, maximum_voltage=54.6, minimum_voltage=39.0,
    discharge_protection=(ProtectionPoint(current=8.0, duration=60.0),), continuous_discharge_current=8.0,
    maximum_charge_current=2.0, regeneration_current=2.0, coldest_discharge=258.15, hottest_discharge=328.15,
    coldest_charge=273.15, hottest_charge=318.15, mass=0.64, pitch=0.045, width=0.085, height=0.12,
    maximum_parallel=16, maximum_series=1, price=118.0,
)  # fmt: skip

DRIVE = Drive(
    name="demo-mid", title="mid motor, 250 W rated", position=MotorPosition.MID,
    motor=Motor(
        torque_constant=0.11, resistance=0.12, no_load_current=0.7, winding_heat_capacity=220.0,
        housing_heat_capacity=1600.0, winding_to_housing=0.5, housing_to_air=0.9, airflow_gain=0.1,
        rollback_start=393.15, hottest_winding=423.15,
    ),
    controller=Controller(
        battery_current_limit=20.0, phase_current_limit=42.0, regeneration_current_limit=0.0, efficiency=0.96,
        standby_power=3.0, rollback_start_voltage=42.0, cutoff_voltage=39.0, maximum_voltage=60.0,
    ),
    assist=AssistLaw(
        kind=AssistKind.TORQUE_MULTIPLE, multiple=2.5, power=430.0, speed=0.0, fade_start=6.4, cutoff=25 / 3.6
    ),
    gear_ratio=22.0, gear_efficiency=0.93, freewheels=True, peak_torque=70.0, rated_power=250.0, mass=3.6,
    price=890.0,
)  # fmt: skip

CARRIER = Carrier(
    name="demo-rail", title="rail with dock, 450 mm", modules_fitting=("demo-48",), base_length=0.078,
    removal_travel=0.064, maximum_modules=8, mass=0.35, mass_per_module=0.02, price=92.0,
)  # fmt: skip

PARTS = (
    PartLine(count=5, unit="", title="48 V class module, 93.6 Wh", mass=3.2, price=590.0),
    PartLine(count=1, unit="", title="mid motor, 250 W rated, with controller", mass=3.6, price=890.0),
    PartLine(count=1, unit="", title="rail with dock, 450 mm", mass=0.45, price=92.0),
    PartLine(count=1, unit="", title="4 A charger", mass=0.9, price=79.0),
    PartLine(count=1.8, unit="m", title="two-core lead 2.5 mm²", mass=0.16, price=7.56),
    PartLine(count=1, unit="", title="fixings, switch, display", mass=0.6, price=64.0),
)

SETTINGS = (
    Setting(what="battery current limit", value=quantity("I", "limit", 20, "A", 0),
            because="Five modules give 40 A; four, with one off, still give 32 A."),
    Setting(what="low-voltage roll-back starts", value=quantity("U", "start", 42.0, "V", 1),
            because="Above the modules’ own protection at 39 V, so that help fades before it stops."),
    Setting(what="low-voltage cut-off", value=quantity("U", "cut-off", 39.5, "V", 1),
            because="Half a volt above the modules’ own protection."),
    Setting(what="regeneration", value=quantity("I", "regeneration", 0, "A", 0),
            because="The mid motor freewheels: there is none."),
)  # fmt: skip

ALTERNATIVES = (
    Alternative(module_name="demo-lfp", drive_name="demo-mid", title="LFP module with the mid motor", floor=6,
                ceiling=5, is_open=False, chosen=None, mass=0.0, price=0.0, worst_arrival=0.0,
                because="Longer modules: the down tube takes five, the last year of service asks for six."),
    Alternative(module_name="demo-48", drive_name="demo-hub", title="the same module with a front hub motor",
                floor=6,
                ceiling=6, is_open=True, chosen=6, mass=9.7, price=1480.0, worst_arrival=0.155,
                because="Six modules exactly: the hub motor is slow uphill and draws more."),
)  # fmt: skip

CAUTIONS = (
    (
        "A pack can give hundreds of amperes into a short circuit: "
        "take off rings and watch, cover the contacts, connect last."
    ),
    (
        "Never ride, charge or carry a module that is dented, swollen, wet inside or smells; "
        "put it outdoors and ask its maker."
    ),
    "Charge between 0 and 45 °C, attended, with the charger made for these modules and no other.",
    "Join only modules of one kind at nearly equal charge: the difference flows between them, unasked.",
    (
        "Brazed bosses take the torque of their bolt and no more; thin tubes dent under clamps. "
        "The frame’s maker has the last word."
    ),
    (
        "Power and speed are limited by law where this bicycle is ridden: "
        "see the class on this sheet and the local code."
    ),
    (
        "The modules’ and the drive’s own manuals come before this sheet; "
        "mains wiring is work for licensed people."
    ),
)


def plan(**changes: object) -> Plan:
    """An open window: five or six modules, five chosen."""
    plain = Plan(
        brief=brief(),
        window=window(LIMITS),
        chosen=5,
        shown=5,
        sentence="Five or six modules. The last year of service asks for five; the down tube takes six.",
        opening=(),
        answers=_answers(5),
        parts=PARTS,
        added_mass=8.91,
        price=1722.56,
        settings=SETTINGS,
        highest_current_per_module=3.3,
        alternatives=ALTERNATIVES,
        cautions=CAUTIONS,
        workings=tuple(limit.working for limit in LIMITS),
        notes=(
            "hill round: 14 repeated points dropped, the first at 2.1 km.",
            "hill round: 2 height spikes smoothed, the first at 17.9 km.",
            "clinic and back: no times in the track; speeds are worked out, not checked against it.",
            "No tyre was given: rolling resistance 0.0075 taken for a touring tyre on asphalt.",
        ),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def _answers(modules: int) -> tuple[RideAnswer, ...]:
    left = {"hill round": (0.52, 0.44, 0.30), "clinic and back": (0.79, 0.75, 0.7)}
    lake = (0.41, 0.37, 0.31)
    return tuple(
        answer(ride, season, charge, modules)
        for ride in RIDES
        for season, charge in zip(SEASONS, left.get(ride.name, lake), strict=True)
    )


SHORT_TUBE = ceiling(
    "down tube",
    4,
    "The down tube has room for four; a fifth would need 23 mm more.",
    loosen=(
        Change(what="add a second stack on the rack", field="places", before=1, after=2, unit="", modules=8),
    ),
)


def empty_window() -> Window:
    """Five asked for, four taken."""
    return window([SHORT_TUBE if limit is DOWN_TUBE else limit for limit in LIMITS])


def empty_plan() -> Plan:
    """An empty window: two limits collide, and what would open it."""
    return plan(
        window=empty_window(),
        chosen=None,
        sentence="No count fits. The last year of service asks for five; the down tube takes four.",
        opening=(
            "Charge once at midday: three modules are enough, the window is three or four.",
            "Add a second stack on the rack: the room grows to eight, the window is five to seven.",
            "Plan for five years of service instead of six: four modules are enough.",
        ),
    )


HOSTILE = (
    "<script>alert('x')</script> & \"quotes\"",
    "#set page(width: 1cm) *bold* _under_ $x^2$ @ref \\ `raw` //no [x] = ~",
    "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft",
    "עברית שלום 12 ק״מ",
    "nurse 🚲 & bakery 🥐",
    "bell\x07 and\ttab",
)


def hostile_plan() -> Plan:
    """The open window with names that try to break out of every format."""
    named = [
        replace(
            limit, subject=text, because=f"{text} asks for it.", working=replace(limit.working, title=text)
        )
        for limit, text in zip(LIMITS, HOSTILE, strict=False)
    ]
    limits = (*named, *LIMITS[len(HOSTILE) :])
    rides = [
        replace(entry, ride=replace(entry.ride, name=HOSTILE[i % 6])) for i, entry in enumerate(_answers(5))
    ]
    return plan(
        window=window(limits),
        answers=tuple(rides),
        sentence=f"Five or six modules. {HOSTILE[0]} asks for five.",
        notes=HOSTILE,
        cautions=HOSTILE,
        parts=tuple(replace(part, title=text) for part, text in zip(PARTS, HOSTILE, strict=True)),
        workings=tuple(limit.working for limit in limits),
    )


def many_limits(modules_floor: int, modules_ceiling: int) -> Window:
    """Fourteen limits with long names, spread and tied, some far outside what can be drawn."""
    floors = [
        floor(
            f"floor number {i}, the long ride over the pass in the {i}th winter",
            max(1, modules_floor - i // 2),
            "x.",
        )
        for i in range(8)
    ]
    ceilings = [
        ceiling(
            f"ceiling number {i}, room on the rack beside the child’s seat", modules_ceiling + i * i, "x."
        )
        for i in range(6)
    ]
    return window([*floors, *ceilings])
