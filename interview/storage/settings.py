"""What a user has chosen, kept in the platform's folder for settings: the units of sheets, the place picked last."""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from platformdirs import user_config_path

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import why_not
from engine.foundation.texts import say
from interview.storage.atomic_write import write_whole

if TYPE_CHECKING:
    from engine.quantities.unit_systems import System

_MOST_BYTES = 100_000

ENVIRONMENT = "BRINECALL_CONFIG"
"""Names another folder for settings."""

GROUP = "group"
READERS = ("account", GROUP)
"""Who may read jobs and papers: this account alone, or its group too."""

_SYSTEMS: tuple[System, ...] = ("metric", "us")
"""Those of `engine.quantities.unit_systems`, which the first question has no need of."""


def preferences_file() -> Path:
    """Where the choices are kept; the file need not be there."""
    if chosen := os.environ.get(ENVIRONMENT):
        return Path(chosen) / "preferences.json"
    return user_config_path("brinecall", appauthor=False) / "preferences.json"


def shop_file() -> Path:
    """Where it is kept what the shop tells of itself; the file need not be there."""
    return preferences_file().with_name("shop.json")


def units_in_use() -> System:
    """The units chosen, metric where none were; a file that cannot be used is named on standard error."""
    kept = _read().get("units", "metric")
    found = next((units for units in _SYSTEMS if units == kept), None)
    if found is None:
        _complain(say("sheet_command.preferences.unknown_units", units=str(kept)[:40]))
    return found or "metric"


def remember_units(units: System) -> bool:
    """Keep the units for the next time, and whether they are; where they cannot be kept that is said, and no more."""
    try:
        _remember(units=units)
    except OSError as error:
        _complain(say("sheet_command.preferences.not_kept", why=why_not(error)))
        return False
    return True


def role_picked() -> str:
    """The id of the place picked last; empty where none is known, or can be read: it only saves a key."""
    return _text("role")


def counter_name() -> str:
    """What this counter is called; empty where nobody named it."""
    return _text("counter")


def group_may_read() -> bool:
    """Whether the group of this account may read its jobs and their papers."""
    return _text("readable_by") == GROUP


def store_address() -> str:
    """Where the shop's jobs go, as it was settled here; empty where it was not."""
    return _text("store")


def knowledge_folder() -> str:
    """The faults folder that was settled here for all commands; empty where it is the shipped one."""
    return _text("knowledge")


def knowledge_before() -> str:
    """The faults folder that was settled before the present one was taken; empty where it was the shipped one."""
    return _text("knowledge_before")


def settle(**said: str) -> None:
    """Keep how this counter is called (`counter`), where its jobs go (`store`) and who may read them (`readable_by`),
    which `knowledge` its commands take, which they took before (`knowledge_before`).

    Raises OSError where it cannot.
    """
    _remember(**said)


def _text(name: str) -> str:
    """One choice; empty where there is none, or none can be read."""
    try:
        kept = _parsed(preferences_file()).get(name, "")
    except (OSError, ValueError):
        return ""
    return kept if isinstance(kept, str) else ""


def remember_role(role: str) -> None:
    """Keep the place for the next time, where that can be."""
    with suppress(OSError):
        _remember(role=role)


def _remember(**said: str) -> None:
    """Keep choices beside the others, all of these or none. Raises OSError where they cannot be kept."""
    path = preferences_file()
    try:
        kept = _parsed(path)
    except (OSError, ValueError):
        kept = {}
    if all(kept.get(name) == value for name, value in said.items()):
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, (json.dumps({**kept, **said}, indent=2) + "\n").encode())


def _read() -> dict[str, Any]:
    try:
        return _parsed(preferences_file())
    except OSError as error:
        _complain(say("sheet_command.preferences.unreadable", why=why_not(error)))
    except ValueError:
        _complain(say("sheet_command.preferences.broken"))
    return {}


def _parsed(path: Path) -> dict[str, Any]:
    """The choices in a file, none where it is not there. Raises OSError, or ValueError where it holds no choices."""
    try:
        content = read_at_most(path, _MOST_BYTES)
    except FileNotFoundError:
        return {}
    try:
        data = json.loads(content)
    except RecursionError as error:
        raise ValueError("nested too deeply") from error
    if not isinstance(data, dict):
        raise ValueError("not an object")
    return data


def _complain(what: str) -> None:
    line = " ".join(f"{preferences_file()}: {what}".split())
    print(f"brinecall: {line}", file=sys.stderr)
