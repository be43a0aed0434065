"""A strategy without sense: any open check may pay, and any repair may be next. What is safe must not hang on it.

The rules of safety may not lean on what pays, so the search mostly leaves the choice to chance: it meets repairs and
orders that the true strategy seldom takes, and works out no belief, which is what takes time.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

import pytest

from engine.inference.belief import Array
from engine.knowledge.model import Plant, Role, UnitProfile
from engine.session import session as interview
from engine.session.acts import Act
from engine.session.believed import BelievedJob
from engine.session.doubting import at_hand, read_both_ways, to_read_again
from engine.session.firmness import firmness
from engine.session.folding import fold
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.validation import refuse_unknown
from engine.strategy import Aim, Appraisal, Explanation, Situation
from engine.strategy.costs import Remedy, remedy_for
from reports.view import firm

_PAYS = 0.8
_HANDS_ON = 0.06
_READ_AGAIN = 0.3


class Chance:
    """Chooses by a salt: the same at the same place of the same interview, so that a seed replays it."""

    salt = 0
    """One interview's own; 0 leaves the choice to the true strategy."""

    def __init__(self, models: Models, tree: str, role: Role, failed: Sequence[str], left: Sequence[str]) -> None:
        known = models.knowledge
        mine = dict.fromkeys(r for c in models.tree(tree).causes for r in known.causes[c].repairs)
        self.remedies: list[Remedy] = []
        for name in sorted(set(mine) - set(failed)):
            found = remedy_for(known.repairs[name], role, known, here=name not in left)
            if (
                found.decision == "order_and_return"
                and name not in left
                and random.Random(f"van {self.salt}").random() < 0.5
            ):
                # Somebody who has the part in the van after all.
                found = replace(found, decision=known.repairs[name].decision[role.id])
            self.remedies.append(found)

    def _rng(self, *about: object) -> random.Random:
        return random.Random(repr((self.salt, about)))

    def appraise(self, _: Array, situation: Situation, aim: Aim) -> list[Appraisal]:
        """Every open check, worth something by chance."""
        del aim
        turn = len(situation.answers)
        found = []
        for name in situation.open_checks:
            rng = self._rng(turn, name)
            found.append(Appraisal(name, 1.0, 0.9, 1.0 + (rng.random() if rng.random() < _PAYS else -1.0) * 20, 0.1))
        few = self._rng(turn).random() < 0.15
        found = [each._replace(gain=0.0) for each in found] if few else found
        return sorted(found, key=lambda each: (-each.worth, each.check))

    def gain_of_all(self, _: Array, situation: Situation) -> float:
        """What several looks at once are worth: by chance."""
        return self._rng("all", tuple(situation.open_checks)).choice((-1.0, 20.0))

    def act_now(self, _: Array, aim: Aim, plant: Plant) -> tuple[Remedy | None, float]:
        """Any remedy; sometimes none, which hands on."""
        del aim, plant
        rng = self._rng("act", len(self.remedies))
        none = not self.remedies or rng.random() < _HANDS_ON
        return (None if none else rng.choice(self.remedies)), 1.0

    def explain(self, belief: Array, situation: Situation, aim: Aim, check: str) -> Explanation:
        """What the check is worth by chance; of what it may show nothing is known."""
        found = next((each for each in self.appraise(belief, situation, aim) if each.check == check), None)
        if found is None:
            raise LookupError(check)
        return Explanation(found, False, ())

    def order(self, _: Array) -> list[tuple[Remedy, float, tuple[str, ...]]]:
        """The remedies in some order."""
        order = sorted(self.remedies, key=lambda each: self._rng("order", each.repair).random())
        return [(remedy, 1.0 / len(order), ()) for remedy in order]


@contextmanager
def chosen_by_chance() -> Iterator[None]:
    """Where a salt is set, the strategy is chance, and belief is what it is before anything was said."""
    replayed = BelievedJob.record

    def record(self: BelievedJob, event: Event) -> None:
        """The event alone instead of all of them again; that both come to the same is a law of the interview."""
        if not Chance.salt or event.kind == "taken_back":
            replayed(self, event)
            return
        refuse_unknown(event, self.knowledge)
        fold(self.job, event, self.knowledge)
        self.walk.take(event, self.job, self.knowledge)
        self.events.append(event)
        self._forget()

    planner, belief = Models.planner, vars(BelievedJob)["belief"].fget

    def any_planner(
        self: Models,
        tree: str,
        role: Role,
        unit: UnitProfile,
        failed: tuple[str, ...],
        left: tuple[str, ...] = (),
        found: tuple[str, ...] = (),
    ) -> object:
        if Chance.salt:
            return Chance(self, tree, role, failed, left)
        return planner(self, tree, role, unit, failed, left, found)

    def read_by_chance(asked: BelievedJob, act: Act) -> str | None:
        """Some answer that can be read again here, now and then; what was read twice and differs comes first."""
        if not Chance.salt:
            return to_read_again(asked, act)
        if act.kind not in ("conclude", "perform") and act.repair is None:
            return None
        job, checks = asked.job, asked.knowledge.checks
        once = [name for name, read in sorted(job.read.items()) if len(read) == 1 and name in job.answers]
        here = [name for name in once if name not in job.read_no_more and at_hand(asked, checks[name])]
        rng = random.Random(repr((Chance.salt, "again", job.questions)))
        some = rng.choice(here) if here and rng.random() < _READ_AGAIN else None
        return read_both_ways(asked) or some

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BelievedJob, "record", record)
        patch.setattr(Models, "planner", any_planner)
        patch.setattr(interview, "to_read_again", read_by_chance)
        patch.setattr(firm, "firmness", lambda asked, repair: None if Chance.salt else firmness(asked, repair))
        patch.setattr(BelievedJob, "belief", property(lambda self: self.model.prior if Chance.salt else belief(self)))
        yield
