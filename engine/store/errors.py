"""What a store raises; kept apart from the library that it uses, which takes longer to import than all the rest."""

from __future__ import annotations


class StoreError(Exception):
    """A store that cannot be reached, read or written; the text says why and what to do."""


class ReadOnlyError(StoreError):
    """A store that may be read and not written from here."""


class UnfitError(StoreError):
    """A job that cannot be kept as it is; the store is well, and every other job goes in."""


class DivergedError(UnfitError):
    """A job was gone on with at two places at once: what is on file is not what its journal begins with."""
