"""May these modules be joined: the step the command line calls."""

from collections.abc import Sequence

from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.connecting import ConnectAnswer, RestReading, connect_check
from wattwright.pack.supply import supply_of
from wattwright.parts.catalogue import Catalogue
from wattwright.units import Ampere, Fraction, Kelvin, Ohm, Volt


def connect_modules(
    catalogue: Catalogue,
    module: str,
    *,
    voltages: Sequence[Volt],
    charges: Sequence[Fraction],
    temperature: Kelvin,
    contact: Ohm,
    joint_limit: Ampere,
) -> ConnectAnswer:
    """Look the module up and work the check out.

    Args:
        catalogue: Of parts.
        module: By its catalogue name.
        voltages: At rest, one for each module, or none. [V]
        charges: In place of voltages, one for each module, or none.
        temperature: Of all. [K]
        contact: Between neighbours, out and back. [Ω]
        joint_limit: What a contact carries. [A]

    Raises:
        InputError: If both or neither voltages and charges are given, or a reading cannot be.
        NotInCatalogueError: If there is no such module.
    """
    if bool(voltages) == bool(charges):
        raise InputError(
            "voltage_v", list(voltages), "given for every module, or charge_pct in its place, not both"
        )
    kind = catalogue.module(module)
    supply = supply_of(kind, 1, open_circuit_table(kind.chemistry).voltage)
    readings = [RestReading(voltage=voltage, temperature=temperature) for voltage in voltages] or [
        RestReading(charge=charge, temperature=temperature) for charge in charges
    ]
    return connect_check(kind, supply, readings, contact=contact, joint_limit=joint_limit)
