"""The register: the modules that exist, by serial number, each with its readings over time."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from wattwright.units import Coulomb, Kelvin, Ohm, Volt


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen:
    """One module that exists."""

    serial: str
    """As on its label."""
    module: str
    """Its kind: a name in the catalogue."""
    first_use: dt.date | None = None
    """When its life began; None where nobody knows."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measurement of one module; what was not measured is None."""

    serial: str
    date: dt.date
    hand: str = ""
    """Who took it."""
    rest_voltage: Volt | None = None
    """At the contacts after a rest, without load."""
    capacity: Coulomb | None = None
    """Given from full to its own cut-off, slowly."""
    resistance: Ohm | None = None
    """Between the contacts, after about ten seconds of load."""
    temperature: Kelvin | None = None
    """Of the module when it was measured."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Retirement:
    """A module taken out of use."""

    serial: str
    date: dt.date
    hand: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAside:
    """A reading or specimen that was not believed, kept word for word for review."""

    number: int
    """By which review speaks of it; counts from 1 and is never used again."""
    date: dt.date
    """On which it was set aside."""
    content: Mapping[str, str]
    """As it was given, key by key."""
    origin: str
    """File and line it came from."""
    faults: tuple[str, ...]
    """What is wrong with it, as sentences."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """Every module with its readings."""

    specimens: Mapping[str, Specimen] = field(default_factory=dict)
    """By serial, in the order they were entered."""
    readings: tuple[Reading, ...] = ()
    """In the order they were entered."""
    retired: Mapping[str, Retirement] = field(default_factory=dict)
    """By serial."""
    aside: tuple[SetAside, ...] = ()
    """Waiting for review."""

    def of(self, serial: str) -> tuple[Reading, ...]:
        """The readings of one module, by date."""
        own = [reading for reading in self.readings if reading.serial == serial]
        return tuple(sorted(own, key=lambda reading: reading.date))

    @property
    def in_use(self) -> tuple[Specimen, ...]:
        """The modules not retired, in the order they were entered."""
        return tuple(each for each in self.specimens.values() if each.serial not in self.retired)


def plain(serial: str) -> str:
    """A serial as one compares it: without case, spaces and strokes.

    >>> plain("FEN-0141") == plain("fen 0141")
    True
    """
    return "".join(letter for letter in serial.casefold() if letter.isalnum())
