"""From a survey and the stacks meant for it to what is drawn: pictures, full-size template, drawing files."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from wattwright.documents.bicycle_drawing_stacks import placed_stack
from wattwright.documents.bicycle_drawing_view import BicycleView
from wattwright.documents.template_plate import FullSize, full_size
from wattwright.errors import FileError, InputError, NotInCatalogueError
from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.fixing_file import load_shelf
from wattwright.files.frame_file import frame_from, read_frame
from wattwright.files.job_file import job_catalogues, job_from, job_survey
from wattwright.files.toml_text import read_toml
from wattwright.frame.findings import arrangement_findings, placement_findings
from wattwright.frame.placement import Face, Fixing, Placement, Refusal
from wattwright.frame.room import Room, room_of
from wattwright.parts.carrier import CarrierKind
from wattwright.parts.fixing import FixingKind, FixingShelf, OffsetPlate
from wattwright.units import metres_from_mm

if TYPE_CHECKING:
    from wattwright.frame.survey import Frame
    from wattwright.parts.accessories import Carrier
    from wattwright.parts.battery_module import BatteryModule
    from wattwright.parts.catalogue import Catalogue

KEYS: Final = ("face", "carrier", "modules", "offset_mm", "dock", "fixing", "plate", "step_mm", "module")
FORM: Final = "face=above down tube, carrier=sill-rail-4, modules=4, offset_mm=200"


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveyed:
    """A bicycle and what can be put on it."""

    frame: "Frame"
    catalogue: "Catalogue"
    module: str
    """Name of the job's module; "" where a frame file alone was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What is drawn, and every reason against the stacks that cannot be."""

    view: BicycleView
    refusals: tuple[Refusal, ...]


def surveyed(path: Path) -> Surveyed:
    """The bicycle of a frame file, or of the frame file that a job names.

    Raises:
        FileError: If a file is missing or damaged, or the job names no frame file.
        InputError: If a value is out of range.
    """
    content = read_toml(path)
    if "job" not in content:
        return Surveyed(frame=frame_from(content, str(path)), catalogue=load_catalogue(), module="")
    job = job_from(content, str(path))
    survey = job_survey(path, job)
    if survey is None:
        raise FileError(
            str(path), "the job names no frame file", "Measure the frame and name its file in the job."
        )
    catalogue = load_catalogue(job_catalogues(path, job))
    return Surveyed(frame=read_frame(survey), catalogue=catalogue, module=job.module)


def judged(bicycle: Surveyed, stacks: Sequence[str], also: Sequence[str] = ()) -> Judged:
    """The stacks as texts ("face=…, carrier=…, modules=…, offset_mm=…") put on the bicycle and judged.

    Args:
        bicycle: With its catalogue.
        stacks: Meant to be there; the first that can be stay, what cannot be beside them is refused.
        also: What would also fit, to be drawn dashed; refused where it cannot be even alone.

    Raises:
        InputError: If a text is not of that form, or names a face that the bicycle has not.
        NotInCatalogueError: If a carrier, module or plate is not known.
    """
    room, shelf = room_of(bicycle.frame), load_shelf()
    chosen: list[Placement] = []
    refused: list[tuple[Placement, tuple[Refusal, ...]]] = []
    ghosts: list[Placement] = []
    for text in stacks:
        placement = _placement(text, bicycle, room, shelf)
        against = arrangement_findings(room, (*chosen, placement), shelf.rules)
        if against:
            refused.append((placement, against))
        else:
            chosen.append(placement)
    for text in also:
        placement = _placement(text, bicycle, room, shelf)
        against = placement_findings(room, placement, shelf.rules)
        if against:
            refused.append((placement, against))
        else:
            ghosts.append(placement)
    view = BicycleView(
        room=room,
        rules=shelf.rules,
        placements=tuple(chosen),
        ghosts=tuple(ghosts),
        refused=tuple(placement for placement, _ in refused),
    )
    return Judged(view=view, refusals=tuple(one for _, against in refused for one in against))


def laid_out(view: BicycleView) -> tuple[FullSize, ...]:
    """Every chosen stack laid out for marking out.

    Raises:
        InputError: If no stack is on the bicycle.
    """
    if not view.placements:
        raise InputError(
            "stack", "none that can be", "a stack that can be on the bicycle", f"Give --stack {FORM!r}."
        )
    return tuple(full_size(view.room.frame, placed_stack(view, placement)) for placement in view.placements)


def _placement(text: str, bicycle: Surveyed, room: Room, shelf: FixingShelf) -> Placement:
    given = _given(text)
    carrier = bicycle.catalogue.carrier(given["carrier"])
    if carrier.shape is None:
        raise InputError(
            "carrier", carrier.name, "one whose drawing is in the catalogue", "Give it a [carrier.shape]."
        )
    placement = Placement(
        face=room.face(given["face"]).name,
        carrier=carrier,
        battery_module=_module(given, bicycle, carrier),
        modules=_whole(given, "modules"),
        offset=metres_from_mm(_number(given, "offset_mm")),
        dock_first=_choice(given, "dock", ("first", "last")) == "first",
        fixing=Fixing(kind=FixingKind.BOSSES),
    )
    return _best_held(
        room, placement, tuple(_fixings(given, shelf, room.face(given["face"]), carrier)), shelf
    )


def _given(text: str) -> dict[str, str]:
    """Keys and values of one stack."""
    found: dict[str, str] = {}
    for piece in text.split(","):
        key, sign, value = piece.partition("=")
        key = key.strip()
        if not sign or key not in KEYS or key in found:
            raise InputError(
                "stack",
                piece.strip(),
                f"key=value with a key of {', '.join(KEYS)}, each once",
                f"Like {FORM!r}.",
            )
        found[key] = value.strip()
    for key in KEYS[:4]:
        if key not in found:
            raise InputError("stack", text, f"a text with {key}=…", f"Like {FORM!r}.")
    return found


def _number(given: dict[str, str], key: str) -> float:
    try:
        value = float(given.get(key, "0"))
    except ValueError:
        value = float("nan")
    if not abs(value) <= 5000:
        raise InputError(f"stack {key}", given[key], "a number of millimetres, -5000 to 5000")
    return value


def _whole(given: dict[str, str], key: str) -> int:
    value = given[key]
    if not (value.isascii() and value.isdigit() and int(value) <= 99):
        raise InputError(f"stack {key}", value, "a whole number, 0 to 99")
    return int(value)


def _choice(given: dict[str, str], key: str, choices: Sequence[str]) -> str:
    value = given.get(key, choices[0])
    if value not in choices:
        raise InputError(f"stack {key}", value, f"one of {', '.join(choices)}")
    return value


def _module(given: dict[str, str], bicycle: Surveyed, carrier: "Carrier") -> "BatteryModule":
    """The one that is named, the job's, or the first that the carrier takes."""
    return bicycle.catalogue.module(given.get("module") or bicycle.module or carrier.modules_fitting[0])


def _fixings(given: dict[str, str], shelf: FixingShelf, face: Face, carrier: "Carrier") -> Iterator[Fixing]:
    """Every fixing of the kind asked for; without one, bosses where there are two, else bands or straps."""
    is_bag = carrier.shape is not None and carrier.shape.kind is CarrierKind.BAG
    usual = FixingKind.STRAPS if is_bag else FixingKind.BOSSES if len(face.bosses) > 1 else FixingKind.BANDS
    kinds = (usual.value, *(kind.value for kind in FixingKind if kind is not usual))
    kind = FixingKind(_choice(given, "fixing", kinds))
    plates = (
        _plates(given, shelf) if kind in {FixingKind.PLATE_ON_BOSSES, FixingKind.PLATE_ON_BANDS} else (None,)
    )
    step = metres_from_mm(_number(given, "step_mm"))
    for plate in plates:
        bare = Fixing(kind=kind, plate=plate, step=step)
        if kind is FixingKind.STRAPS:
            yield from (replace(bare, strap=strap) for strap in shelf.straps.values())
        elif kind in {FixingKind.BANDS, FixingKind.PLATE_ON_BANDS}:
            yield from (replace(bare, band=band) for band in shelf.bands.values())
        else:
            yield from (replace(bare, screw=screw) for screw in shelf.screws.values())


def _plates(given: dict[str, str], shelf: FixingShelf) -> tuple[OffsetPlate, ...]:
    name = given.get("plate", "")
    if name and name not in shelf.plates:
        raise NotInCatalogueError("plate", name, list(shelf.plates))
    return (shelf.plates[name],) if name else tuple(shelf.plates.values())


def _best_held(room: Room, placement: Placement, fixings: Sequence[Fixing], shelf: FixingShelf) -> Placement:
    """With the first fixing against which nothing stands, or least."""
    tried = [replace(placement, fixing=fixing) for fixing in fixings]
    return min(tried, key=lambda one: len(placement_findings(room, one, shelf.rules)))
