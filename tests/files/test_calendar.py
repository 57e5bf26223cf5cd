"""Calendar files: read back by the library, whole days, moved and not doubled by a newer file."""

import datetime as dt

from icalendar import Calendar

from wattwright.files.calendar import Reminder, calendar_bytes

TODAY = dt.date(2026, 11, 25)
LATE = Reminder(
    date=dt.date(2027, 3, 1), title="FEN-1: charge it", what="To 40 %; watched, warm.", days_before=7
)
SOON = Reminder(date=dt.date(2027, 1, 10), title="FEN-1: look", what="Read it.", days_before=0)


def test_reminders_are_whole_days_in_order_and_ring_before() -> None:
    read = Calendar.from_ical(calendar_bytes([LATE, SOON], today=TODAY))
    first, second = read.walk("VEVENT")

    assert first["summary"] == "FEN-1: look"
    assert second.decoded("dtstart") == dt.date(2027, 3, 1)
    assert second.decoded("dtend") == dt.date(2027, 3, 2)
    assert str(second["description"]) == "To 40 %; watched, warm."
    (alarm,) = second.walk("VALARM")
    assert alarm.decoded("trigger") == dt.timedelta(days=-7)


def test_a_newer_file_moves_the_date_of_the_same_entry() -> None:
    moved = Reminder(date=dt.date(2027, 4, 1), title=LATE.title, what=LATE.what, days_before=7)
    before, after = (
        Calendar.from_ical(calendar_bytes([each], today=TODAY)).walk("VEVENT")[0] for each in (LATE, moved)
    )

    assert before["uid"] == after["uid"]
    assert before.decoded("dtstart") != after.decoded("dtstart")


def test_the_same_dates_make_the_same_file() -> None:
    assert calendar_bytes([LATE, SOON], today=TODAY) == calendar_bytes([SOON, LATE], today=TODAY)
