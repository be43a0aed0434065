"""What is worked out while somebody reads changes nothing but when it is worked out."""

from __future__ import annotations

import io
import signal
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.knowledge.model import DANGER_CHECK
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from interview.commands import run
from interview.dialogue import ahead as module
from interview.dialogue.ahead import MOMENT_SECONDS, Ahead, likely
from interview.dialogue.manager import DialogueManager
from interview.dialogue.questions import question_for
from interview.frontends.json_lines import PipeFrontEnd
from interview.frontends.lines import LineFrontEnd
from interview.frontends.plain import PlainLines
from interview.messages import Control, Given, Question, Reply, Unable
from tests.interview.dialogue.test_manager import BEGUN, reply_to
from tests.interview.frontends.test_terminal import Terminal
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import knowledge, models

MOST_QUESTIONS = 25
REPLIES: list[Reply] = [
    Given("clear", "1"),
    Given("normal", "2"),
    Control.UNKNOWN,
    Unable("seized"),
    Control.BACK,
    Control.UNKNOWN,
]


def workers() -> list[threading.Thread]:
    return [thread for thread in threading.enumerate() if thread.name == "ahead"]


class Slow(ListedPerson):
    """A person who replies only when everything has been worked out."""

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """The next reply."""
        self.asked.append(question)
        shown()
        shown()
        for worker in workers():
            worker.join()
        return self.replies.pop(0) if self.replies else Control.LEAVE


def talk(replies: list[Reply], ahead: Ahead | None, *said: tuple[str, str]) -> tuple[ListedPerson, Memory]:
    person, memory = Slow(list(replies)), Memory()
    session = opened(Session(models()), *said)
    if ahead is None:
        DialogueManager(session, person, memory, clock, PaperSheet).run()
    else:
        with ahead:
            DialogueManager(session, person, memory, clock, PaperSheet, ahead=ahead).run()
    assert workers() == []
    return person, memory


class Strict(Ahead):
    """Holds that every reply was foreseen: what it left on record is one of the likely events, time and words apart."""

    def __init__(self) -> None:
        super().__init__(0.0)
        self.foreseen: list[Event] = []
        self.before = 0
        self.kinds: set[str] = set()

    def begin(self, session: Session, act: Act, question: Question) -> None:
        self.foreseen, self.before = likely(session, act, question), len(session.events)
        super().begin(session, act, question)

    def next(self, session: Session) -> Act:
        for event in session.events[self.before :] if self.before else []:
            assert replace(event, at="", text="", reason="") in self.foreseen
            self.kinds.add(event.kind)
        return super().next(session)


def test_every_choice_is_foreseen_and_what_comes_after_it_is_at_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    session = opened(Session(models()), *BEGUN)
    act = session.next()
    question = question_for(session, act)
    assert question.choices
    after = {}
    for choice in question.choices:
        then = Session(models(), [*session.events, Event("answered", "now", act.about, choice.id, "typed")])
        after[choice.id] = (then, then.next())
    for then, found in after.values():
        with Ahead(0.0) as ahead, monkeypatch.context() as patch:
            ahead.begin(session, act, question)
            for worker in workers():
                worker.join()
            patch.setattr(Session, "next", lambda _: pytest.fail("worked out again"))
            assert ahead.next(then) == found


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_the_same_replies_bring_the_same_questions_and_the_same_journal(data: st.DataObject) -> None:
    class Drawing(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            reply: Reply = data.draw(st.composite(lambda draw: reply_to(question, draw))())
            replies.append(reply if len(self.asked) < MOST_QUESTIONS else Control.LEAVE)
            self.replies = replies[-1:]
            return super().put(question, shown)

    replies: list[Reply] = []
    person, memory = Drawing([]), Memory()
    DialogueManager(opened(Session(models())), person, memory, clock, PaperSheet).run()
    again, kept = talk(replies, Ahead(0.0))
    assert kept.events == memory.events
    assert again.asked == person.asked
    assert (again.said, again.cautions, again.sheets) == (person.said, person.cautions, person.sheets)


class Steady(Slow):
    """A person who looks at everything, but now and then does not know or cannot; no repair helps."""

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        number = len(self.asked)
        if number < 18 and question.kind != "close":
            self.replies.append(self._reply(question, number))
        return super().put(question, shown)

    def _reply(self, question: Question, number: int) -> Reply:
        if question.kind == "ask" and question.about == DANGER_CHECK:
            return Given("none")
        if question.kind == "ask" and number % 7 == 6:
            return Unable("seized")
        if not question.choices or (question.kind == "ask" and number % 3 == 2):
            return Control.UNKNOWN
        return Given("not_helped" if question.kind == "verify" else question.choices[0].id, "typed")


LOOKED = (*BEGUN, ("water_look", "clear"), ("unit_report", "cell_service"))


@pytest.mark.parametrize(
    ("said", "kinds"),
    [
        ((("role", "counter"),), {"answered", "dont_know", "cant"}),
        ((("role", "phone"),), {"answered", "dont_know", "cant"}),
        ((("role", "field"),), {"answered", "dont_know", "cant", "repaired", "verified"}),
        (LOOKED, {"made_safe", "switched_on"}),
    ],
)
def test_every_reply_but_a_number_is_foreseen_as_it_is_recorded(
    said: tuple[tuple[str, str], ...], kinds: set[str]
) -> None:
    strict, session = Strict(), opened(Session(models()), *said)
    with strict:
        DialogueManager(session, Steady([]), Memory(), clock, PaperSheet, ahead=strict).run()
    assert strict.kinds >= kinds


@pytest.mark.parametrize("role", ["counter", "phone", "field"])
@pytest.mark.parametrize("tree", sorted(knowledge().trees))
def test_the_likeliest_answer_comes_first(role: str, tree: str) -> None:
    said = (("role", role), ("danger_now", "none"), ("unit", "default"), ("complaint", tree), ("brought", "nothing"))
    session = opened(Session(models()), *said)
    asked = next(a.check for a in session.appraise() if not session.knowledge.checks[a.check].is_number)
    found = session.explain(asked)
    act = Act("ask", asked)
    order = [str(event.value) for event in likely(session, act, question_for(session, act))]
    shares = {outcome.answer: outcome.probability for outcome in found.outcomes}
    given_in_order = [shares[answer] for answer in order if answer in shares]
    assert given_in_order == pytest.approx(sorted(shares.values(), reverse=True), abs=1e-9)


def test_a_worker_that_fails_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    plain, memory = talk(REPLIES, None, *BEGUN)
    failed = []

    def fails(*_: object) -> list[Event]:
        failed.append(threading.current_thread().name)
        raise LookupError("what nobody thought of")

    monkeypatch.setattr(module, "likely", fails)
    came_out: list[object] = []
    monkeypatch.setattr(threading, "excepthook", came_out.append)
    person, kept = talk(REPLIES, Ahead(0.0), *BEGUN)
    assert set(failed) == {"ahead"}
    assert came_out == []
    assert person.asked == plain.asked
    assert kept.events == memory.events


def test_where_no_thread_is_to_be_had_nothing_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    plain, memory = talk(REPLIES, None, *BEGUN)

    def refuse(_: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", refuse)
    person, kept = talk(REPLIES, Ahead(0.0), *BEGUN)
    assert person.asked == plain.asked
    assert kept.events == memory.events


class Held:
    """Holds every worker in its first step until released."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.reached, self.released, self.steps = threading.Event(), threading.Event(), 0
        slow = Session.next

        def held(session: Session) -> Act:
            if threading.current_thread().name == "ahead":
                self.steps += 1
                self.reached.set()
                assert self.released.wait(20)
            return slow(session)

        monkeypatch.setattr(Session, "next", held)


def test_a_reply_during_the_work_is_kept_at_once_and_ends_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    held = Held(monkeypatch)
    at_work_when_kept = []

    class Kept(Memory):
        def write(self, event: Event) -> None:
            at_work_when_kept.append(bool(workers()))
            held.released.set()
            for worker in workers():
                worker.join()
            super().write(event)

    class Quick(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            if self.replies:
                shown()
                assert held.reached.wait(20)
            return super().put(question, lambda: None)

    session = opened(Session(models()), *BEGUN)
    with Ahead(0.0) as ahead:
        DialogueManager(session, Quick([Given("clear", "1")]), Kept(), clock, PaperSheet, ahead=ahead).run()
    assert at_work_when_kept == [True]
    assert held.steps == 1
    assert workers() == []


@pytest.mark.parametrize("moment_seconds", [0.0, 60.0])
def test_breaking_off_during_the_work_leaves_no_thread(moment_seconds: float, monkeypatch: pytest.MonkeyPatch) -> None:
    held = Held(monkeypatch)
    held.released.set()

    class Gone(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            shown()
            shown()
            self.asked.append(question)
            raise KeyboardInterrupt

    person = Gone([])
    with suppress(KeyboardInterrupt), Ahead(moment_seconds) as ahead:
        DialogueManager(opened(Session(models()), *BEGUN), person, Memory(), clock, PaperSheet, ahead=ahead).run()
    assert len(person.asked) == 1
    assert workers() == []


@pytest.mark.e2e
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_program_ends_at_once_from_the_longest_work(tmp_path: Path, number: signal.Signals) -> None:
    # What comes after a complaint has its tree compiled first, so here as many trees as there are complaints.
    terminal = Terminal(tmp_path, "ask", "--role", "phone", "--unit", "default")
    terminal.see("or ? >")
    terminal.child.send("none\r")
    terminal.wait()
    time.sleep(2.0 * MOMENT_SECONDS)
    begun = time.monotonic()
    terminal.child.kill(number)
    shown, status = terminal.end()
    assert time.monotonic() - begun < 2.0
    assert status == 128 + number
    assert "Traceback" not in shown
    assert "thread" not in shown


def test_what_is_typed_at_once_is_not_disturbed(monkeypatch: pytest.MonkeyPatch) -> None:
    held = Held(monkeypatch)
    held.released.set()
    session = opened(Session(models()), *BEGUN)
    with Ahead() as ahead:
        DialogueManager(session, ListedPerson(list(REPLIES)), Memory(), clock, PaperSheet, ahead=ahead).run()
    assert held.steps == 0


@pytest.mark.parametrize("terminal", [True, False])
def test_only_for_a_person_at_a_terminal(terminal: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "has_terminal", lambda: terminal)
    with run.ahead_for(LineFrontEnd(PlainLines())) as ahead:
        assert (ahead is not None) is terminal
    with run.ahead_for(PipeFrontEnd(io.StringIO(), io.StringIO())) as ahead:
        assert ahead is None
