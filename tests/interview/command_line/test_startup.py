"""The first question, and the knowledge behind it."""

from __future__ import annotations

import io
from importlib.resources import files
from pathlib import Path
from threading import Event

import pytest

from engine.foundation.problems import KnowledgeError
from engine.knowledge.model import Knowledge
from interview.command_line.startup import LateModels, load, role_words
from interview.dialogue.opening import ask_role, first_question, role_question
from interview.messages import CautionText, Control, Given, Note
from tests.interview.people import LIMIT_S, ListedPerson
from tests.shipped import knowledge

ROLES = [("counter", "Shop"), ("field", "Pool")]
FIRST = first_question(ROLES)


def test_the_words_read_early_are_those_of_the_whole_knowledge() -> None:
    words = role_words(files("faults"))
    assert words == [(name, role.wording.customer) for name, role in knowledge().roles.items()]


@pytest.mark.parametrize(
    "content", [None, "", "- role: counter\n", "role: counter\n", "- x\n", "\x00", "[", "- {role: a, customer: }"]
)
def test_a_roles_file_that_is_not_as_it_should_be_waits_for_the_loader(tmp_path: Path, content: str | None) -> None:
    if content is not None:
        (tmp_path / "roles.yaml").write_text(content, encoding="utf-8")
    words = role_words(tmp_path)
    assert words is None or all(text for _, text in words)


def test_late_models_are_the_same_whenever_they_are_asked_for() -> None:
    late = LateModels(files("faults"))
    late.start()
    late.start()
    assert late.get() is late.get()
    assert late.get().knowledge.fingerprint == load(files("faults")).knowledge.fingerprint


def test_what_reads_lines_is_made_behind_the_knowledge_and_nobody_waits_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """The one that makes it here waits until the models were given out: so they do not wait for it."""
    given_out, made = Event(), Event()

    def making(_: Knowledge) -> None:
        assert given_out.wait(LIMIT_S)
        made.set()

    monkeypatch.setattr("interview.understanding.readiness.make_ready", making)
    monkeypatch.setattr("sys.stdin", Typed())
    late = LateModels(files("faults"))
    assert late.get().knowledge.trees
    given_out.set()
    assert made.wait(LIMIT_S)


class Typed(io.StringIO):
    """Input from a terminal."""

    def isatty(self) -> bool:
        """Somebody types."""
        return True


def test_mistakes_found_in_the_background_come_out_where_the_models_are_needed(tmp_path: Path) -> None:
    late = LateModels(tmp_path)
    late.start()
    with pytest.raises(KnowledgeError):
        late.get()


def test_the_role_is_asked_until_it_is_said() -> None:
    started: list[int] = []
    person = ListedPerson([Control.BACK, Control.FINISH, Given("field", "2")])
    assert ask_role(person, FIRST, lambda: started.append(1), list[str]().append) == Given("field", "2")
    assert started
    assert {question.about for question in person.asked} == {"role"}


def test_whoever_leaves_at_the_first_question_gives_no_role() -> None:
    assert ask_role(ListedPerson([Control.LEAVE]), FIRST, lambda: None, list[str]().append) is None


def test_a_note_at_the_first_question_is_kept_and_given_on_as_it_may_tell_of_danger() -> None:
    kept: list[str] = []
    assert ask_role(ListedPerson([Note("on hold")]), FIRST, lambda: None, kept.append) == Note("on hold")
    assert kept == ["on hold"]


def test_a_note_at_the_first_question_is_kept_before_anything_else_is_said() -> None:
    kept: list[str] = []

    class Broken(ListedPerson):
        def tell(self, _text: str, _cautions: tuple[CautionText, ...] = ()) -> None:
            assert kept == ["on hold"], "told that it is noted before it was"
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        ask_role(Broken([Note("on hold")]), FIRST, lambda: None, kept.append)


def test_dont_know_and_cant_are_no_roles() -> None:
    question = role_question(ROLES)
    assert not question.unknown
    assert not question.may_fail
