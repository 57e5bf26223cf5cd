"""wattwright register …: the modules that exist, their readings and health, the best of them for a job."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli.shown import console, lines, say, show_json, table
from wattwright.cli.today import today as today_at_the_bench

if TYPE_CHECKING:
    from wattwright.parts.register import SetAside
    from wattwright.workflow.register import Desk, Taken
    from wattwright.workflow.shelf import Matched, Shelved

app = typer.Typer(
    no_args_is_help=True, help="Keep the modules that exist by serial, with their readings and their health."
)

RegisterOption = Annotated[
    Path, typer.Option("--register", metavar="FILE", help="The register.", envvar="WATTWRIGHT_REGISTER")
]
HandOption = Annotated[
    str, typer.Option(help="Whose hand: stands beside what is entered.", envvar="WATTWRIGHT_HAND")
]
CatalogueOption = Annotated[
    list[Path] | None,
    typer.Option("--catalogue", metavar="FILE", help="Further catalogue file; may be repeated."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
SerialArgument = Annotated[str, typer.Argument(help="Serial of the module.")]
NumberArgument = Annotated[int, typer.Argument(help="Number under which it was set aside.")]
HERE = Path("register.jsonl")
ASIDE = 1
"""Exit code where something was set aside: taken note of, but a "no"."""


@app.command("list")
def list_modules(
    register: RegisterOption = HERE, catalogue: CatalogueOption = None, as_json: JsonOption = False
) -> None:
    """List every module with its state of health."""
    from wattwright.documents.register_table import specimen_table  # noqa: PLC0415 (start-up)
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)
    from wattwright.workflow.shelf import shelf  # noqa: PLC0415 (start-up)

    kept, desk = read_register(register), _desk(catalogue, "")
    found = {each.specimen.serial: each for each in shelf(kept, desk.catalogue, desk.today)}
    if as_json:
        show_json(
            [
                specimen_table(
                    each,
                    found[each.serial].health if each.serial in found else None,
                    kept.retired.get(each.serial),
                )
                for each in kept.specimens.values()
            ]
        )
        return
    console().print(_shelf_table(f"{register}: in use", list(found.values())))
    near = [each for each in found.values() if each.health.is_to_be_watched]
    worn = [each.specimen.serial for each in near if each.health.is_worn_out]
    watched = [each.specimen.serial for each in near if not each.health.is_worn_out]
    lines("To be measured twice a year (below 80 % like cells began to fall fast):", watched)
    lines("Worn out (cells this far gone may fail suddenly; retire them):", worn)
    lines("Retired:", [f"{each.serial} on {each.date}: {each.why}" for each in kept.retired.values()])
    if kept.aside:
        say(f"Set aside for review: {len(kept.aside)}. Look at them: wattwright register review")


@app.command()
def show(
    serial: SerialArgument,
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show one module: its health with its error, its trend, and every reading."""
    from wattwright.documents.register_table import reading_table, specimen_table  # noqa: PLC0415 (start-up)
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)
    from wattwright.workflow.register import specimen_named  # noqa: PLC0415 (start-up)
    from wattwright.workflow.shelf import shelved_one  # noqa: PLC0415 (start-up)

    kept, desk = read_register(register), _desk(catalogue, "")
    specimen = specimen_named(kept, serial)
    found = shelved_one(kept, specimen, desk.catalogue, desk.today)
    readings = [reading_table(each) for each in kept.of(specimen.serial)]
    if as_json:
        retired = kept.retired.get(specimen.serial)
        show_json({**specimen_table(specimen, found.health, retired), "readings": readings})
        return
    screen = console()
    screen.print(_shelf_table(f"{specimen.serial}, {found.battery_module.title}", [found]))
    screen.print(
        table(
            "Readings",
            ("date", "hand", ">V at rest", ">Ah", ">mΩ", ">°C", "note"),
            [_reading_row(reading) for reading in readings],
        )
    )
    lines("Mind:", found.health.notes)


@app.command()
def add(
    serial: SerialArgument,
    *,
    module: Annotated[str, typer.Option(help="Its kind in the catalogue.")],
    hand: HandOption,
    first_use: Annotated[
        str, typer.Option("--first-use", help="When its life began, such as 2022-04-01.")
    ] = "",
    note: Annotated[str, typer.Option(help="Anything worth knowing.")] = "",
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
) -> None:
    """Enter a module; begins the register where there is none."""
    from wattwright.cli.given import date_given  # noqa: PLC0415 (start-up)
    from wattwright.parts.register import Specimen  # noqa: PLC0415 (start-up)
    from wattwright.workflow.register import add_module  # noqa: PLC0415 (start-up)

    born = date_given("--first-use", first_use) if first_use else None
    specimen = Specimen(serial=serial, module=module, first_use=born, note=note)
    add_module(register, specimen, _desk(catalogue, hand))
    say(f"Entered {serial} ({module}) in {register}.")


@app.command()
def read(
    serial: SerialArgument,
    *,
    hand: HandOption,
    rest_voltage_v: Annotated[
        float | None, typer.Option("--rest-voltage-v", help="At rest, without load.")
    ] = None,
    capacity_ah: Annotated[
        float | None, typer.Option("--capacity-ah", help="Given from full, slowly.")
    ] = None,
    resistance_mohm: Annotated[
        float | None, typer.Option("--resistance-mohm", help="After about ten seconds of load.")
    ] = None,
    temperature_c: Annotated[
        float | None, typer.Option("--temperature-c", help="Of the module then.")
    ] = None,
    date: Annotated[str, typer.Option(help="Of the reading [today].")] = "",
    note: Annotated[str, typer.Option(help="Anything worth knowing.")] = "",
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take a reading; one that cannot be true is set aside for review (exit code 1)."""
    from wattwright.files.readings_table import row_of  # noqa: PLC0415 (start-up)
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)
    from wattwright.workflow.register import specimen_named, take_readings  # noqa: PLC0415 (start-up)

    known = specimen_named(read_register(register), serial)
    given = {
        "serial": known.serial,
        "date": date or today_at_the_bench(),
        "rest_voltage_v": rest_voltage_v,
        "capacity_ah": capacity_ah,
        "resistance_mohm": resistance_mohm,
        "temperature_c": temperature_c,
        "note": note,
    }
    content = {key: f"{value}" for key, value in given.items() if value not in {None, ""}}
    _tell(take_readings(register, [row_of(content, "by hand")], _desk(catalogue, hand)), as_json=as_json)


@app.command("import")
def import_table(
    file: Annotated[Path, typer.Argument(help="A .csv or .xlsx table; its first row holds the headers.")],
    *,
    hand: HandOption,
    mapping: Annotated[
        list[str] | None,
        typer.Option(
            "--map", metavar="HEADER=COLUMN", help="What a header of another name means; may be repeated."
        ),
    ] = None,
    module: Annotated[str, typer.Option(help="Kind of new modules whose rows name none.")] = "",
    sheet: Annotated[str, typer.Option(help="Of a workbook [the first].")] = "",
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take a table of readings; rows that cannot be true are set aside for review (exit code 1)."""
    from dataclasses import replace  # noqa: PLC0415 (start-up)

    from wattwright.cli.given import mapping_given  # noqa: PLC0415 (start-up)
    from wattwright.workflow.register import import_readings  # noqa: PLC0415 (start-up)

    desk = replace(_desk(catalogue, hand), usual_kind=module)
    known = mapping_given("--map", mapping or [])
    _tell(import_readings(register, file, known, desk, sheet=sheet), as_json=as_json)


@app.command()
def export(
    file: Annotated[Path, typer.Argument(help="Where to: .csv or .xlsx.")],
    register: RegisterOption = HERE,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Write every module with its readings as a table."""
    from wattwright.errors import InputError  # noqa: PLC0415 (start-up)
    from wattwright.files.readings_table import csv_text, xlsx_bytes  # noqa: PLC0415 (start-up)
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_bytes  # noqa: PLC0415 (start-up)

    kept, form = read_register(register), file.suffix.lower()
    if form not in {".csv", ".xlsx"}:
        raise InputError("FILE", str(file), "a name that ends in .csv or .xlsx")
    write_bytes(file, csv_text(kept).encode() if form == ".csv" else xlsx_bytes(kept), replace=force)
    say(f"Wrote {file}: {len(kept.readings)} readings of {len(kept.specimens)} modules.")


@app.command()
def review(register: RegisterOption = HERE, as_json: JsonOption = False) -> None:
    """Show what was set aside, and why."""
    from wattwright.documents.register_table import aside_table  # noqa: PLC0415 (start-up)
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)

    kept = read_register(register)
    if as_json:
        show_json([aside_table(each) for each in kept.aside])
        return
    _show_aside(kept.aside)
    if not kept.aside:
        say("Nothing waits for review.")


@app.command()
def accept(
    number: NumberArgument,
    *,
    hand: HandOption,
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
) -> None:
    """Take something set aside after all: your hand answers for it."""
    from wattwright.workflow.register import accept as take_after_all  # noqa: PLC0415 (start-up)

    taken = take_after_all(register, number, _desk(catalogue, hand))
    say(f"Taken: number {number}, {taken.serial}.")


@app.command()
def drop(
    number: NumberArgument,
    *,
    hand: HandOption,
    why: Annotated[str, typer.Option(help="Why it is left out.")] = "",
    register: RegisterOption = HERE,
) -> None:
    """Leave something set aside out for good; it stays in the file."""
    from wattwright.workflow.register import drop as leave_out  # noqa: PLC0415 (start-up)

    leave_out(register, number, why, _desk(None, hand))
    say(f"Left out: number {number}.")


@app.command()
def retire(
    serial: SerialArgument,
    *,
    hand: HandOption,
    why: Annotated[str, typer.Option(help="Why it goes out of use.")],
    register: RegisterOption = HERE,
) -> None:
    """Take a module out of use; its readings stay."""
    from wattwright.workflow.register import retire as take_out  # noqa: PLC0415 (start-up)

    out = take_out(register, serial, why, _desk(None, hand))
    say(f"Retired {out.serial} on {out.date}.")


@app.command()
def match(
    *,
    modules: Annotated[int, typer.Option(help="How many are wanted.")],
    job: Annotated[Path | None, typer.Option("--job", help="For this job: its kind, its currents.")] = None,
    module: Annotated[str, typer.Option(help="Their kind, where no job says it.")] = "",
    current_a: Annotated[
        float, typer.Option("--current-a", help="Mean, from the whole set, without a job.")
    ] = 5.0,
    highest_current_a: Annotated[
        float, typer.Option("--highest-current-a", help="Highest, from the whole set, without a job.")
    ] = 15.0,
    register: RegisterOption = HERE,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Choose the best-matched set for a job, proven; say what it yields and which one to leave out first.

    Exit code 1 if no set of so many carries the current.
    """
    from wattwright.files.register_file import read_register  # noqa: PLC0415 (start-up)
    from wattwright.workflow.shelf import demand_by_hand, demand_of_job, matched, shelf  # noqa: PLC0415

    kept, desk = read_register(register), _desk(catalogue, "")
    parts = desk.catalogue
    if job is not None:
        from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
        from wattwright.files.job_file import job_catalogues, read_job  # noqa: PLC0415 (start-up)

        asked = read_job(job)
        parts = load_catalogue((*job_catalogues(job, asked), *(catalogue or ())))
        kind = parts.module(module or asked.module)
        demand = demand_of_job(asked, job.parent, parts, modules)
    else:
        kind = parts.module(module)
        demand = demand_by_hand(kind, current_a, highest_current_a)
    answer = matched(shelf(kept, parts, desk.today), kind, modules, demand)
    if as_json:
        show_json(_match_table(answer))
    else:
        _show_match(answer)
    if not answer.found.carries_demand:
        raise typer.Exit(1)


def _desk(catalogue: list[Path] | None, hand: str) -> "Desk":
    import datetime as dt  # noqa: PLC0415 (start-up)

    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.workflow.register import Desk  # noqa: PLC0415 (start-up)

    today = dt.date.fromisoformat(today_at_the_bench())
    return Desk(catalogue=load_catalogue(catalogue or ()), today=today, hand=hand)


def _tell(taken: "Taken", *, as_json: bool) -> None:
    """What became of rows; ends with 1 where some were set aside."""
    if as_json:
        from wattwright.documents.register_table import aside_table, reading_table  # noqa: PLC0415 (start-up)

        show_json(
            {
                "entered": [each.serial for each in taken.entered],
                "readings": [reading_table(each) for each in taken.readings],
                "known": taken.known,
                "aside": [aside_table(each) for each in taken.aside],
            }
        )
    else:
        known = f", {taken.known} known before" if taken.known else ""
        say(f"Readings taken: {len(taken.readings)}; modules entered: {len(taken.entered)}{known}.")
        _show_aside(taken.aside)
    if taken.aside:
        raise typer.Exit(ASIDE)


def _show_aside(aside: Sequence["SetAside"]) -> None:
    told = [f"{kept.number}. {kept.origin}: {_cells(kept)}. {' '.join(kept.faults)}" for kept in aside]
    lines("Set aside for review (wattwright register accept or drop NUMBER):", told)


def _cells(kept: "SetAside") -> str:
    return ", ".join(f"{key} {value}" for key, value in kept.content.items())


def _shelf_table(title: str, shelved: Sequence["Shelved"]) -> Any:  # noqa: ANN401 (a rich table, imported late)
    columns = ("serial", "kind", ">capacity %", ">±", ">a year", ">resistance %", ">±", ">readings")
    return table(title, columns, [_shelf_row(each) for each in shelved])


def _shelf_row(each: "Shelved") -> tuple[str, ...]:
    found = each.health
    trend = "" if found.capacity_trend is None else f"{100 * found.capacity_trend.value:+.1f}"
    return (
        each.specimen.serial,
        each.specimen.module,
        f"{100 * found.capacity_left.value:.0f}",
        f"{100 * found.capacity_left.error:.0f}",
        trend,
        f"{100 * found.resistance_risen.value:.0f}",
        f"{100 * found.resistance_risen.error:.0f}",
        f"{max(found.capacity_readings, found.resistance_readings)}",
    )


def _reading_row(reading: dict[str, Any]) -> tuple[str, ...]:
    figures = (reading[key] for key in ("rest_voltage_v", "capacity_ah", "resistance_mohm", "temperature_c"))
    shown = ("" if value is None else f"{value:.4g}" for value in figures)
    return (reading["date"], reading["hand"], *shown, reading["note"])


def _match_table(answer: "Matched") -> dict[str, Any]:
    from wattwright.documents.register_table import health_table, retiring_table  # noqa: PLC0415 (start-up)
    from wattwright.units import ampere_hours_from_coulombs  # noqa: PLC0415 (start-up)

    found, stepped = answer.found, answer.stepped
    return {
        "modules": [{"serial": each.specimen.serial, **health_table(each.health)} for each in answer.shelved],
        "mean_current_a": round(answer.demand.current, 3),
        "highest_current_a": answer.demand.highest_current,
        "carries_a": round(found.carried, 3),
        "carries_demand": found.carries_demand,
        "usable_ah": round(ampere_hours_from_coulombs(found.usable), 4),
        "sum_ah": round(ampere_hours_from_coulombs(stepped.whole), 4),
        "stepped_usable_ah": round(ampere_hours_from_coulombs(stepped.given), 4),
        "first_empty": stepped.first_empty,
        "busiest": stepped.busiest,
        "busiest_share_of_even": round(stepped.highest_share, 3),
        "missed_least": None if answer.missed_least is None else retiring_table(answer.missed_least),
        "branches_looked_at": found.looked_at,
    }


def _show_match(answer: "Matched") -> None:
    content = _match_table(answer)
    console().print(_shelf_table("The best-matched set, proven", answer.shelved))
    carries = "" if content["carries_demand"] else " No set of so many carries what is asked."
    say(
        f"Carries {content['carries_a']:.1f} A before the first trips; asked are "
        f"{content['highest_current_a']:g} A.{carries}"
    )
    say(
        f"Gives {content['stepped_usable_ah']:.2f} Ah of {content['sum_ah']:.2f} Ah at "
        f"{content['mean_current_a']:.1f} A until {content['first_empty']} is empty; {content['busiest']} "
        f"then carries {content['busiest_share_of_even']:.2f} times an even share at the most."
    )
    if answer.missed_least is not None:
        out = content["missed_least"]
        say(
            f"To leave one out: {out['serial']}. The others give {out['others_usable_ah']:.2f} Ah and carry "
            f"{out['others_carry_a']:.1f} A."
        )
    say("Join modules only at like charge: look first with wattwright connect.")
