"""The ids that code speaks of by name, all of them: whatever else it needs to know, an entry says of itself."""

from __future__ import annotations

from collections.abc import Mapping

from engine.knowledge.computed import COMPUTED_FINDINGS
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, ROLES, frozen

DEFAULT_UNIT = "default"

NAMED: Mapping[str, frozenset[str]] = frozen(
    {
        "check": frozenset(
            {
                # The first question of every call: a danger is met before all else is asked.
                DANGER_CHECK,
                # How a unit tells its state: each unit profile has its own words for the answers.
                REPORT_CHECK,
                # The derived findings and the doses are computed from these, each by its own formula.
                *(check for computed in COMPUTED_FINDINGS.values() for check in computed.reads),
            }
        ),
        # Each is a formula; the knowledge says where its bands end.
        "finding": frozenset(COMPUTED_FINDINGS),
        # Three people ask, each at another place: what can be met there and who does the work hangs on that.
        "role": frozenset(ROLES),
        # Stands in where nobody knows the unit.
        "unit": frozenset({DEFAULT_UNIT}),
    }
)
"""By kind, the ids that may stand in code. What must be there is held by the rules, in engine/knowledge/rules/."""
