"""The table of a carrier's shape: its foot, slots, seats and the way its stack comes off."""

from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from wattwright.files.edge import Edge, contradiction
from wattwright.parts.carrier import CarrierKind, CarrierShape, Release, Slot

PlaceMm = Annotated[float, Field(ge=0, le=3000)]
CornerMm = Annotated[list[Annotated[float, Field(ge=-2000, le=3000)]], Field(min_length=2, max_length=2)]


class SlotTable(Edge):
    """A long hole along the carrier; from and to on the screw's centre line, from the dock end."""

    record: ClassVar[type] = Slot

    start_mm: float = Field(ge=0, le=3000)
    end_mm: float = Field(ge=0, le=3000)

    @model_validator(mode="after")
    def _runs_forward(self) -> "SlotTable":
        if self.end_mm < self.start_mm:
            raise contradiction("end_mm", self.end_mm, f"at least start_mm ({self.start_mm:g} mm)")
        return self


class ShapeTable(Edge):
    """A carrier as its drawing shows it; lengths along it are counted from its dock end."""

    record: ClassVar[type] = CarrierShape

    kind: CarrierKind = Field(strict=False)
    length_mm: float = Field(ge=40, le=3000)
    """Of the foot: what touches the tube."""
    foot_width_mm: float = Field(ge=8, le=1000)
    """Across the bicycle."""
    foot_height_mm: float = Field(ge=1, le=200)
    """From the tube to the underside of the modules above the foot."""
    web_mm: float = Field(ge=0.5, le=50)
    """Thickness of the foot under a screw's head."""
    dock_length_mm: float = Field(ge=0, le=1000)
    """Along the carrier, ahead of the first module; the end piece takes the rest of base_length."""
    dock_height_mm: float = Field(ge=1, le=500)
    """Of dock and end piece, from the tube."""
    band_height_mm: float = Field(ge=0, le=200)
    """Of the groove in which a band crosses the foot, from the tube."""
    overhang_low_mm: float = Field(ge=0, le=200)
    """Of the modules' lowest edge beside the foot, from the tube; foot_height where nothing hangs down."""
    overhang_inner_mm: float = Field(ge=0, le=500)
    """Of that edge's inner face from the middle line."""
    slots: list[SlotTable] = Field(default_factory=list, max_length=40)
    seats_mm: list[PlaceMm] = Field(default_factory=list, max_length=40)
    """Where a band or strap may lie."""
    release: Release = Field(strict=False)
    """Which way the whole stack comes off."""
    hand_room_mm: float = Field(ge=0, le=300)
    """Room for the hand that takes it off."""
    outline_mm: list[CornerMm] = Field(default_factory=list, max_length=100)
    """Corners [along, outward] of a bag or box; left out for a rail or tray."""
    thickness_mm: float = Field(default=0.0, ge=0, le=600)
    """Of that bag or box across the bicycle."""

    @model_validator(mode="after")
    def _hangs_together(self) -> "ShapeTable":
        if self.band_height_mm > self.foot_height_mm:
            wanted = f"at most foot_height_mm ({self.foot_height_mm:g} mm)"
            raise contradiction("band_height_mm", self.band_height_mm, wanted)
        if self.overhang_low_mm > self.foot_height_mm:
            wanted = f"at most foot_height_mm ({self.foot_height_mm:g} mm)"
            raise contradiction("overhang_low_mm", self.overhang_low_mm, wanted)
        last = max([slot.end_mm for slot in self.slots] + self.seats_mm, default=0.0)
        if last > self.length_mm:
            raise contradiction("length_mm", self.length_mm, f"at least its last slot or seat ({last:g} mm)")
        self._check_outline()
        return self

    def _check_outline(self) -> None:
        from wattwright.frame.plane import crosses_itself  # noqa: PLC0415 (start-up)

        if (self.kind in {CarrierKind.BAG, CarrierKind.BOX}) != bool(self.outline_mm):
            raise contradiction(
                "outline_mm", len(self.outline_mm), "given for a bag or box, and only for those"
            )
        if not self.outline_mm:
            return
        if self.thickness_mm <= 0:
            raise contradiction("thickness_mm", self.thickness_mm, "more than 0 mm for a bag or box")
        if len(self.outline_mm) < 3 or crosses_itself(tuple((u, h) for u, h in self.outline_mm)):
            wanted = "three corners or more of an outline that does not cross itself"
            raise contradiction("outline_mm", f"{len(self.outline_mm)} corners", wanted)
