"""Behind a complaint of too much chlorine nothing that adds any is told or sold, whatever was answered."""

from __future__ import annotations

import random
import re
from typing import get_args

import pytest

from engine.foundation.text_catalog import use_language
from engine.knowledge.model import Check, RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets, sheets_of, view_for
from tests.reports.jobs import AT, DATE, answers, opened
from tests.shipped import models_in

TREE = "too-much-chlorine"
ADDS = re.compile(
    r"% liquid chlorine|hand dose[,:]|by hand in the evening|add some by hand|add chlorine to add by hand|"
    r"one strong dose of|"
    r"at full output with the pump on|"
    r"cloro líquido al|dosis a mano[,:]|a mano al anochecer|agregue cloro a mano|a plena producción con la bomba",
    re.IGNORECASE,
)
"""How the papers of the other complaints tell to add chlorine, by hand or by the unit."""


def said(check: Check, chance: random.Random) -> str | float:
    if not check.is_number:
        return chance.choice([answer.id for answer in check.answers if not answer.reports])
    limits = [band.under.value(models_in("en").knowledge.units["default"]) for band in check.bands if band.under]
    return round(chance.choice([*limits, limits[0] / 2, limits[-1] * 1.5]) * chance.uniform(0.9, 1.1), 2)


def any_job(seed: int, language: str) -> Session:
    """A job behind this complaint with a dozen answers at random, and at times a repair done and judged."""
    chance = random.Random(seed)
    role: RoleId = chance.choice(["counter", "phone", "field"])
    checks = [check for check in models_in("en").knowledge.checks.values() if check.id != "danger_now"]
    given = {check.id: said(check, chance) for check in chance.sample(checks, chance.randint(0, 14))}
    given |= {"free_chlorine": chance.choice([0.0, 0.4, 2.0, 9.0, 25.0])} if chance.random() < 0.6 else {}
    session = Session(models_in(language), [*opened(role, TREE), *answers(**given)])
    repair = session.conclude().repair
    if repair is not None and chance.random() < 0.5:
        result = chance.choice(["helped", "not_helped"])
        done = [Event("repaired", AT, about=repair, value="done"), Event("verified", AT, about=repair, value=result)]
        session = Session(models_in(language), [*session.events, *done])
    return session


@pytest.mark.no_cover  # many papers through branches that other tests take too
@pytest.mark.parametrize("language", ["en", "es"])
def test_nothing_adds_chlorine_whatever_was_answered(language: str) -> None:
    use_language(language)
    known = models_in(language).knowledge
    sold = {part for part in known.parts if known.parts[part].use == "hand_chlorine"}
    try:
        for seed in range(30):
            session = any_job(seed, language)
            for reader in get_args(Audience):
                view = view_for(session, DATE, reader)
                assert not sold & {line.part for line in view.parts}, seed
                assert not sold & set(view.home.parts), seed
                assert not any(known.repairs[action.repair].strong_dose for action in view.actions), seed
                found = ADDS.search(" ".join(text_form(sheets_of(view, session.job.role, reader)).split()))
                assert not found, (seed, reader, found)
    finally:
        use_language("en")


def test_no_repair_of_the_tree_is_made_of_dosing_chlorine() -> None:
    known = models_in("en").knowledge
    repairs = {r for cause in known.trees[TREE].singles if cause in known.causes for r in known.causes[cause].repairs}
    dosing = {act.id for act in known.acts.values() if act.occasion == "hand_dosing"} | {"doses_strongly"}
    for name in repairs:
        acts = known.repairs[name].work.acts
        assert not dosing & {*acts.owner, *acts.technician}, name


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_words_looked_for_are_those_of_the_other_papers(language: str) -> None:
    """The same search finds them behind a complaint of too little."""
    use_language(language)
    try:
        low = [
            *opened("counter", "no-output"),
            *answers(free_chlorine=0.2, pool_volume=40.0, cell_plates="white_scale"),
        ]
        paper = text_form(sheets(Session(models_in(language), low), DATE, "customer"))
        assert ADDS.search(" ".join(paper.split()))
    finally:
        use_language("en")
