"""The loop of an interview: next act to the front end, its reply into an event, the event onto disk, then on."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK
from engine.session.acts import Act
from engine.session.availability import as_left, switches_itself
from engine.session.doubting import AGAIN
from engine.session.journal import PLANT
from engine.session.session import Session
from interview.dialogue.alarms import alarm_for, listen, words_of
from interview.dialogue.closing import close, danger_told_of_closed, keep_due, leads_on, unsigned
from interview.dialogue.going_back import go_back
from interview.dialogue.history import listed, names_known
from interview.dialogue.on_record import last_time
from interview.dialogue.questions import conclusion, question_for
from interview.dialogue.reading_again import asked_again, take_read_again
from interview.dialogue.requests import ask_back, catch_up, heed, put_off, take_note, take_rest, take_trouble_told
from interview.dialogue.safety_questions import FOUND, danger_unsaid, found_safe, signs_of_danger, unconfirmed
from interview.dialogue.state import DialogueState, Keeps, NoRecords, PoolRecords
from interview.dialogue.utterance import said_beside
from interview.messages import (
    Control,
    Deferred,
    FrontEnd,
    Given,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    Unable,
    nothing_more,
)
from interview.storage.jobs import Clock

_ANOTHER_VISIT = datetime.timedelta(hours=6)
"""After so long without a reply it is another visit, though nobody left: judgement."""


@dataclass(frozen=True)
class Ending:
    """How a conversation ended: whether the job was closed, and whether the sheet was shown."""

    closed: bool
    sheet_shown: bool


class DialogueManager:
    """One interview from where its session stands to its end. `DialogueState.record` makes all its changes."""

    def __init__(
        self,
        session: Session,
        front: FrontEnd,
        journal: Keeps,
        clock: Clock,
        sheet_of: Callable[[Session], Sheet],
        keep_sheet: Callable[[Sheet], str] = lambda _: "",
        usual_role: str = "",
        records: PoolRecords | None = None,
    ) -> None:
        """Begin.

        Args: `keep_sheet` keeps the sheet for later and says where, in a sentence (empty where nowhere); `usual_role`
        is the place picked last, which an empty line picks again; `records` are those of the shop's pools.
        """
        self._usual_role = usual_role
        # What waited since the last visit comes first: whoever takes the job up has the answers now.
        # What was put off waits on as long as a danger is not made safe.
        unsafe = any(not report.made_safe for report in session.job.standing)
        waiting = [] if unsafe else list(session.job.waiting)
        self._talk = DialogueState(session, front, journal, clock, waiting, records=records or NoRecords())
        self._front = front
        self._sheet_of = sheet_of
        self._keep_sheet = keep_sheet
        self._minded: dict[str, set[str]] = {}
        self._taken_up = False
        self._stepped = clock()

    def run(self, first: Request | None = None) -> Ending:
        """Go on until the job is closed or left.

        Args: `first`, what the person wanted before the conversation began.

        Raises:
            KeyboardInterrupt: the person broke off; every answer given is kept.
            engine.journal.JournalError: an answer could not be kept.
        """
        self._take_up()
        for note in self.session.job.notes if self.session.job.danger_open else ():
            # Said before the knowledge was there.
            listen(self._talk, note)
        if first is not None:
            heed(self._talk, first)
        while (ending := self.step()) is None:
            pass
        return ending

    def _take_up(self) -> None:
        """Begin a visit: in another one nobody knows what happened to the supply meanwhile."""
        if self._taken_up or self.session.job.closed:
            return
        self._taken_up = True
        said_so = self.session.events and self.session.events[-1].kind == "resumed"
        if self.session.job.plant != "running" and not said_so:
            self._talk.record("resumed", PLANT)
        if self._talk.wanted:
            self._front.tell(say("talk.later.resumed"))

    @property
    def session(self) -> Session:
        """The session that is asked."""
        return self._talk.session

    @property
    def wanted(self) -> list[str]:
        """The checks and repairs that the person wants to be put next."""
        return self._talk.wanted

    def step(self) -> Ending | None:
        """Put what is next and take in the reply; an ending where the person stops here."""
        before, self._stepped = self._stepped, self._talk.clock()
        if self._stepped - before >= _ANOTHER_VISIT:
            self._taken_up = False
            self._minded.clear()
        self._take_up()
        catch_up(self._talk)
        take_trouble_told(self._talk)
        ask_back(self._talk)
        if (ends := self._talk.ends) is not None:
            self._talk.ends = None
            if ends is Control.FINISH and self.session.job.danger is not None and not self.session.job.made_safe:
                # The steps of a danger come before its sheet.
                return None
            return self._finish() if ends is Control.FINISH else Ending(closed=False, sheet_shown=False)
        act = self._next()
        return self._conclude() if act.kind == "conclude" else self._one(act)

    def _next(self) -> Act:
        """What the session does next, with what the person went back to or wants put first."""
        talk = self._talk
        talk.wanted = self.session.heeded(talk.wanted)
        if talk.again and self.session.job.danger is None and self.session.heeded([talk.again]):
            return self.session.next(wanted=[talk.again, *talk.wanted])
        return self.session.next(wanted=talk.wanted)

    def _one(self, act: Act) -> Ending | None:
        """Put one question and take in the reply; an ending where the person stops here."""
        self._talk.asked = act.about if act.kind == "ask" else ""
        question = self._open_to_more(unconfirmed(self.session, self._question(act), self._minded))
        try:
            reply = self._front.put(question, nothing_more)
        except KeyboardInterrupt:
            if question.one_by_one:
                self._stop_safely(question, for_now=True)
            raise
        if question.one_by_one and not isinstance(reply, Given | Note | Request):
            self._stop_safely(question, for_now=reply is Control.LEAVE)
        asked = question.confirm_cautions or question.kind == "confirm"
        if asked and isinstance(reply, Given) and reply.value not in ("not_done", "cannot"):
            # Who answered has consented before; can't, later, don't know or a note is no consent.
            told = {caution.id for caution in question.cautions}
            self._minded[question.about] = self._minded.get(question.about, set()) | told
        match reply:
            case Control.LEAVE:
                return Ending(closed=False, sheet_shown=False)
            case Control.FINISH if act.kind == "leave_plant":
                # Asked twice is enough: the paper says that nobody told how it was left.
                return self._conclude()
            case Control.FINISH:
                return self._finish()
            case Control.BACK | Note():
                self._aside(reply)
            case Request():
                heed(self._talk, reply)
            case Deferred(when) if act.why != AGAIN:
                put_off(self._talk, question.about, when)
                listen(self._talk, when)
            case _:
                ending = self._take(act, question, reply)
                # A reason may speak of danger, too; what ends here ends as it was said.
                return ending if ending is not None or not listen(self._talk, words_of(reply)) else None
        return None

    def _question(self, act: Act) -> Question:
        return asked_again(self.session, act, question_for(self.session, act))

    def _open_to_more(self, question: Question) -> Question:
        """The question, where a line that is no answer may say something else."""
        usual = any(choice.id == self._usual_role for choice in question.choices) and question.about == "role"
        return replace(
            question,
            passes=self._usual_role if usual else question.passes,
            details=(*question.details, *last_time(self._talk, question.about)),
            names=lambda: names_known(self.session),
            says_more=lambda line: said_beside(self.session, line, self._talk.asked, self._talk.today),
            alarm=lambda line, sure: alarm_for(self.session, line, sure, question.about),
        )

    def _aside(self, reply: Control | Note) -> None:
        if isinstance(reply, Note):
            take_note(self._talk, reply)
        else:
            go_back(self._talk)

    def _take(self, act: Act, question: Question, reply: Reply) -> Ending | None:
        match question.kind:
            case "ask" if act.why == AGAIN:
                take_read_again(self._talk, question, reply)
            case "set_up" | "ask":
                self._take_answer(question, reply)
            case "confirm":
                return self._take_confirmed(act, question, reply)
            case "perform":
                self._take_outcome(question, reply)
            case "verify":
                self._take_verified(question, reply)
            case "plant" | "part":
                self._take_found(act, reply)
            case "close":
                raise AssertionError("a closing question is put where the job concludes")
        return None

    def _take_answer(self, question: Question, reply: Reply) -> None:
        match reply:
            case Given(value, text):
                said = any(about == question.about for about, _ in listed(self.session))
                self._talk.record("corrected" if said else "answered", question.about, value, text=text)
                if question.about == "complaint" and " " in text and text not in {c.text for c in question.choices}:
                    take_rest(self._talk, text)
                if question.about == DANGER_CHECK and self.session.job.danger_unlooked:
                    self._front.tell(say("heeding.look_for", signs=signs_of_danger(self.session)))
            case Unable(reason):
                self._talk.record("cant", question.about, reason=reason)
            case Control.UNKNOWN:
                if question.about == DANGER_CHECK:
                    self._front.tell(*danger_unsaid(self.session, question))
                self._talk.record("dont_know", question.about)
                if question.about == "unit":
                    self._front.tell(say("heeding.then", what=question.unknown))

    def _take_confirmed(self, act: Act, question: Question, reply: Reply) -> Ending | None:
        """A switching step, or danger made safe. What cannot be done rules out what needed it."""
        done = isinstance(reply, Given) and reply.value == "done"
        if act.kind == "make_safe":
            if done:
                self._talk.record("made_safe", question.about, act.about)
                return None
            # The sheet all the same, and at once: the danger is the first thing on it.
            return self._conclude()
        if isinstance(reply, Unable):
            self._talk.record("cant", question.about, reason=reply.reason)
        elif done:
            self._talk.record("switched_on" if act.kind == "switch_on" else "made_safe", question.about)
        return None

    def _take_found(self, act: Act, reply: Reply) -> None:
        """How the supply was found or is left, or whether a part is there.

        Who does not know takes the supply as off and not proved dead, and has not seen the part.
        """
        kind, instead, unknown = FOUND[act.kind]
        if isinstance(reply, Given):
            self._talk.record(kind, act.about, reply.value, text=reply.text)
        elif reply is Control.UNKNOWN:
            self._talk.record(instead, act.about, unknown)

    def _take_outcome(self, question: Question, reply: Reply) -> None:
        if isinstance(reply, Unable):
            self._talk.record("repaired", question.about, "could_not", reason=reply.reason)
        elif isinstance(reply, Given):
            self._talk.record("repaired", question.about, reply.value, text=reply.text)

    def _stop_safely(self, question: Question, for_now: bool) -> None:
        """Steps that are broken off are to leave nothing open and switched on; `for_now`, the job waits for the rest.

        That it was done is asked: until then nobody knows how the supply is.
        """
        self._front.tell(say("talk.together.stopped"))
        if switches_itself(self.session.knowledge, self.session.job, question.about):
            self._talk.record("found", PLANT, "unknown")
        if for_now:
            self._talk.record("deferred", question.about)

    def _take_verified(self, question: Question, reply: Reply) -> None:
        """`later` leaves the job waiting for this very question."""
        if isinstance(reply, Given) and reply.value == "later":
            put_off(self._talk, question.about, "")
        elif isinstance(reply, Given):
            again = as_left(self.session.knowledge, self.session.job, question.about)
            self._talk.record("verified", question.about, reply.value, text=reply.text)
            if reply.value == "helped" and again:
                for check in again:
                    self._talk.want(check, first=False)
                self._front.tell(say("talk.as_left"))

    def _finish(self) -> Ending | None:
        """The sheet with what is known now."""
        job = self.session.job
        if job.danger is not None:
            return self._conclude()
        if job.role is None or job.danger_open:
            self._front.tell(say("opening.role_first" if job.role is None else "opening.safety_first"))
            return None
        if job.complaint is None:
            self._front.tell(say("opening.no_sheet_yet"))
            return None
        if (leaving := self.session.leaving()) is not None:
            # However a visit ends, it leaves nothing switched off without a word.
            ending = self._one(leaving)
            if ending is not None or self.session.leaving() is not None or self.session.job.danger is not None:
                # Danger that was told of here comes before the sheet.
                return ending
        return self._conclude()

    def _conclude(self) -> Ending | None:
        """Show the sheet, and ask whether the job is closed; None where the person goes back."""
        sheet = self._show_sheet()
        if self.session.job.closed:
            self._front.tell(say("heeding.closed"))
            endangered = danger_told_of_closed(self._talk, self._open_to_more)
            return None if endangered else Ending(closed=True, sheet_shown=True)
        if unsigned(self.session):
            self._front.tell(say("on_record.whose"))
        question = self._open_to_more(conclusion(self.session, sheet.headline(), sheet.decision()))
        while True:
            reply = self._front.put(question, nothing_more)
            match reply:
                case Note() | Control.BACK:
                    if self._leads_back(reply):
                        return None
                case Request():
                    if leads_on(self._talk, reply):
                        return None
                case Given(value="close"):
                    closed = close(self._talk, sheet, self._open_to_more)
                    return Ending(closed=True, sheet_shown=True) if closed else None
                case Given(value="safe_now" | "found_safe" | "together"):
                    if self._goes_on(question, reply):
                        return None
                case Deferred() | Given(value="later"):
                    keep_due(self._talk, sheet.day_due())
                    put_off(self._talk, question.about, reply.when if isinstance(reply, Deferred) else "")
                    return Ending(closed=False, sheet_shown=True)
                case _:
                    keep_due(self._talk, sheet.day_due())
                    return Ending(closed=False, sheet_shown=True)

    def _leads_back(self, reply: Note | Control) -> bool:
        """Whether an aside at the end leads back: going back does, and a note that tells of danger."""
        endangered = {report.danger for report in self.session.job.standing}
        if isinstance(reply, Note) or not endangered:
            # What was said of a danger is corrected by name; going back from it leads to its steps.
            self._aside(reply)
        return not isinstance(reply, Note) or any(r.danger not in endangered for r in self.session.job.standing)

    def _goes_on(self, question: Question, reply: Given) -> bool:
        """Whether the interview goes on from its end: with a repair step by step, or past a danger."""
        if reply.value == "together":
            self._talk.want(question.about)
        return reply.value != "found_safe" or self._found_safe()

    def _found_safe(self) -> bool:
        """Ask of each danger who found it safe; whether the interview goes on (or something else is wanted first)."""
        for report in self.session.job.standing:
            while True:
                reply = self._front.put(self._open_to_more(found_safe(self.session, report)), nothing_more)
                if isinstance(reply, Note):
                    self._aside(reply)
                    if not self.session.job.made_safe:
                        # Another danger was told of, and comes first.
                        return True
                    continue
                if isinstance(reply, Request):
                    heed(self._talk, reply)
                    return True
                break
            if not isinstance(reply, Given) or reply.value == "not_yet":
                return False
            self._talk.record("danger_cleared", report.danger, reply.value, text=reply.text)
        self._front.tell(say("heeding.found_safe"))
        return True

    def _show_sheet(self) -> Sheet:
        sheet = self._sheet_of(self.session)
        self._front.show_sheet(sheet)
        kept = self._keep_sheet(sheet)
        if kept:
            self._front.tell(kept)
        return sheet
