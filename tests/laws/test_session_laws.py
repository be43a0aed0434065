"""Laws of the interview, by random acts on the real conversation and its journal on disk."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event, Journal, read_events
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager, Ending
from interview.messages import (
    CautionText,
    Control,
    Deferred,
    Given,
    Heard,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    Unable,
)
from tests.interview.people import PaperSheet, clock
from tests.shipped import knowledge, models

pytestmark = [
    pytest.mark.e2e,
    pytest.mark.no_cover,
]  # thousands of runs through branches that other tests take too: counting them is dear

KNOWLEDGE = knowledge()
AT = "2026-05-04T09:30:00Z"
MOST_STEPS = 200
REOPENING = ("taken_back", "lifted", "verified", "already_tried", "corrected")
"""Events after which a check may be put once more: it was undone, or the plant is another one."""


BEGUN = (("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
PLATES = (("water_look", "clear"), ("unit_report", "cell_service"), ("cell_plates", "white_scale"))
BASKETS = (("unit_report", "no_flow"), ("pump_running", "running"), ("baskets", "blocked"))
BASKETS_ON_THE_PHONE = (("role", "phone"), ("danger_now", "none"), ("complaint", "flow-fault"), *BASKETS)
STARTS: tuple[tuple[tuple[str, str], ...], ...] = (
    (),
    (("role", "counter"), *BEGUN),
    (("role", "phone"), *BEGUN),
    BASKETS_ON_THE_PHONE,
    BASKETS_ON_THE_PHONE,
    (("role", "field"), *BEGUN),
    (("role", "field"), *BEGUN, *PLATES),
    (("role", "field"), *BEGUN, *PLATES),
)
"""Where an interview may stand at first; with the plates or the baskets seen, a repair is near."""


class Draws(Protocol):
    """What draws from a strategy."""

    def draw(self, strategy: st.SearchStrategy[int]) -> int:
        """Something of the strategy."""
        ...


class KilledError(Exception):
    """The program ends here and now."""


class Person:
    """A front end that replies by a rule of the moment, and watches over what it is shown."""

    def __init__(self) -> None:
        self.policy: Callable[[Question], Reply] = lambda _: Control.LEAVE
        self.session: Session | None = None
        self.wanted: Callable[[], list[str]] = list
        self.minded: dict[str, set[str]] = {}
        self.put_before: dict[str, int] = {}

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Hold the laws, then reply."""
        shown()
        self._hold(question)
        reply = self.policy(question)
        asked = question.confirm_cautions or question.kind == "confirm"
        if asked and isinstance(reply, Given) and reply.value not in ("not_done", "cannot"):
            # Consent is for one act: can't, later, don't know and a note give none.
            self.minded.setdefault(question.about, set()).update(caution.id for caution in question.cautions)
        return reply

    def _hold(self, question: Question) -> None:
        assert self.session is not None
        job, about = self.session.job, question.about
        told = self.minded.get(about, set()) | {caution.id for caution in question.cautions}
        if question.kind == "ask":
            check = KNOWLEDGE.checks[about]
            assert job.role == "counter" or check.plant in ("any", job.plant), "looked in with the power on"
            if about != DANGER_CHECK and job.role == "field":
                assert set(check.work.cautions.technician) <= told, "a caution was left out"
            again = question.again and len(job.read.get(about, ())) in (1, 2) and about not in job.read_no_more
            assert not job.settled(about) or again or about in self.wanted(), "a settled check was asked"
            later = self.session.events[self.put_before.get(about, 0) :]
            since = {event.kind for event in later}
            # Switching for a check is no answer to it.
            answered = any(e.about == about and e.kind not in ("made_safe", "switched_on") for e in later)
            if about in self.put_before and answered and not again and about not in self.wanted():
                assert since & set(REOPENING), "asked twice without reason"
            self.put_before[about] = len(self.session.events)
        if question.kind == "perform" and (job.role == "field" or question.one_by_one):
            repair = KNOWLEDGE.repairs[about]
            assert set(repair.work.cautions.for_role(job.role or "counter")) <= told, "a repair without its caution"
            # What an owner is led through switches off and on in its own steps, one after the other.
            assert question.one_by_one or repair.plant in ("any", job.plant), "a repair before its plant state"

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Nothing is to be done."""

    def heard(self, _: Heard) -> bool:
        """Such a person may be asked back."""
        return True

    def show_sheet(self, sheet: Sheet) -> None:
        """The sheet can be made at any moment."""
        assert sheet.headline()


def answer(question: Question, data: Draws) -> Reply:
    """One of the answers; danger is rare, as it ends the rest."""
    if question.measure is not None:
        low, high = question.measure.possible
        return Given(low + (high - low) * data.draw(st.integers(0, 1000)) / 1000)
    choices = [choice.id for choice in question.choices if not choice.needs_reason]
    if question.about == DANGER_CHECK and question.kind == "ask" and data.draw(st.integers(0, 9)):
        return Given("none")
    return Given(choices[data.draw(st.integers(0, len(choices) - 1))])


def dull(question: Question) -> Reply:
    """What brings every interview to its end: nothing is known, everything is done and helps, and it is closed."""
    if question.about == "which":
        return Given("none_of_these")
    if question.kind == "ask" and question.about == DANGER_CHECK:
        return Given("none")
    if question.kind == "ask":
        return Control.UNKNOWN
    if question.kind == "close":
        return Given("close")
    return Given(question.choices[0].id)


class Interview(RuleBasedStateMachine):
    """A conversation under random acts, killed and taken up again at any moment."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.ending: Ending | None = None
        self.journal = Journal(self.folder, "job")
        self.journal.write(Event("opened", AT, value="job", text=KNOWLEDGE.fingerprint))
        self.take_up()

    def take_up(self) -> None:
        """A new process on the kept job."""
        self.person = Person()
        session = Session(models(), read_events(self.journal.path))
        self.conversation = DialogueManager(session, self.person, self.journal, clock, PaperSheet)
        self.person.session = session
        # What was gone back to is put again, also where it waited.
        self.person.wanted = lambda: [*self.conversation.wanted, self.conversation._talk.again]
        self.ending = None

    @initialize(start=st.sampled_from(STARTS))
    def begun(self, start: tuple[tuple[str, str], ...]) -> None:
        for about, value in start:
            self.journal.write(Event("answered", AT, about=about, value=value))
        self.take_up()

    def reply(self, *policies: Callable[[Question], Reply]) -> None:
        """One step with the first questions answered so, and whatever they lead to answered dully."""
        replies = iter(policies)
        self.person.policy = lambda question: next(replies, dull)(question)
        self.ending = self.conversation.step()

    @precondition(lambda self: self.ending is None)
    @rule(data=st.data())
    def answers(self, data: st.DataObject) -> None:
        self.reply(lambda question: answer(question, data))

    @precondition(lambda self: self.ending is None)
    @rule(data=st.data())
    def answers_too(self, data: st.DataObject) -> None:
        self.reply(lambda question: answer(question, data))

    @precondition(lambda self: self.ending is None)
    @rule()
    def does_it_together(self) -> None:
        """The sheet now; where it says what can be done on the phone, that is done at once."""
        self.reply(
            lambda _: Control.FINISH,
            lambda question: Given("together") if "together" in {c.id for c in question.choices} else dull(question),
        )

    @precondition(lambda self: self.ending is None)
    @rule()
    def does_not_know(self) -> None:
        self.reply(lambda question: Control.UNKNOWN if question.unknown else dull(question))

    @precondition(lambda self: self.ending is None)
    @rule()
    def cannot(self) -> None:
        self.reply(lambda question: Unable("seized") if question.may_fail else dull(question))

    @precondition(lambda self: self.ending is None)
    @rule(when=st.sampled_from(["", "tomorrow"]))
    def later(self, when: str) -> None:
        self.reply(lambda question: Deferred(when) if question.may_wait else dull(question))

    @precondition(lambda self: self.ending is None)
    @rule(
        request=st.sampled_from(
            [
                Request("say", "plates white, salt test 4100"),
                Request("say", "salt test 3"),
                Request("ask", "plates"),
                Request("ask", "cell_voltage"),
                Request("change", "4"),
                Request("change", "plates"),
                Request("later", "plates"),
                Request("tried", "add salt"),
                Request("can", "tools"),
                Request("list"),
            ]
        )
    )
    def wishes(self, request: Request) -> None:
        self.reply(lambda _: request)

    @precondition(lambda self: self.ending is None)
    @rule(reply=st.sampled_from([Control.BACK, Control.BACK, Note("gate code 12"), Control.FINISH, Control.LEAVE]))
    def aside(self, reply: Reply) -> None:
        self.reply(lambda question: reply if question.kind != "close" else Given("keep"))

    @rule(torn=st.binary(max_size=40))
    def killed_and_resumed(self, torn: bytes) -> None:
        def dies(_: Question) -> Reply:
            raise KilledError

        if self.ending is None:
            self.person.policy = dies
            with contextlib.suppress(KilledError):
                self.conversation.step()
        before = self.conversation.session
        self.journal.close()
        with self.journal.path.open("ab") as file:
            file.write(torn.replace(b"\n", b""))
        self.journal = Journal(self.folder, "job")
        self.take_up()
        assert self.conversation.session.job == before.job

    @invariant()
    def the_state_is_the_replay_of_what_is_on_disk(self) -> None:
        session = self.conversation.session
        again = Session(models(), read_events(self.journal.path))
        assert again.events == session.events
        assert again.job == session.job
        assert again.next() == session.next()
        assert not set(session.job.waiting) & {*session.job.unknown, *session.job.cannot, *session.job.answers}

    def teardown(self) -> None:
        """Every path ends, and a job with something waiting ends open only where nobody closes it."""
        if self.ending is not None and not self.conversation.session.job.closed:
            self.take_up()
        self.person.policy = dull
        for _ in range(MOST_STEPS):
            if self.ending is not None:
                break
            self.ending = self.conversation.step()
        else:
            raise AssertionError("an interview without end")
        self.journal.close()
        shutil.rmtree(self.folder)


TestInterview = Interview.TestCase
TestInterview.settings = settings(
    max_examples=25,
    stateful_step_count=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
