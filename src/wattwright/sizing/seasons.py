"""Under what a ride is ridden out: today, in its coldest month, and in the last year of service."""

from dataclasses import dataclass

from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.units import Fraction, Kelvin, MetrePerSecond

MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """What a season's air is like at the hours of riding."""

    title: str
    temperature: Kelvin
    temperature_spread: Kelvin
    wind: MetrePerSecond
    """At 10 m over open land."""
    humidity: Fraction


def usual_weather(brief: Brief, ride: PlannedRide) -> Weather:
    """Mean of the months in which the ride is ridden."""
    months = [brief.climate.months[number - 1] for number in ride.months]
    share = 1.0 / len(months)
    mean = sum(month.temperature for month in months) * share
    between = sum((month.temperature - mean) ** 2 for month in months) * share
    within = sum(month.temperature_spread**2 for month in months) * share
    return Weather(
        title="usual weather",
        temperature=mean,
        temperature_spread=(between + within) ** 0.5,
        wind=sum(month.wind for month in months) * share,
        humidity=sum(month.humidity for month in months) * share,
    )


def coldest_weather(brief: Brief, ride: PlannedRide) -> Weather:
    """The coldest month in which the ride is ridden."""
    number = min(ride.months, key=lambda month: brief.climate.months[month - 1].temperature)
    month = brief.climate.months[number - 1]
    return Weather(
        title=MONTH_NAMES[number - 1],
        temperature=month.temperature,
        temperature_spread=month.temperature_spread,
        wind=month.wind,
        humidity=month.humidity,
    )
