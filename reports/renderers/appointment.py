"""The day to come back as a calendar file (iCalendar, RFC 5545), which calendars of all kinds take in.

One entry of a whole day needs three of the standard's rules; a library for all of them takes 9 MB and a fifth of a
second, so the tests read what is written here with such a library instead.
"""

from __future__ import annotations

import datetime
import re
import uuid
from collections.abc import Iterator

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from reports.letterhead import Letterhead
from reports.sheets.coming_back import day_to_come_back
from reports.view import JobView

_NAMES = uuid.UUID("6f2c1c0e-7a3d-5b8e-9d41-52b0c9a7e3f4")
"""A name space of our own, drawn at random: the same job gives the same entry, which a calendar then renews."""
_MOST_OCTETS = 75
"""Of a line, without its end. Source: RFC 5545, 3.1."""


def appointment_form(view: JobView, shop: Letterhead, made: datetime.datetime) -> bytes | None:
    """One entry for a whole day: when to come back to the shop or call it, and what for; None where no day is told.

    Args:
        view: the job, in the customer's words.
        shop: whom to come back to.
        made: when this file is made, with its time zone.
    """
    day = day_to_come_back(view)
    if day is None:
        return None
    name = shop.head
    job = say("pages.job", job=view.head.job)
    what_for = [*view.advice.come_back, " · ".join([name, *shop.below_the_name()]), job]
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//brinecall//job sheet//EN",
        "METHOD:PUBLISH",
        "BEGIN:VEVENT",
        f"UID:{uuid.uuid5(_NAMES, f'{name}/{view.head.job}')}",
        f"DTSTAMP:{made.astimezone(datetime.UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{_basic(day)}",
        f"SUMMARY:{_text(say('handing_over.calendar.summary', shop=name))}",
        "DESCRIPTION:" + r"\n".join(map(_text, what_for)),
        # A whole day of waiting for a result makes nobody busy.
        "TRANSP:TRANSPARENT",
    ]
    if address := cleaned(shop.address):
        lines.append(f"LOCATION:{_text(address)}")
    return "".join(f"{part}\r\n" for line in (*lines, "END:VEVENT", "END:VCALENDAR") for part in _folded(line)).encode()


def _basic(day: datetime.date) -> str:
    return day.isoformat().replace("-", "")


def _text(text: str) -> str:
    """A text as a value. Source: RFC 5545, 3.3.11: a backslash stands before each backslash, semicolon and comma."""
    return re.sub(r"[\\;,]", r"\\\g<0>", cleaned(text))


def _folded(line: str) -> Iterator[str]:
    """A content line in parts of at most 75 octets, a space before all but the first; no letter is parted.

    Source: RFC 5545, 3.1.
    """
    part, octets = "", 0
    for letter in line:
        size = len(letter.encode())
        if octets + size > _MOST_OCTETS:
            yield part
            part, octets = " ", 1
        part, octets = part + letter, octets + size
    yield part
