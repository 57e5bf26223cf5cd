"""Small frames and catalogues made at random, and the exhaustive search that the fast one is held against."""

import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.fixing_file import load_shelf
from wattwright.frame.candidates import Shelf
from wattwright.frame.findings import arrangement_findings, placement_findings
from wattwright.frame.placement import Fixing, Placement
from wattwright.frame.room import Room
from wattwright.frame.survey import (
    Boss,
    ClearanceKind,
    Frame,
    FrameKind,
    Obstacle,
    Section,
    SectionShape,
    Side,
    Tube,
    Wheel,
)
from wattwright.parts.accessories import Carrier
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.carrier import CarrierKind, CarrierShape, Release, Slot
from wattwright.parts.fixing import BandClamp, FixingKind, FixingShelf, Material, OffsetPlate, Screw

MODULE = replace(load_catalogue().modules["slate-48"], pitch=0.042, width=0.070, height=0.090)
RULES = load_shelf().rules
SCREW = Screw(
    name="screw", title="Screw", thread="M5x0.8", property_class="A2-70", length=0.020, mass=0.004, price=0.2
)
BAND = BandClamp(
    name="band", title="Band", width=0.009, thickness=0.0006, shortest=0.08, longest=0.30,
    working_force=900.0, torque=3.0, mass=0.02, price=3.0,
)  # fmt: skip
PLATE = OffsetPlate(
    name="plate", title="Plate", thickness=0.008, width=0.028, steps=(-0.03, 0.0, 0.03),
    edge_distance=0.010, mass_per_metre=0.4, price=10.0,
)  # fmt: skip
SHELF = replace(
    load_shelf(), rules=RULES, bands={"band": BAND}, plates={"plate": PLATE}, straps={},
    screws={"screw": SCREW},
)  # fmt: skip


def rail(
    modules: int,
    battery_module: BatteryModule = MODULE,
    release: Release = Release.AWAY_FROM_DOCK,
    travel: float = 0.04,
) -> Carrier:
    """A rail for so many modules, slotted and with seats along all of it."""
    length = 0.064 + modules * battery_module.pitch
    slots = tuple(
        Slot(start=0.02 + 0.064 * i, end=0.065 + 0.064 * i) for i in range(int((length - 0.07) / 0.064) + 1)
    )
    shape = CarrierShape(
        kind=CarrierKind.RAIL, length=length, foot_width=0.026, foot_height=0.014, web=0.004,
        dock_length=0.045, dock_height=0.030, band_height=0.006, overhang_low=0.009, overhang_inner=0.02,
        slots=slots, seats=tuple(0.015 + 0.05 * i for i in range(int((length - 0.03) / 0.05) + 1)),
        release=release, hand_room=0.03,
    )  # fmt: skip
    return Carrier(
        name=f"rail-{modules}", title=f"Rail for {modules}", modules_fitting=(battery_module.name,),
        base_length=0.064, removal_travel=travel, maximum_modules=modules, mass=0.2, mass_per_module=0.05,
        price=10.0 + modules, shape=shape,
    )  # fmt: skip


def round_section(size: float) -> Section:
    """A round tube cut across."""
    return Section(shape=SectionShape.ROUND, width=size, depth=size)


def tube(
    name: str, start: tuple[float, float], end: tuple[float, float], *sides: Side, size: float = 0.032
) -> Tube:
    """A straight round steel tube."""
    return Tube(
        name=name, start=start, end=end, start_section=round_section(size), end_section=round_section(size),
        material=Material.STEEL, wall=0.001, sides=sides,
    )  # fmt: skip


def small_frame(chance: random.Random) -> Frame:
    """Three tubes in a triangle, a wheel ahead, one thing in the way; every size by chance."""
    high, far = chance.uniform(0.25, 0.55), chance.uniform(0.3, 0.6)
    seat_top, head = (-0.3 * high, high), (far, high * chance.uniform(0.7, 1.1))
    taper = chance.choice([0.0, 0.0, 0.012])
    down = tube("down tube", (0.0, 0.0), head, Side.ABOVE, Side.BELOW, size=chance.uniform(0.03, 0.06))
    down = replace(down, end_section=round_section(down.start_section.width - taper))
    tubes = (
        down,
        tube("seat tube", (0.0, 0.0), seat_top, Side.FRONT),
        tube("top tube", seat_top, head, Side.BELOW),
    )
    first = chance.uniform(0.06, 0.11)
    bosses = tuple(
        Boss(tube=name, position=first + 0.064 * number, side=side)
        for name, side in (("down tube", Side.ABOVE), ("seat tube", Side.FRONT))
        for number in range(chance.choice([0, 2, 3]))
    )
    pump = Obstacle(
        name="pump", kind=ClearanceKind.PUMP, radius=0.015, low=-0.02, high=0.02,
        outline=((chance.uniform(0, far), chance.uniform(0, high)),),
    )  # fmt: skip
    wheel = chance.uniform(0.2, 0.34)
    front = Wheel(
        name="front wheel", centre=(far + 0.15, 0.0), radius=wheel, tyre_width=0.04, mudguard_gap=None
    )
    clearances = {kind: chance.choice([0.0, 0.003, 0.01]) for kind in ClearanceKind}
    return Frame(
        title="made by chance", kind=FrameKind.DIAMOND, tubes=tubes, bosses=bosses, obstacles=(pump,),
        wheels=(front,),
        cranks=(), steering=None, clearances=clearances,
    )  # fmt: skip


def small_shelf(chance: random.Random) -> Shelf:
    """One or two rails, and one or two ways of fixing them."""
    release = chance.choice(list(Release))
    carriers = tuple(
        rail(count, release=release) for count in chance.sample([1, 2, 3, 4], chance.choice([1, 2]))
    )
    kinds = frozenset(
        chance.sample(
            [FixingKind.BOSSES, FixingKind.BANDS, FixingKind.PLATE_ON_BOSSES, FixingKind.PLATE_ON_BANDS], 2
        )
    )
    return Shelf(battery_module=MODULE, carriers=carriers, fixings=SHELF, kinds=kinds)


def every_fixing(shelf: Shelf) -> Iterator[Fixing]:
    """Every way of fixing on the shelf, one by one."""
    fixings: FixingShelf = shelf.fixings
    for kind in sorted(shelf.kinds, key=lambda one: one.value):
        bands = fixings.bands.values() if kind in {FixingKind.BANDS, FixingKind.PLATE_ON_BANDS} else [None]
        screws = (
            fixings.screws.values() if kind in {FixingKind.BOSSES, FixingKind.PLATE_ON_BOSSES} else [None]
        )
        plates = (
            fixings.plates.values()
            if kind in {FixingKind.PLATE_ON_BOSSES, FixingKind.PLATE_ON_BANDS}
            else [None]
        )
        for band, screw, plate in product(bands, screws, plates):
            steps = plate.steps if plate and kind is FixingKind.PLATE_ON_BOSSES else (0.0,)
            for step in steps:
                yield Fixing(kind=kind, band=band, screw=screw, plate=plate, step=step)


def free_placements(room: Room, shelf: Shelf, step: float) -> list[Placement]:
    """Every placement on the grid that the judge has nothing against, asked one by one."""
    found = []
    for face, carrier, dock_first, fixing in product(
        room.faces.values(), shelf.carriers, (True, False), list(every_fixing(shelf))
    ):
        for number in range(int((face.length - carrier.shape.length) / step + 1) if carrier.shape else 0):
            for modules in range(1, carrier.maximum_modules + 1):
                placement = Placement(
                    face=face.name, carrier=carrier, battery_module=shelf.battery_module, modules=modules,
                    offset=round(number * step, 12), dock_first=dock_first, fixing=fixing,
                )  # fmt: skip
                if not placement_findings(room, placement, shelf.fixings.rules):
                    found.append(placement)
    return found


def most_by_trying(room: Room, shelf: Shelf, step: float, most_stacks: int) -> int:
    """The most modules, by trying every set of free placements; a set's subsets were tried before it."""
    placements = free_placements(room, shelf, step)
    known: dict[tuple[int, int], bool] = {}

    def together(one: int, other: int) -> bool:
        if (one, other) not in known:
            pair = (placements[one], placements[other])
            known[one, other] = not arrangement_findings(room, pair, shelf.fixings.rules)
        return known[one, other]

    best = max((one.modules for one in placements), default=0)
    sets: list[tuple[int, ...]] = [(number,) for number in range(len(placements))]
    largest = best
    for size in range(2, most_stacks + 1):
        longer = []
        for chosen in sets:
            have = sum(placements[number].modules for number in chosen)
            for number in range(chosen[-1] + 1, len(placements)):
                # What cannot beat the best even with the largest stacks still to come is not worth trying.
                if have + placements[number].modules + largest * (most_stacks - size) <= best:
                    continue
                if all(together(one, number) for one in chosen):
                    longer.append((*chosen, number))
                    best = max(best, have + placements[number].modules)
        sets = longer
    return best
