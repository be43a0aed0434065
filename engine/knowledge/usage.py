"""Which entries of a faults folder some other entry counts on."""

from __future__ import annotations

from engine.knowledge.catalogue import Folder, work_of
from engine.knowledge.model import DANGER_CHECK
from engine.knowledge.schema import NumberCheckForm


def used_ids(folder: Folder) -> dict[str, set[str]]:
    """By kind, the ids that some other entry names; of what nobody could do without, all."""
    used: dict[str, set[str]] = {kind: set() for kind in folder.declared}
    for tree in folder.trees.values():
        used["cause"] |= tree.form.of_100_calls.keys()
        used["check"] |= {
            *tree.form.given,
            *tree.form.told_by,
            *(check for shows in tree.form.here.values() for check in shows),
        }
        used["check"] |= {step.ask for step in tree.form.steps.values() if step.ask is not None}
        used["repair"] |= {step.propose for step in tree.form.steps.values() if step.propose is not None}
    for cause in folder.causes.values():
        used["check"] |= {*cause.form.shows, *cause.form.likelier}
        used["repair"] |= set(cause.form.repairs)
    used["finding"] = {name for name in folder.findings if name in used["check"]}
    for finding in folder.findings.values():
        used["check"] |= set(finding.form.from_)
    for repair in folder.repairs.values():
        used["part"] |= repair.form.parts.keys()
        used["check"] |= set(repair.form.amount_from)
    for work in work_of(folder):
        used["act"] |= {name for _, names in work.form.does for name in names}
        used["check"] |= {*work.form.pointless_if, *work.form.waits_for}
    for act in folder.acts.values():
        used["caution"] |= {
            name for field in (act.form.cautions, act.form.in_a_line) for _, names in field for name in names
        }
        # What nobody ever does serves by its words.
        used["act"] |= {act.form.act} if act.form.occasion is not None or not act.form.who else set()
    for check in folder.checks.values():
        serves = isinstance(check.form, NumberCheckForm) and check.form.tells is not None
        means = any(words.means or words.reports for words in getattr(check.form, "answers", {}).values())
        used["check"] |= {check.form.check} if serves or means or check.form.check == DANGER_CHECK else set()
    for danger in folder.dangers.values():
        used["caution"] |= set(danger.form.cautions)
    used["part"] |= {name for name, part in folder.parts.items() if part.form.is_ is not None}
    for kind in ("danger", "limit", "role", "unit", "tree"):
        used[kind] = set(folder.declared[kind])
    return used
