"""A call in Spanish: no English is left on a screen, and the commands are understood in both languages."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import fields
from functools import cache
from pathlib import Path

import pytest

from engine.foundation.plain_text import without_accents
from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge, RoleId
from engine.session.acts import Act
from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.questions import conclusion, question_for
from interview.frontends.layout import asked, helped, keys_screen, paragraph, prompt_for
from interview.messages import Choice, Control, Deferred, Given, Note, Question, Request, Unable
from interview.understanding.keywords import command_words, shown_commands
from interview.understanding.replies import is_consent, read
from interview.understanding.results import AskReason, Help, Keys, Refusal
from reports.text_layout import columns
from tests.interview.people import opened
from tests.shipped import models_in
from tests.spoken.hearing import hear

pytestmark = pytest.mark.no_cover  # whole calls through branches that other tests take too

FAULTS = Path(__file__).parents[2] / "faults"
ENGLISH_ONLY = re.compile(
    r"\b(?:the|and|is|are|of|to|in|it|this|that|with|not|or|be|was|for|from|what|can|done)\b", re.I
)
"""Among the commonest words of English; none of them is a Spanish word."""
ROLES: tuple[RoleId, ...] = ("counter", "phone", "field")
ANY = Question("ask", "x", "x", (Choice("a", "Anda"), Choice("b", "Parado")), unknown="x", may_fail=True, may_wait=True)


@pytest.fixture(autouse=True)
def in_spanish() -> Iterator[None]:
    use_language("es")
    yield
    use_language("en")


@cache
def spanish() -> Knowledge:
    return load_knowledge(FAULTS, "es")


def models() -> Models:
    return models_in("es")


def begun(role: RoleId) -> Session:
    said_so = (("role", role), ("danger_now", "none"), ("unit", "number_display"), ("complaint", "no-output"))
    return opened(Session(models()), *said_so, ("brought", "nothing"), ("cell_plates", "white_scale"))


def questions(role: RoleId) -> Iterator[Question]:
    """Every question there can be in a role."""
    session = begun(role)
    knowledge = session.knowledge
    for about in ("role", "unit", "complaint", "brought"):
        yield question_for(session, session.act_for(about))
    for check in knowledge.checks.values():
        yield question_for(session, Act("ask", check.id, check.work.cautions.technician))
        if check.plant == "isolated":
            yield question_for(session, Act("isolate", check.id, check.work.cautions.technician))
            yield question_for(session, Act("switch_on", check.id, check.work.cautions.technician))
    for repair in knowledge.repairs.values():
        yield question_for(session, Act("perform", repair.id, repair.work.cautions.technician))
        yield question_for(session, Act("verify", repair.id))
    for danger in knowledge.dangers:
        yield question_for(session, Act("make_safe", danger))
    yield conclusion(session, "Va un técnico a la piscina.", "send_technician")
    yield conclusion(session, "Usted puede hacerlo en casa.", "sell_and_treat")


def english(texts: Iterable[str]) -> list[str]:
    return [text for text in texts if ENGLISH_ONLY.search(text)]


@pytest.mark.parametrize("role", ROLES)
def test_no_english_stands_in_any_question_its_help_or_its_prompt(role: RoleId) -> None:
    for question in questions(role):
        lines = [line.text for line in (*asked(question, 200), *helped(question, 200))]
        # Whole sentences too: on a screen a word of a line might be taken for the end of another.
        whole = [str(getattr(question, field.name)) for field in fields(question) if field.name in ("text", "how")]
        assert english([*lines, *whole, *question.why, *question.details, prompt_for(question)]) == []


@pytest.mark.parametrize("width", [40, 80])
def test_the_screen_of_all_words_fits_in_spanish_too(width: int) -> None:
    lines = [line.text for line in keys_screen(width)]
    assert english(lines) == []
    assert len(lines) < 24
    assert all(columns(line) < width for line in lines)


def test_the_hint_fits_a_narrow_screen() -> None:
    assert all(columns(line.text) < 40 for line in paragraph(said("opening")["hint"], 40))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("atrás", Control.BACK),
        ("atras", Control.BACK),
        ("back", Control.BACK),
        ("<", Control.BACK),
        ("ayuda", Keys()),
        ("help", Keys()),
        ("?", Help()),
        ("por qué", Help()),
        ("lista", Request("list")),
        ("list", Request("list")),
        ("terminar", Control.FINISH),
        ("finish", Control.FINISH),
        ("salir", Control.LEAVE),
        ("leave", Control.LEAVE),
        ("no sé", Control.UNKNOWN),
        ("No se.", Control.UNKNOWN),
        ("ns", Control.UNKNOWN),
        ("dk", Control.UNKNOWN),
        ("don\N{RIGHT SINGLE QUOTATION MARK}t know", Control.UNKNOWN),
        ("nota vino el vecino", Note("vino el vecino")),
        ("note vino el vecino", Note("vino el vecino")),
        ("después", Deferred()),
        ("despues: mañana", Deferred("mañana")),
        ("later mañana", Deferred("mañana")),
        ("después pedir sal", Request("later", "sal")),
        ("no se puede", AskReason()),
        ("no puedo: está trabado", Unable("está trabado")),
        ("No se puede hacer, está trabado", Unable("está trabado")),
        ("can't está trabado", Unable("está trabado")),
        ("se puede medidor", Request("can", "medidor")),
        ("can medidor", Request("can", "medidor")),
        ("cambiar 3", Request("change", "3")),
        ("change 3", Request("change", "3")),
        ("probado lavar el filtro", Request("tried", "lavar el filtro")),
        ("intentado lavar el filtro", Request("tried", "lavar el filtro")),
        ("preguntar sal", Request("ask", "sal")),
        ("pedir sal", Request("ask", "sal")),
    ],
)
def test_commands_are_understood_in_both_languages(typed: str, meant: object) -> None:
    assert read(typed, ANY) == meant


@pytest.mark.parametrize("typed", ["sí", "si", "s", "hecho", "Entendido.", "ok", "yes", "de acuerdo"])
def test_consent_is_understood_in_both_languages(typed: str) -> None:
    assert is_consent(typed)


def test_a_sign_of_danger_is_not_done_by_having_heard_of_it() -> None:
    question = question_for(begun("field"), Act("make_safe", "tingle"))
    assert isinstance(read("de acuerdo", question), Refusal)
    assert isinstance(read("entendido", question), Refusal)
    assert read("hecho", question) == Given("done", "hecho")


@pytest.mark.parametrize("role", ROLES)
def test_no_command_takes_the_words_of_an_answer(role: RoleId) -> None:
    """Each answer typed as it stands is that answer, and so are its first words, unless they are a whole command."""
    for question in questions(role):
        for choice in question.choices:
            for typed in (choice.text, without_accents(choice.text)):
                meant = read(typed, question)
                assert meant in (AskReason(), Given(choice.id, typed)) or isinstance(meant, Refusal), typed
            half = " ".join(choice.text.split()[:3])
            if without_accents(half) not in command_words("cannot"):
                assert isinstance(read(half, question), Given | Refusal | AskReason | Unable), half


def test_the_examples_that_are_shown_are_understood() -> None:
    example = said("asking")["known_already"].partition(": ")[2].rstrip(".")
    found = hear(example, spanish())
    assert {fact.check: fact.value for fact in found.facts} == {"tested_salt": 4100.0, "cell_plates": "white_scale"}
    assert found.unclear == ()


def test_every_command_that_is_shown_is_one() -> None:
    for word, _ in shown_commands():
        typed = word.replace(" ...", " 3")
        # The sheet is shown at the end only; danger is heard before a reply is read.
        if word not in ("1 a 9", "? ?", "sal 4100,", "hoja", "peligro"):
            assert not isinstance(read(typed, ANY), Refusal), word
