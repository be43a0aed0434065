"""Knowledge, belief, strategy, session and the trade's computations."""

from engine.foundation.text_catalog import ENGLISH, use_language

__all__: list[str] = []

# Before any other module of the engine is read: what goes wrong then is said too.
use_language(ENGLISH)
