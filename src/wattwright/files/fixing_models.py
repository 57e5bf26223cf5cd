"""The tables of fixing files: bands, plates, straps and screws; rules with their sources.

Ranges are wide physical bounds (common practice, no source) against slips of the pen and of the unit.
"""

import datetime as dt
from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from wattwright.files.catalogue_models import NAME_FORM, OriginTable
from wattwright.files.edge import Edge, contradiction
from wattwright.parts.fixing import BandClamp, FixingKind, Insert, Material, OffsetPlate, Screw, Strap
from wattwright.working import Standing


class BandTable(Edge):
    """A metal band drawn taut around tube and carrier."""

    record: ClassVar[type] = BandClamp

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    width_mm: float = Field(ge=3, le=60)
    """Along the tube."""
    thickness_mm: float = Field(ge=0.2, le=5)
    shortest_mm: float = Field(ge=30, le=2000)
    """Inner length drawn tightest."""
    longest_mm: float = Field(ge=30, le=2000)
    working_force_n: float = Field(ge=20, le=20_000)
    """Pull in the band when tightened to torque."""
    torque_nm: float = Field(ge=0.2, le=30)
    mass_kg: float = Field(ge=0, le=2)
    price: float = Field(ge=0, le=10_000)

    @model_validator(mode="after")
    def _has_a_range(self) -> "BandTable":
        if self.shortest_mm >= self.longest_mm:
            raise contradiction("shortest_mm", self.shortest_mm, f"below longest_mm ({self.longest_mm:g} mm)")
        return self


class PlateTable(Edge):
    """An offset plate between bosses or bands and the carrier; cut to length."""

    record: ClassVar[type] = OffsetPlate
    renamed: ClassVar[dict[str, str]] = {"mass": "mass_per_metre"}

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    thickness_mm: float = Field(ge=1, le=60)
    """How much it raises the carrier."""
    width_mm: float = Field(ge=8, le=200)
    steps_mm: list[Annotated[float, Field(ge=-300, le=300)]] = Field(min_length=1, max_length=100)
    """Shifts of the carrier along the tube; 0 is none."""
    edge_distance_mm: float = Field(ge=3, le=60)
    """From the last hole or band to the plate's end."""
    mass_kg_per_m: float = Field(ge=0.01, le=20)
    price: float = Field(ge=0, le=10_000)


class StrapTable(Edge):
    """A textile strap around tube and bag."""

    record: ClassVar[type] = Strap

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    width_mm: float = Field(ge=5, le=100)
    longest_mm: float = Field(ge=50, le=5000)
    working_force_n: float = Field(ge=10, le=5000)
    """Pull in it when drawn tight by hand."""
    mass_kg: float = Field(ge=0, le=2)
    price: float = Field(ge=0, le=10_000)


class ScrewTable(Edge):
    """A screw for bosses."""

    record: ClassVar[type] = Screw

    name: str = Field(pattern=NAME_FORM)
    title: str = Field(min_length=1, max_length=120)
    thread: str = Field(pattern=r"^M\d+(\.\d+)?x\d(\.\d+)?$")
    """Diameter and pitch: M5x0.8."""
    property_class: str = Field(min_length=2, max_length=10)
    """As marked on the head: 8.8, A2-70."""
    length_mm: float = Field(ge=4, le=200)
    """Under the head."""
    mass_kg: float = Field(ge=0, le=1)
    price: float = Field(ge=0, le=1000)


class FixingTables(Edge):
    """A file of fixings that can be bought."""

    origin: OriginTable
    band: list[BandTable] = Field(default_factory=list)
    plate: list[PlateTable] = Field(default_factory=list)
    strap: list[StrapTable] = Field(default_factory=list)
    screw: list[ScrewTable] = Field(default_factory=list)


class ProhibitionTable(Edge):
    """A way of fixing that is not permitted on a material."""

    kind: FixingKind = Field(strict=False)
    material: Material = Field(strict=False)
    because: str = Field(min_length=5, max_length=300)
    standing: Standing = Field(strict=False)


class BossRuleTable(Edge):
    """What an insert in a tube of some material takes."""

    insert: Insert = Field(strict=False)
    material: Material = Field(strict=False)
    torque_nm: float = Field(ge=0.2, le=30)
    pull_out_n: float = Field(ge=50, le=50_000)
    standing: Standing = Field(strict=False)


class ShockTable(Edge):
    """A stated shock, in multiples of the carried weight."""

    name: str = Field(min_length=2, max_length=60)
    forward: float = Field(default=0.0, ge=-100, le=100)
    upward: float = Field(default=0.0, ge=-100, le=100)
    sideways: float = Field(default=0.0, ge=-100, le=100)
    """To the rider's right."""
    text: str = Field(min_length=5, max_length=300)
    standing: Standing = Field(strict=False)


class FiguresTable(Edge):
    """Distances, friction and margins."""

    engagement: float = Field(ge=0.3, le=5)
    """Least thread in engagement, in diameters."""
    minimum_spacing_mm: float = Field(ge=0, le=500)
    largest_overhang_pct: float = Field(ge=1, le=100)
    band_clearance_mm: float = Field(ge=0, le=20)
    slot_margin_mm: float = Field(ge=0, le=10)
    friction: float = Field(ge=0.01, le=1)
    torque_factor: float = Field(ge=0.05, le=0.5)
    scatter_pct: float = Field(ge=10, le=100)
    safety: float = Field(ge=1, le=10)


class RulesTables(Edge):
    """The rules of fixing: what is allowed, how far apart, how tight."""

    dated: dt.date
    figures: FiguresTable
    sources: dict[str, OriginTable]
    prohibitions: list[ProhibitionTable] = Field(default_factory=list)
    boss: list[BossRuleTable] = Field(min_length=1)
    shock: list[ShockTable] = Field(min_length=1)
