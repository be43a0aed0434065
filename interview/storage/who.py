"""Who is at work: the account on this machine, and the counter that it stands at."""

from __future__ import annotations

import os
import sys

from engine.foundation.plain_text import cleaned
from interview.storage.settings import counter_name

_ACCOUNT = ("LOGNAME", "USER", "LNAME", "USERNAME")
_LONGEST = 60


def at_work() -> str:
    """Who writes, as events carry it: `account @ counter`."""
    return f"{account()} @ {counter()}"


def account() -> str:
    """The account on this machine."""
    named = next((name for variable in _ACCOUNT if (name := os.environ.get(variable))), "")
    if not named and sys.platform != "win32":
        named = str(os.getuid())
    return _one_line(named) or "?"


def counter() -> str:
    """What the counter is called: as it was settled, else as the machine is."""
    if sys.platform == "win32":
        machine = os.environ.get("COMPUTERNAME", "")
    else:
        machine = os.uname().nodename
    return _one_line(counter_name() or machine) or "?"


def _one_line(text: str) -> str:
    return " ".join(cleaned(text).replace("@", " ").split())[:_LONGEST]
