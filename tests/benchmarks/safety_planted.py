"""Mistakes planted in the rules of safety, to see that the search finds each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import pytest

from engine.session import availability, believed, danger, keeping_off, session
from engine.session.acts import Act
from engine.session.session import Session
from interview.dialogue import manager, safety_questions
from interview.dialogue.manager import DialogueManager
from interview.dialogue.safety_questions import unconfirmed
from interview.messages import Question
from tests.benchmarks.safety_search import language_of, random_interview, speaking
from tests.benchmarks.safety_strategy import chosen_by_chance

Patch = pytest.MonkeyPatch


def _keep_off_forgotten(patch: Patch) -> None:
    for module in (keeping_off, availability, believed, session, safety_questions):
        patch.setattr(module, "kept_off_by", lambda *_: ())


def _waits_for_ignored(patch: Patch) -> None:
    for module in (availability, session):
        patch.setattr(module, "waited_for", lambda *_: [])


def _plant_ignored(patch: Patch) -> None:
    patch.setattr(
        Session,
        "_carry_out",
        lambda self, repair, why: Act(
            "perform", repair.id, repair.work.cautions.for_role(self.role.id), repair=repair.id, why=why
        ),
    )


def _looks_in_live(patch: Patch) -> None:
    whole = Session.act_for

    def asked_at_once(self: Session, name: str) -> Act:
        act = whole(self, name)
        return Act("ask", name, act.cautions) if act.kind == "isolate" and name in self.knowledge.checks else act

    patch.setattr(Session, "act_for", asked_at_once)


def _caution_dropped(patch: Patch) -> None:
    whole = Session._carry_out

    def less(self: Session, repair: object, why: str) -> Act:
        act = whole(self, repair, why)  # type: ignore[arg-type]
        return replace(act, cautions=act.cautions[1:])

    patch.setattr(Session, "_carry_out", less)


def _consent_by_cant(patch: Patch) -> None:
    def shown_is_enough(session: Session, question: Question, minded: dict[str, set[str]]) -> Question:
        left = unconfirmed(session, question, minded)
        if question.confirm_cautions:
            minded.setdefault(question.about, set()).update(caution.id for caution in question.cautions)
        return left

    patch.setattr(manager, "unconfirmed", shown_is_enough)


def _danger_ignored(patch: Patch) -> None:
    whole = danger.answered

    def at_first_alone(reports, event, knowledge):  # type: ignore[no-untyped-def]
        return whole(reports, event, knowledge) if event.kind == "answered" else list(reports)

    patch.setattr(danger, "answered", at_first_alone)
    patch.setattr(danger, "told_of", lambda reports, *_: list(reports))


def _danger_over_once_safe(patch: Patch) -> None:
    whole = Session._once_safe

    def goes_on(self: Session, aim: object) -> Act:
        del aim
        return whole(self, "settle")

    patch.setattr(Session, "_once_safe", goes_on)


def _resumed_plant_trusted(patch: Patch) -> None:
    patch.setattr(DialogueManager, "_take_up", lambda self: setattr(self, "_taken_up", True))


def _left_without_a_word(patch: Patch) -> None:
    patch.setattr(Session, "leaving", lambda _: None)


@dataclass(frozen=True)
class Planted:
    """A mistake: what is changed in the program, and the laws of which one is broken then."""

    plant: Callable[[Patch], None]
    laws: tuple[str, ...]


PLANTED: Mapping[str, Planted] = {
    "keep-off forgotten": Planted(_keep_off_forgotten, ("nothing_switched_on",)),
    "consent by can't": Planted(_consent_by_cant, ("cautions_for_this_act",)),
    "plant ignored by repairs": Planted(
        _plant_ignored, ("opened_only_when_proved_off", "running_never_under_isolated")
    ),
    "plant ignored by looks": Planted(_looks_in_live, ("opened_only_when_proved_off",)),
    "a caution dropped": Planted(_caution_dropped, ("cautions_for_this_act", "cautions_of_switching")),
    "danger ignored in the middle": Planted(_danger_ignored, ("danger_stops_at_once",)),
    "danger over once made safe": Planted(_danger_over_once_safe, ("on_after_danger_by_an_act_of_its_own",)),
    "resumed plant trusted": Planted(_resumed_plant_trusted, ("plant_asked_in_another_visit",)),
    "waits_for ignored": Planted(_waits_for_ignored, ("nothing_before_what_it_waits_for",)),
    "left off without a word": Planted(_left_without_a_word, ("left_on_or_locked_off",)),
}


def cases_until_found(name: str, most: int, seed: int = 0) -> tuple[int, str] | None:
    """After how many random interviews a planted mistake is found, and by which law; None where it is not."""
    planted = PLANTED[name]
    with chosen_by_chance(), pytest.MonkeyPatch.context() as patch:
        planted.plant(patch)
        for nth in range(most):
            with speaking(language_of(seed + nth)) as models:
                found = random_interview(seed + nth, models)
            if found.broken and found.broken[0].law in planted.laws:
                return nth + 1, found.broken[0].law
    return None
