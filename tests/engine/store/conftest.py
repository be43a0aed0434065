"""The stores of every test in this folder."""

from tests.engine.store.places import address, store

__all__ = ["address", "store"]
