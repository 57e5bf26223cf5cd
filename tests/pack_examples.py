"""An invented module that several tests of the pack share."""

from wattwright.parts.battery_module import BatteryModule, Chemistry, ProtectionPoint

NICKEL_MODULE = BatteryModule(
    name="example",
    title="Invented 13-series module",
    chemistry=Chemistry.NMC811,
    cells_in_series=13,
    cells_in_parallel=1,
    capacity=2.0 * 3600,
    energy=93.6 * 3600,
    resistance=0.40,
    relaxation_resistance=0.15,
    relaxation_time=30.0,
    activation_energy=20e3,
    maximum_voltage=54.6,
    minimum_voltage=39.0,
    discharge_protection=(
        ProtectionPoint(current=30.0, duration=0.1),
        ProtectionPoint(current=15.0, duration=10.0),
        ProtectionPoint(current=10.0, duration=60.0),
    ),
    continuous_discharge_current=10.0,
    maximum_charge_current=2.0,
    regeneration_current=4.0,
    coldest_discharge=253.15,
    hottest_discharge=333.15,
    coldest_charge=273.15,
    hottest_charge=318.15,
    mass=0.7,
    pitch=0.04,
    width=0.08,
    height=0.09,
    maximum_parallel=16,
    maximum_series=1,
    price=120.0,
)
