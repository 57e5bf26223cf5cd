"""The catalogue: parts by kind and name."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TypeVar

from wattwright.errors import NotInCatalogueError
from wattwright.parts.accessories import Cable, Carrier, Charger
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.drive import Drive
from wattwright.working import Source

Part = TypeVar("Part", BatteryModule, Drive, Charger, Carrier, Cable)


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """What can be bought, by name; later catalogues add to or replace earlier ones."""

    modules: Mapping[str, BatteryModule] = field(default_factory=dict)
    drives: Mapping[str, Drive] = field(default_factory=dict)
    chargers: Mapping[str, Charger] = field(default_factory=dict)
    carriers: Mapping[str, Carrier] = field(default_factory=dict)
    cables: Mapping[str, Cable] = field(default_factory=dict)
    sources: Mapping[tuple[str, str], Source] = field(default_factory=dict)
    """What stands behind a part's figures, by kind ("module", "drive", ...) and name."""

    def module(self, name: str) -> BatteryModule:
        """The module of that name.

        Raises:
            NotInCatalogueError: If there is none; names the nearest.
        """
        return _found("module", name, self.modules)

    def drive(self, name: str) -> Drive:
        """The drive of that name, or NotInCatalogueError."""
        return _found("drive", name, self.drives)

    def charger(self, name: str) -> Charger:
        """The charger of that name, or NotInCatalogueError."""
        return _found("charger", name, self.chargers)

    def carrier(self, name: str) -> Carrier:
        """The carrier of that name, or NotInCatalogueError."""
        return _found("carrier", name, self.carriers)

    def cable(self, name: str) -> Cable:
        """The cable of that name, or NotInCatalogueError."""
        return _found("cable", name, self.cables)

    def with_added(self, other: "Catalogue") -> "Catalogue":
        """This catalogue with another's parts added; the other's win where names meet."""
        return Catalogue(
            modules={**self.modules, **other.modules},
            drives={**self.drives, **other.drives},
            chargers={**self.chargers, **other.chargers},
            carriers={**self.carriers, **other.carriers},
            cables={**self.cables, **other.cables},
            sources={**self.sources, **other.sources},
        )


def _found(kind: str, name: str, parts: Mapping[str, Part]) -> Part:
    try:
        return parts[name]
    except KeyError:
        nearest = get_close_matches(name, parts, n=3, cutoff=0.3) or sorted(parts)[:3]
        raise NotInCatalogueError(kind, name, nearest) from None
