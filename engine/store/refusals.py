"""What can go wrong with a store, in one line that says what to do and never how it is connected."""

from __future__ import annotations

from sqlalchemy.exc import DataError, DBAPIError, SQLAlchemyError

from engine.foundation.texts import say
from engine.store.errors import ReadOnlyError, StoreError, UnfitError

_SQLITE = (
    ("locked", "locked"),
    ("full", "full"),
    ("i/o", "full"),
    ("readonly", "read_only"),
    ("unable", "not_opened"),
    ("malformed", "no_store"),
    ("no such", "no_store"),
    ("decode", "no_store"),
    ("database", "no_store"),
)
"""Pieces of what SQLite says (from memory, tried), and the message each one gets."""
_POSTGRESQL = {
    "28": "refused",
    "3D": "no_database",
    "40": "locked",
    "55": "locked",
    "53300": "away",
    "53": "full",
    "42": "not_allowed",
    "25": "read_only",
    "57": "away",
    "08": "away",
}
"""Classes of SQLSTATE, or one of a class, and the message each one gets.

Source: the classes of ISO/IEC 9075, as PostgreSQL gives them.
"""
_SAID_ON_CONNECTING = (("password", "refused"), ("role", "refused"), ("exist", "no_database"))
"""Before a session stands a server gives no SQLSTATE to the driver, only words (tried)."""


def store_error(error: SQLAlchemyError) -> StoreError:
    """The one line for an error of the library; nothing of an address, a name or a password is repeated in it."""
    if isinstance(error, DataError):
        return UnfitError(say("store.wrong.unfit"))
    kind = _kind(error)
    raised = ReadOnlyError if kind in ("read_only", "not_allowed") else StoreError
    return raised(say(f"store.wrong.{kind}"))


def _kind(error: SQLAlchemyError) -> str:
    if not isinstance(error, DBAPIError):
        return "failed"
    original = error.orig
    words = str(original).casefold()
    if (state := getattr(original, "sqlstate", None)) is not None:
        return _POSTGRESQL.get(str(state)) or _POSTGRESQL.get(str(state)[:2], "failed")
    pieces = _SQLITE if type(original).__module__.startswith("sqlite3") else (*_SAID_ON_CONNECTING, ("", "away"))
    return next((kind for piece, kind in pieces if piece in words), "failed")
