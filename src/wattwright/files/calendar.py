"""Dates to be reminded of, as an iCalendar file that any calendar takes."""

import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

PRODUCT: Final = "-//Wattwright//Dates of storage//EN"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """One whole day with something to do."""

    date: dt.date
    title: str
    what: str
    """What to do, in a sentence or two."""
    days_before: int
    """How long before that day to ring."""


def calendar_bytes(reminders: Sequence[Reminder], *, today: dt.date) -> bytes:
    """The reminders as iCalendar (RFC 5545), earliest first.

    Args:
        reminders: Whole days.
        today: Stamped on each entry.

    Notes:
        An entry's identity follows from its title, so that taking a newer file moves the date instead of
        adding a second entry.
    """
    from icalendar import Alarm, Calendar, Event  # noqa: PLC0415 (start-up)

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    for reminder in sorted(reminders, key=lambda each: (each.date, each.title)):
        event = Event()
        event.add("uid", hashlib.sha256(reminder.title.encode()).hexdigest()[:32] + "@wattwright")
        event.add("dtstamp", dt.datetime.combine(today, dt.time(), dt.UTC))
        event.add("dtstart", reminder.date)
        event.add("dtend", reminder.date + dt.timedelta(days=1))
        event.add("summary", reminder.title)
        event.add("description", reminder.what)
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", reminder.title)
        alarm.add("trigger", -dt.timedelta(days=reminder.days_before))
        event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())
