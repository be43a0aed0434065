"""Which answers may be slips, by all the others, and which one is read again before a remedy rests on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from engine.findings.evidence import telling
from engine.inference.belief import Array
from engine.knowledge.model import DANGER_CHECK, Check, Plant
from engine.session.acts import Act
from engine.session.believed import BelievedJob
from engine.session.keeping_off import energises, kept_off_by
from engine.session.machine import answer_of
from engine.session.readings import agree
from engine.strategy import Situation
from engine.strategy.acting import act_on, repair_first
from engine.strategy.costs import check_minutes
from engine.strategy.decision import DecisionModel
from engine.strategy.options import PLANTS, shown

AGAIN: Final = "again"
"""Why a check is asked that has an answer: it is read again."""
SLIPS = 0.05
"""So many answers in 1 are slips, each other answer as likely: judgement."""
SAME_AGAIN = 0.5
"""So often the same person says the same again without a look, so that a second reading tells nothing: judgement."""
NOTABLE = 0.41
"""From this probability on that some answer is a slip one is named: by drawn calls, some 1 in 10 of those without."""


@dataclass(frozen=True)
class PossibleSlip:
    """One answer, `said`, and by all the others P(it is a slip), and what it then most likely is, `instead`.

    Of a number both are bands. `fits` is how many times better all else goes with another answer than with this one.
    At most one slip is reckoned with, at the rate `SLIPS`.
    """

    check: str
    said: str
    slip: float
    instead: str
    fits: float


@dataclass(frozen=True)
class _Read:
    """A check that was answered, with P(answer, hypothesis | everything else) by answer."""

    check: Check
    said: str
    joint: dict[str, Array]

    @cached_property
    def fits(self) -> float:
        """How many times likelier any other answer is than what was said, by all else."""
        chances = {answer: float(each.sum()) for answer, each in self.joint.items()}
        return (sum(chances.values()) - chances[self.said]) / max(chances[self.said], 1e-12)

    @property
    def odds(self) -> float:
        """P(all that was said, with a slip here) over P(all that was said, with none)."""
        return SLIPS / (1.0 - SLIPS) / (len(self.joint) - 1) * self.fits

    @cached_property
    def slipped(self) -> Array:
        """P(hypothesis and answer | a slip here), shape (answers - 1, hypotheses)."""
        others = np.array([each for answer, each in self.joint.items() if answer != self.said])
        return np.asarray(others / max(float(others.sum()), 1e-300))

    @property
    def instead(self) -> str:
        """What it is most probably, if not what was said."""
        return max((a for a in self.joint if a != self.said), key=lambda answer: float(self.joint[answer].sum()))


def doubts(asked: BelievedJob) -> list[PossibleSlip]:
    """Every answer that could be a slip, the most doubtful first."""
    read = _read(asked)
    whole = 1.0 + sum(each.odds for each in read)
    found = [PossibleSlip(each.check.id, each.said, each.odds / whole, each.instead, each.fits) for each in read]
    return sorted(found, key=lambda doubt: (-doubt.slip, doubt.check))


def likely_slip(asked: BelievedJob) -> PossibleSlip | None:
    """The answer that goes least with all the others, where some answer may well be a slip.

    What tells of danger or keeps the plant off is never called a slip on a paper: it is looked at again, or it stands.
    """
    if asked.job.danger is not None:
        return None
    found = doubts(asked)
    some = sum(doubt.slip for doubt in found) >= NOTABLE
    return next((doubt for doubt in found if not _guards(asked, doubt.check)), None) if some else None


def _guards(asked: BelievedJob, name: str) -> bool:
    """Whether a check's answer tells of danger or keeps the plant off."""
    check, value = asked.knowledge.checks[name], asked.job.answers[name].reading.value
    return check.keeps_off(value) or check.danger_of(value) is not None


def to_read_again(asked: BelievedJob, act: Act) -> str | None:
    """The check to read again before this act, if that pays; first one that was read twice and said two things.

    It pays where the minutes that the act would waste, were the answer a slip, weigh more than reading it again.
    """
    if act.kind not in ("conclude", "perform") and act.repair is None:
        return None
    if (split := read_both_ways(asked)) is not None:
        return split
    read = [each for each in _read(asked) if at_hand(asked, each.check)]
    if not read:
        return None
    whole = 1.0 + sum(each.odds for each in _read(asked))
    wasted = _wasted(asked.planner.decision, read, act.repair, PLANTS.index(_plant(asked)))
    worth = {
        each.check.id: (1.0 - SAME_AGAIN) * each.odds / whole * minutes
        - check_minutes(each.check, asked.role, _plant(asked))
        for each, minutes in zip(read, wasted, strict=True)
    }
    best = max(worth, key=lambda name: (worth[name], name))
    return best if worth[best] > 0.0 else None


def _wasted(model: DecisionModel, read: list[_Read], repair: str | None, plant: int) -> list[float]:
    """By how many minutes it is better to know of each slip than to do this first, where it is one."""
    rows = np.concatenate([each.slipped for each in read])
    place = model.repairs.index(repair) if repair in model.repairs else len(model.repairs)
    lost = np.maximum(repair_first(model, rows, place, plant) - act_on(model, rows, plant), 0.0)
    ends = np.cumsum([len(each.slipped) for each in read])
    return [float(part.sum()) for part in np.split(lost, ends[:-1])]


def read_both_ways(asked: BelievedJob) -> str | None:
    """What was read twice and said two things, if it can be read a third time here."""
    checks, job = asked.knowledge.checks, asked.job
    twice = (
        name
        for name, read in job.read.items()
        if len(read) == 2 and name in job.answers and name not in job.read_no_more
    )
    split = (name for name in twice if name in job.answers and not agree(checks[name], *job.read[name]))
    return next((name for name in split if at_hand(asked, checks[name])), None)


def at_hand(asked: BelievedJob, check: Check) -> bool:
    """Whether a check can be read again without switching anything.

    What is switched on, reset or started to be seen is not repeated: a breaker is reset once, and no second time.
    """
    if check.work.energised_by or (kept_off_by(asked.knowledge, asked.job) and energises(check, asked.job)):
        return False
    return asked.job.role == "counter" or check.plant in ("any", asked.job.plant)


def _plant(asked: BelievedJob) -> Plant:
    return "running" if asked.job.plant == "running" else "isolated"


def _read(asked: BelievedJob) -> list[_Read]:
    """What was answered once, and by another answer would believe something else."""
    found = []
    for name in telling(asked.knowledge, asked.job.readings):
        check = asked.knowledge.checks.get(name)
        read_again = len(asked.job.read.get(name, ())) > 1 or name in asked.job.read_no_more
        if check is None or name == DANGER_CHECK or check.from_record or read_again:
            continue
        each = _against_the_rest(asked, check)
        if each is not None:
            found.append(each)
    return found


def _against_the_rest(asked: BelievedJob, check: Check) -> _Read | None:
    rest = {name: reading for name, reading in asked.job.readings.items() if name != check.id}
    situation = Situation(asked.role, _plant(asked), (), telling(asked.knowledge, rest), asked.job.brought)
    table = asked.planner.outcomes(check, situation) * asked.believed_with(rest)
    joint: dict[str, Array] = {}
    for answer, row in zip(shown(asked.model, check, len(table)), table, strict=True):
        joint[answer] = joint[answer] + row if answer in joint else row
    said = answer_of(asked.knowledge, asked.job, check.id)
    return _Read(check, said, joint) if said in joint and len(joint) > 1 else None
