"""Knowledge, belief, strategy, session and the trade's computations.

What other programs build on is offered here; `engine/README.md` has an example.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from engine.foundation.text_catalog import ENGLISH, in_language, use_language

if TYPE_CHECKING:
    from engine.computations import compute
    from engine.inference.many import posteriors
    from engine.knowledge.loader import load_knowledge
    from engine.session.acts import Act
    from engine.session.journal import Event
    from engine.session.many_jobs import beliefs
    from engine.session.models import Models
    from engine.session.session import Session

__all__ = [
    "Act",
    "Event",
    "Models",
    "Session",
    "beliefs",
    "compute",
    "in_language",
    "load_knowledge",
    "posteriors",
    "use_language",
]

_HOMES = {
    "Act": "engine.session.acts",
    "Event": "engine.session.journal",
    "Models": "engine.session.models",
    "Session": "engine.session.session",
    "beliefs": "engine.session.many_jobs",
    "compute": "engine.computations",
    "load_knowledge": "engine.knowledge.loader",
    "posteriors": "engine.inference.many",
}
"""Where each name lives; it is imported when it is first asked for, as the first question needs none of them."""

# Before any other module of the engine is read: what goes wrong then is said too.
use_language(ENGLISH)


def __getattr__(name: str) -> object:
    """What is offered here and not imported yet."""
    if name not in _HOMES:
        raise AttributeError(f"{__name__}.{name}", name=name)
    return getattr(import_module(_HOMES[name]), name)
