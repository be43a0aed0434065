"""Which checks the person who asks could make here and now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK, Check, Knowledge, Repair, Role, reader_of
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.acts import Act
from engine.session.decisions import BY_ITS_AMOUNTS
from engine.session.job import Job
from engine.session.keeping_off import energises, kept_off_by, waited_for
from engine.strategy.costs import chance_to_say

HARDLY_EVER = 0.02
"""The word for it in the knowledge; a person is not asked what such a person hardly ever knows."""

SAMPLE = "water_sample"
"""What may be brought that lets the shop test the water."""
CELL = "cell"
"""What may be brought that the shop can clean."""


def asked_checks(knowledge: Knowledge) -> list[Check]:
    """The checks that people are asked: all but those that only the record of a pool tells."""
    return [check for check in knowledge.checks.values() if not check.from_record]


def open_checks(knowledge: Knowledge, job: Job) -> list[str]:
    """The checks that have not had their turn and are possible here, in the order of the catalogue."""
    checks = (check for check in asked_checks(knowledge) if not job.settled(check.id) and check.id != DANGER_CHECK)
    scene = _Scene.of(knowledge, job)
    return [check.id for check in checks if _possible(knowledge, job, check, scene)]


def may_say(knowledge: Knowledge, job: Job, check: str) -> bool:
    """Whether a written step puts this check: possible, and not one that such a person hardly ever can say."""
    item = knowledge.checks[check]
    chance = chance_to_say(item, _role(knowledge, job), job.brought)
    return _possible(knowledge, job, item, _Scene.of(knowledge, job)) and chance > HARDLY_EVER


def makes_sense(knowledge: Knowledge, job: Job, check: Check) -> bool:
    """Whether there is anything for this check to tell here, whoever makes it and when.

    A complaint that leaves one answer of a check open has said it: a unit that reports no flow makes no gas to look at.
    """
    return _tells(knowledge, job, check, _Scene.of(knowledge, job))


def amount_hangs_on(knowledge: Knowledge, repair: Repair, cause: str | None) -> list[str]:
    """The checks without which a repair's amounts cannot be worked out where it is done for this cause.

    Of its tests of the water those are left out by which only another cause shows that it cures: water is swapped by
    salt or by stabiliser. None is left out where the cause shows by none of them.
    """
    wanted = [knowledge.checks[name] for name in repair.amount_from if name in knowledge.checks]
    shown = knowledge.causes[cause].shows if cause is not None else {}
    tests = [check.id for check in wanted if check.brought == SAMPLE]
    others = {name for other in repair.cures if other != cause for name in knowledge.causes[other].shows}
    foreign = others - shown.keys() if any(name in shown for name in tests) else set()
    return [check.id for check in wanted if check.id not in tests or check.id not in foreign]


def for_amount(knowledge: Knowledge, job: Job, act: Act, cause: str | None = None) -> str | None:
    """A check without which the amounts of what is to be sold or done cannot be worked out, if it can be asked.

    Args: `cause`, for which it is done; None where nobody has said.
    """
    if act.repair is None or (act.kind == "conclude" and act.about not in BY_ITS_AMOUNTS):
        return None
    left = open_checks(knowledge, job)
    wanted = (name for name in amount_hangs_on(knowledge, knowledge.repairs[act.repair], cause) if name in left)
    return next((name for name in wanted if may_say(knowledge, job, name)), None)


def as_left(knowledge: Knowledge, job: Job, repair: str) -> list[str]:
    """In the field, what a repair changes and was measured before it: it is measured once more, as left.

    Nothing is switched off for it again, and how long ago something was is no reading.
    """
    if job.role != "field":
        return []
    again = [name for name in knowledge.repairs[repair].ask_again if name in job.answers]
    again = [name for name in again if not _is_context(knowledge, name)]
    return [name for name in again if knowledge.checks[name].plant in ("any", job.plant)]


def switches_itself(knowledge: Knowledge, job: Job, repair: str) -> bool:
    """Whether the steps of this repair switch the supply off themselves, somewhere on their way."""
    return knowledge.repairs[repair].plant == "isolated" and job.plant == "running"


@dataclass(frozen=True)
class _Scene:
    """What of a job bears on every check, worked out once: what was said, what units show, what was done anew.

    `done_anew` are the checks that repairs which were done ask again.
    """

    said: Mapping[str, object]
    shown_by_units: frozenset[str]
    shown_here: frozenset[str]
    done_anew: frozenset[str]
    kept_off: bool

    @classmethod
    def of(cls, knowledge: Knowledge, job: Job) -> _Scene:
        tree = knowledge.trees.get(job.complaint or "")
        given = tree.given if tree is not None else {}
        said: dict[str, object] = {about: answers[0] for about, answers in given.items() if len(answers) == 1}
        said |= {about: answered.reading.value for about, answered in job.answers.items()}
        done = [name for name, outcome in job.repaired.items() if outcome == "done" and name in knowledge.repairs]
        return cls(
            said,
            frozenset(name for unit in knowledge.units.values() for name in unit.shows_numbers),
            frozenset(knowledge.units[job.unit or DEFAULT_UNIT].shows_numbers),
            frozenset(check for name in done for check in knowledge.repairs[name].ask_again),
            bool(kept_off_by(knowledge, job)),
        )


def _possible(knowledge: Knowledge, job: Job, check: Check, scene: _Scene) -> bool:
    """Whether this person could meet what the check needs on this visit; after a danger, only what is harmless."""
    if not (check.needs in _role(knowledge, job).can_use or (job.role == "counter" and check.brought in job.brought)):
        return False
    if (job.made_safe or job.but_for_danger) and not _harmless(job, check):
        return False
    if scene.kept_off and energises(check, job):
        return False
    if check.waits_for and any(_in_person(knowledge, job, name) for name in waited_for(knowledge, job, check)):
        return False
    return check.needs not in job.barred and _tells(knowledge, job, check, scene)


def _tells(knowledge: Knowledge, job: Job, check: Check, scene: _Scene) -> bool:
    """Whether there is anything for a check to tell."""
    # A figure that units show, and this one, as was said of it, does not.
    if not job.unit_assumed and check.id in scene.shown_by_units and check.id not in scene.shown_here:
        return False
    if check.pointless_if and check.is_pointless(scene.said):
        return False
    # How long ago or how old something is that was done or renewed just now.
    return not (check.id in scene.done_anew and _is_context(knowledge, check.id))


def _in_person(knowledge: Knowledge, job: Job, check: str) -> bool:
    """Whether a check that another waits for can be made by whoever is here."""
    return knowledge.checks[check].needs in _role(knowledge, job).can_use and may_say(knowledge, job, check)


def _is_context(knowledge: Knowledge, check: str) -> bool:
    """Whether it makes causes likelier and none shows by it: what is seen too is looked at again."""
    causes = knowledge.causes.values()
    return any(check in cause.likelier for cause in causes) and not any(check in cause.shows for cause in causes)


def _harmless(job: Job, check: Check) -> bool:
    """After a danger the supply stays off: a technician may look inside, anybody else only remember and say."""
    reader = reader_of(job.role or "counter")
    # What runs is only remembered at a counter; what is switched on for a look would be switched on at home.
    if reader in check.work.energised_by or (check.plant == "running" and job.role != "counter"):
        return False
    if job.role == "field":
        return check.needs in ("nothing", "kit", "tools")
    return check.needs == "nothing" and not check.work.cautions.to(reader)


def _role(knowledge: Knowledge, job: Job) -> Role:
    if job.role is None:
        raise LookupError(say("admitting.role_not_said"))
    return knowledge.roles[job.role]
