"""How fast a pack of unequal modules is worked out."""

import numpy as np

from benchmarks.harness import Case, benchmark
from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.branches import PlacedModule, Stack, pack_of
from wattwright.pack.guarding import conditions_of
from wattwright.pack.network import Ask, many_packs, pack_course
from wattwright.pack.supply import supply_of

HOUR = np.arange(0.0, 3601.0)
LANES = 2000


@benchmark
def pack_network() -> list[Case]:
    """One pack, and many, over an hour at 1 s."""
    kind = load_catalogue().module("slate-48")
    supply = supply_of(kind, 6, open_circuit_table(kind.chemistry).voltage)
    stack = Stack(modules=tuple(PlacedModule(charge=z) for z in np.linspace(0.9, 1.0, 6)), contact=0.002)
    pack = pack_of(supply, kind, [stack])
    power = 220.0 + 180.0 * np.sin(HOUR / 47.0)
    guarded = conditions_of(kind)
    start = np.tile(pack.start, (LANES, 1, 1))
    start[:, 2] *= np.random.default_rng(1).uniform(0.9, 1.0, start[:, 2].shape)
    alone = pack_of(supply, kind, [Stack(modules=stack.modules[:1])])
    return [
        Case(
            title="one module, an hour at 1 s",
            run=lambda: pack_course(alone, HOUR, power / 6.0, ask=Ask.POWER, conditions=guarded),
            things=3600,
            thing="step",
        ),
        Case(
            title="six unequal modules with protection, an hour at 1 s",
            run=lambda: pack_course(pack, HOUR, power, ask=Ask.POWER, conditions=guarded),
            things=6 * 3600,
            thing="module step",
            aim_seconds=0.0033,
        ),
        Case(
            title="2,000 packs of six modules, an hour at 1 s",
            run=lambda: many_packs(pack, start, HOUR, power, ask=Ask.POWER, conditions=guarded),
            things=LANES * 6 * 3600,
            thing="module step",
            aim_seconds=1.0,
            repeats=3,
        ),
    ]
