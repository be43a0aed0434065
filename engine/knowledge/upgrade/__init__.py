"""An older faults folder turned into the present form, in place: its text is edited by the places of its parts, so
that comments, order and layout stay; what a step cannot decide it names and leaves. One module a step.
The stamps of translations are renewed by the same edits, `restamp`.
"""

from engine.knowledge.upgrade.folder import Upgraded, upgrade_folder
from engine.knowledge.upgrade.restamp import restamp

__all__ = ["Upgraded", "restamp", "upgrade_folder"]
