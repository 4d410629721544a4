"""What a date in another order was probably meant to be: one day of the calendar, or the two it can be."""

from __future__ import annotations

import datetime
import re

# English names of months; a date in another language is refused with the general advice.
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_YEAR_FIRST = re.compile(r"([0-9]{4})[-./ ]?([0-9]{1,2})[-./ ]?([0-9]{1,2})\.?")
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-./ ]+([0-9]{1,2})[-./ ]+([0-9]{4})\.?")
_DAY_NAMED = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[-. ]+([a-z]{3,9})[-., ]+([0-9]{4})", re.IGNORECASE)
_MONTH_NAMED = re.compile(r"([a-z]{3,9})[-. ]+([0-9]{1,2})(?:st|nd|rd|th)?[-., ]+([0-9]{4})", re.IGNORECASE)
_SHORT_YEAR = re.compile(r"[0-9]{1,2}[-./ ]+[0-9]{1,2}[-./ ]+[0-9]{2}")


def date_cure(text: str) -> str:
    """The advice on a text that is no date of the form year-month-day; empty if nothing can be said.

    `25.11.2026` can only be one day. `5.6.2026` is a day in June to some and a day in May to others: both are
    named, none is chosen.
    """
    text = text.strip()
    if found := _YEAR_FIRST.fullmatch(text):
        days = _calendar([(found[1], found[2], found[3])])
    elif found := _YEAR_LAST.fullmatch(text):
        days = _calendar([(found[3], found[2], found[1]), (found[3], found[1], found[2])])
    elif found := _DAY_NAMED.fullmatch(text):
        days = _calendar([(found[3], _month(found[2]), found[1])])
    elif found := _MONTH_NAMED.fullmatch(text):
        days = _calendar([(found[3], _month(found[1]), found[2])])
    elif _SHORT_YEAR.fullmatch(text):
        return "write the year with four figures first, then the month, then the day"
    else:
        return ""
    if len(days) > 1:
        return f"which is the month cannot be told from it: write `{days[0]}` or `{days[1]}`, whichever is meant"
    return f"write `{days[0]}`" if days else ""


def _month(name: str) -> str:
    low = name.casefold()
    return str(_MONTHS.index(low[:3]) + 1) if low[:3] in _MONTHS else "0"


def _calendar(readings: list[tuple[str, str, str]]) -> list[str]:
    """The readings (year, month, day) that are days of the calendar, each once, as year-month-day."""
    days = []
    for year, month, day in readings:
        try:
            days.append(datetime.date(int(year), int(month), int(day)).isoformat())
        except ValueError:
            continue
    return list(dict.fromkeys(days))
