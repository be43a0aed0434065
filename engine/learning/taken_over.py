"""What proposals would do to the worked calls, if all that jobs speak against were taken over as proposed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import score
from engine.knowledge.model import Knowledge, frozen
from engine.learning.answers import AnswerProposal
from engine.learning.lessons import TreeLesson
from engine.learning.overlay import shares_to_take
from engine.session.models import Models


@dataclass(frozen=True)
class CallsTried:
    """How many calls say what was so, how often the first cause is right now and then, and which calls turn."""

    calls: int
    right_now: int
    right_then: int
    turned_right: tuple[str, ...]
    turned_wrong: tuple[str, ...]


def taken_over(knowledge: Knowledge, found: Sequence[TreeLesson]) -> Knowledge:
    """The knowledge with the proposals in the place of the numbers that the jobs speak against; all else as it is."""
    trees, causes = dict(knowledge.trees), dict(knowledge.causes)
    for lesson in found:
        if any(one.differs for one in lesson.shares):
            tree, taken = trees[lesson.tree], shares_to_take(lesson.shares)
            singles = {one.cause: share / 100 for one, share in zip(lesson.shares, taken, strict=True)}
            trees[tree.id] = replace(tree, singles=frozen({**tree.singles, **singles}))
        for cause in {one.cause for one in lesson.answers if one.differs}:
            shows = {**causes[cause].shows, **_shown(cause, lesson.answers)}
            causes[cause] = replace(causes[cause], shows=frozen(shows))
    return replace(knowledge, trees=frozen(trees), causes=frozen(causes))


def tried(
    models: Models, found: Sequence[TreeLesson], calls: Sequence[WorkedCall], tell: Callable[[int], None]
) -> CallsTried:
    """Run the worked calls with the numbers as they are and as proposed. Args: `tell`, after each call, how many."""
    then = Models(taken_over(models.knowledge, found))
    moved = {name for name, tree in then.knowledge.trees.items() if tree != models.knowledge.trees[name]}
    causes = {name for name, cause in then.knowledge.causes.items() if cause != models.knowledge.causes[name]}
    now_right = then_right = 0
    right, wrong = list[str](), list[str]()
    known = [call for call in calls if call.causes is not None]
    for number, call in enumerate(known, start=1):
        before = bool(score(models, call).first)
        touched = call.complaint in moved or not causes.isdisjoint(models.knowledge.trees[call.complaint].singles)
        after = bool(score(then, call).first) if touched else before
        now_right, then_right = now_right + before, then_right + after
        if before != after:
            (right if after else wrong).append(call.name)
        tell(number)
    return CallsTried(len(known), now_right, then_right, tuple(right), tuple(wrong))


def _shown(cause: str, answers: Sequence[AnswerProposal]) -> Mapping[str, Mapping[str, float]]:
    """What a cause shows as proposed, of the checks that the jobs speak against; each adds up to 1."""
    of_it = [one for one in answers if one.cause == cause]
    shown = {}
    for check in dict.fromkeys(one.check for one in of_it if one.differs):
        values = {one.answer: one.proposed.value for one in of_it if one.check == check}
        total = math.fsum(values.values())
        shown[check] = frozen({answer: value / total for answer, value in values.items()})
    return shown
