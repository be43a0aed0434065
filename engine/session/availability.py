"""Which checks the person who asks could make here and now."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property

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
    here = _Here(knowledge, job)
    return [check.id for check in checks if here.possible(check)]


def may_say(knowledge: Knowledge, job: Job, check: str) -> bool:
    """Whether a written step puts this check: possible, and not one that such a person hardly ever can say."""
    item = knowledge.checks[check]
    chance = chance_to_say(item, _role(knowledge, job), job.brought)
    return chance > HARDLY_EVER and _Here(knowledge, job).possible(item)


def makes_sense(knowledge: Knowledge, job: Job, check: Check) -> bool:
    """Whether there is anything for this check to tell here, whoever makes it and when.

    A complaint that leaves one answer of a check open has said it: a unit that reports no flow makes no gas to look at.
    """
    return _Here(knowledge, job).makes_sense(check)


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


class _Here:
    """A job as every check is held to it; what is the same for all of them is worked out once, when first wanted."""

    def __init__(self, knowledge: Knowledge, job: Job) -> None:
        self._knowledge, self._job = knowledge, job

    def possible(self, check: Check) -> bool:
        """Whether this person could meet what the check needs on this visit; after a danger, only what is harmless."""
        job = self._job
        brought = job.role == "counter" and check.brought in job.brought
        if check.needs in job.barred or not (check.needs in self._role.can_use or brought):
            return False
        if self._guarded and not _harmless(job, check):
            return False
        if self._kept_off and energises(check, job):
            return False
        if check.waits_for and any(self._in_person(name) for name in waited_for(self._knowledge, job, check)):
            return False
        return self.makes_sense(check)

    def makes_sense(self, check: Check) -> bool:
        """Whether there is anything for a check to tell."""
        return not (check.id in self._not_shown or check.id in self._begun_anew or check.is_pointless(self._said))

    def _in_person(self, check: str) -> bool:
        """Whether a check that another waits for can be made by whoever is here."""
        return self._knowledge.checks[check].needs in self._role.can_use and may_say(self._knowledge, self._job, check)

    @cached_property
    def _role(self) -> Role:
        return _role(self._knowledge, self._job)

    @cached_property
    def _guarded(self) -> bool:
        return self._job.made_safe or self._job.but_for_danger

    @cached_property
    def _kept_off(self) -> bool:
        return bool(kept_off_by(self._knowledge, self._job))

    @cached_property
    def _said(self) -> Mapping[str, object]:
        """What the complaint and the answers have said, by check."""
        tree = self._knowledge.trees.get(self._job.complaint or "")
        given = tree.given if tree is not None else {}
        said: dict[str, object] = {about: answers[0] for about, answers in given.items() if len(answers) == 1}
        said |= {about: answered.reading.value for about, answered in self._job.answers.items()}
        return said

    @cached_property
    def _not_shown(self) -> Collection[str]:
        """The figures that units show, and this one, as was said of it, does not."""
        if self._job.unit_assumed:
            return ()
        units = self._knowledge.units
        shown = {check for unit in units.values() for check in unit.shows_numbers}
        return shown.difference(units[self._job.unit or DEFAULT_UNIT].shows_numbers)

    @cached_property
    def _begun_anew(self) -> Collection[str]:
        """What asks how long ago or how old something is that was done or renewed just now."""
        repairs = self._knowledge.repairs
        done = [name for name, outcome in self._job.repaired.items() if outcome == "done" and name in repairs]
        return {check for name in done for check in repairs[name].ask_again if _is_context(self._knowledge, check)}


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
