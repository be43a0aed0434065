"""Rules for answers to findings: each is given to a rule that may be broken on purpose."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.problems import Problem, advice_for, nearest
from engine.foundation.texts import say
from engine.knowledge.catalogue import Folder
from engine.knowledge.second_look import DOUBTS


def answers_name_rules(folder: Folder) -> Iterator[Problem]:
    """`meant` names rules that may be broken on purpose: dangers and doubts, and no rule whose breach is a mistake.

    Right: `meant: {twin-causes: only the history tells them apart}`.
    Wrong: `meant: {calls-add-up: it is about 100}`.
    """
    for kind in folder.declared:
        for placed in folder.of_kind(kind).values():
            for rule in getattr(placed.form, "meant", {}):
                if rule not in DOUBTS:
                    what = say("second_look.answers.unknown_rule", rule=rule)
                    is_near = nearest(rule, DOUBTS) is not None
                    advice = advice_for(rule, DOUBTS) if is_near else say("second_look.answers.explain")
                    yield placed.problem(("meant", rule), what, advice, at_key=True)
