"""Dates and moments in words."""

from datetime import date, datetime

from examwalk.language import later, say

MONTHS = (
    later("January"),
    later("February"),
    later("March"),
    later("April"),
    later("May"),
    later("June"),
    later("July"),
    later("August"),
    later("September"),
    later("October"),
    later("November"),
    later("December"),
)
SHORT_MONTHS = (
    later("Jan"),
    later("Feb"),
    later("Mar"),
    later("Apr"),
    later("May"),
    later("Jun"),
    later("Jul"),
    later("Aug"),
    later("Sep"),
    later("Oct"),
    later("Nov"),
    later("Dec"),
)


def date_words(day: date) -> str:
    """Write a date so that it cannot be misread: ``6 January 2027``."""
    month = say(MONTHS[day.month - 1])
    return say("{day} {month} {year}", day=day.day, month=month, year=day.year)


def short_date_words(day: date) -> str:
    """Write a date where there is little room: ``6 Jan 2027``."""
    month = say(SHORT_MONTHS[day.month - 1])
    return say("{day} {month} {year}", day=day.day, month=month, year=day.year)


def time_words(moment: datetime) -> str:
    """Write a moment: ``25 Nov 2026, 09:12``."""
    return say("{date}, {time}", date=short_date_words(moment), time=f"{moment:%H:%M}")


def span_words(first: datetime, last: datetime) -> str:
    """Write from when to when: ``25 Nov 2026, 09:12 to 09:50``."""
    start, end = time_words(first), time_words(last)
    if start == end:
        return start
    end = f"{last:%H:%M}" if first.date() == last.date() else end
    return say("{first} to {last}", first=start, last=end)
