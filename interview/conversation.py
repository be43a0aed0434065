"""The loop of an interview: next act to the front end, its reply into an event, the event onto disk, then on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from engine.job import SET_UP, effective
from engine.journal import Event, EventKind
from engine.model import DANGER_CHECK
from engine.session import Act, Session
from interview.frontend import (
    Aside,
    Cannot,
    FrontEnd,
    Given,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    nothing_more,
)
from interview.jobs import Clock, stamp
from interview.questions import caution_texts, conclusion, danger_cautions, question_for, title
from interview.saying import Fact, Unclear, Understood
from interview.wishes import (
    act_on,
    checks_named,
    heard,
    lifted_by,
    listed,
    parts_of,
    read_as,
    repairs_named,
    said_something,
    understood,
    which,
)

__all__ = ["Conversation", "Ending", "Keeps"]

_HANDED_ON = frozenset({"send_technician", "call_electrician", "other_trade", "make_safe"})
"""Decisions by which somebody else takes the job over."""


class Keeps(Protocol):
    """Where events are kept; the engine's journal is one."""

    def write(self, event: Event) -> None:
        """Keep one event; it lasts when this returns."""
        ...


@dataclass(frozen=True)
class Ending:
    """How a conversation ended: whether the job was closed, and whether the sheet was shown."""

    closed: bool
    sheet_shown: bool


class Conversation:
    """One interview from where its session stands to its end. All that it changes goes through `record`."""

    def __init__(
        self,
        session: Session,
        front: FrontEnd,
        journal: Keeps,
        clock: Clock,
        sheet_of: Callable[[Session], Sheet],
        keep_sheet: Callable[[Sheet], str] = lambda _: "",
    ) -> None:
        """Args: `keep_sheet` keeps the sheet for later and says where, in a sentence (empty where nowhere)."""
        self.session = session
        self._front = front
        self._journal = journal
        self._clock = clock
        self._sheet_of = sheet_of
        self._keep_sheet = keep_sheet
        self._confirmed: set[str] = set()
        self._wanted: list[str] = []
        """Checks that the person wants to be put next, whatever the strategy would ask."""

    def run(self) -> Ending:
        """Go on until the job is closed or left.

        Raises:
            KeyboardInterrupt: the person broke off; every answer given is kept.
            engine.journal.JournalError: an answer could not be kept.
        """
        while True:
            act = self._next()
            ending = self._conclude() if act.kind == "conclude" else self._one(act)
            if ending is not None:
                return ending

    def record(
        self, kind: EventKind, about: str = "", value: str | float | None = None, *, text: str = "", reason: str = ""
    ) -> None:
        """Put one event on disk, then into the session."""
        event = Event(kind, stamp(self._clock), about=about, value=value, text=text, reason=reason)
        self._journal.write(event)
        self.session.record(event)
        if kind in ("answered", "corrected", "dont_know", "cant"):
            self._wanted = [wanted for wanted in self._wanted if wanted != about]

    def _next(self) -> Act:
        """What the person wants next, once the start is settled; else what the session does."""
        act = self.session.next()
        job = self.session.job
        if job.danger not in (None, "none"):
            # Where there is danger no fault is looked for; only what was said of it may be put right.
            self._wanted = [about for about in self._wanted if about == DANGER_CHECK]
        if not self._wanted or job.closed:
            return act
        about = self._wanted[0]
        opening = act.kind == "set_up" or (act.kind == "ask" and act.about == DANGER_CHECK)
        return act if opening and about not in (*SET_UP, DANGER_CHECK) else act_on(self.session, about)

    def _one(self, act: Act) -> Ending | None:
        """Put one question and take in the reply; an ending where the person stops here."""
        question = self._open_to_more(self._unconfirmed(question_for(self.session, act)))
        reply = self._front.put(question, nothing_more)
        if isinstance(reply, Given | Cannot) or reply is Aside.UNKNOWN:
            self._confirmed |= {caution.id for caution in question.cautions}
        match reply:
            case Aside.LEAVE:
                return Ending(closed=False, sheet_shown=False)
            case Aside.FINISH:
                return self._finish()
            case Aside.BACK | Note():
                self._aside(reply)
            case Request():
                self._request(reply)
            case _:
                return self._take(act, question, reply)
        return None

    def _open_to_more(self, question: Question) -> Question:
        """The question, where a line that is no answer may say something else."""
        return replace(question, says_more=lambda line: said_something(self.session, line))

    def _unconfirmed(self, question: Question) -> Question:
        """The question with those of its cautions that have not been confirmed yet, where it asks for that."""
        if not question.confirm_cautions:
            return question
        left = tuple(caution for caution in question.cautions if caution.id not in self._confirmed)
        return replace(question, cautions=left, confirm_cautions=bool(left))

    def _aside(self, reply: Aside | Note) -> None:
        if isinstance(reply, Note):
            self.record("noted", text=reply.text)
            self._front.say("Noted.")
            return
        if self._wanted:
            del self._wanted[0]
            self._front.say("Left as it was.")
            return
        before = effective(self.session.events)
        after = effective([*self.session.events, Event("taken_back", "")])
        if len(after) == len(before):
            self._front.say("There is nothing to take back yet.")
            return
        undone = next((old for old, new in zip(before, after, strict=False) if old != new), before[-1])
        self.record("taken_back")
        if undone.about:
            self._front.say(f"Taken back: {title(self.session, undone.about)}")

    def _take(self, act: Act, question: Question, reply: Reply) -> Ending | None:
        match question.kind:
            case "set_up" | "ask":
                self._take_answer(question, reply)
            case "confirm":
                return self._take_confirmed(act, question, reply)
            case "perform":
                self._take_outcome(question, reply)
            case "verify":
                return self._take_verified(question, reply)
            case "close":
                raise AssertionError("a closing question is put where the job concludes")
        return None

    def _take_answer(self, question: Question, reply: Reply) -> None:
        match reply:
            case Given(value, text):
                said = any(about == question.about for about, _ in listed(self.session))
                self.record("corrected" if said else "answered", question.about, value, text=text)
            case Cannot(reason):
                self.record("cant", question.about, reason=reason)
            case Aside.UNKNOWN:
                if question.about == DANGER_CHECK:
                    self._danger_unsaid(question)
                self.record("dont_know", question.about)
                if question.about == "unit":
                    self._front.say(f"Then {question.unknown}.")

    def _danger_unsaid(self, question: Question) -> None:
        knowledge, role = self.session.knowledge, self.session.job.role or "counter"
        signs = "; ".join(choice.text for choice in question.choices if choice.id != "none")
        text = f"Look for these: {signs}. The job goes on as if there might be danger. Mind this until you know:"
        self._front.say(text, caution_texts(knowledge, danger_cautions(knowledge), role))

    def _take_confirmed(self, act: Act, question: Question, reply: Reply) -> Ending | None:
        """A switching step, or danger made safe. What cannot be done rules out what needed it."""
        done = isinstance(reply, Given) and reply.value == "done"
        if act.kind == "make_safe" and not done:
            self.record("noted", text="The danger has not been made safe yet.")
            # The sheet all the same, and at once: the danger is the first thing on it.
            return self._conclude()
        if isinstance(reply, Cannot):
            self.record("cant", question.about, reason=reply.reason)
        elif done:
            self.record("switched_on" if act.kind == "switch_on" else "made_safe", question.about)
        return None

    def _take_outcome(self, question: Question, reply: Reply) -> None:
        if isinstance(reply, Cannot):
            self.record("repaired", question.about, "could_not", reason=reply.reason)
        elif isinstance(reply, Given):
            self.record("repaired", question.about, reply.value, text=reply.text)

    def _take_verified(self, question: Question, reply: Reply) -> Ending | None:
        """`later` leaves the job waiting for this very question, with the sheet for the meantime."""
        if isinstance(reply, Given) and reply.value != "later":
            self.record("verified", question.about, reply.value, text=reply.text)
            return None
        self._show_sheet()
        return Ending(closed=False, sheet_shown=True)

    def _finish(self) -> Ending | None:
        """The sheet with what is known now."""
        job = self.session.job
        if job.complaint is None and job.danger in (None, "none"):
            self._front.say("There is nothing to put on a sheet yet: say first what the trouble is.")
            return None
        return self._conclude()

    def _conclude(self) -> Ending | None:
        """Show the sheet, and ask whether the job is closed; None where the person goes back."""
        sheet = self._show_sheet()
        if self.session.job.closed:
            self._front.say("This job is closed.")
            return Ending(closed=True, sheet_shown=True)
        question = self._open_to_more(conclusion(sheet.headline()))
        while True:
            reply = self._front.put(question, nothing_more)
            match reply:
                case Note():
                    self._aside(reply)
                case Aside.BACK:
                    self._aside(reply)
                    return None
                case Request(act="list"):
                    self._request(reply)
                case Request():
                    self._request(reply)
                    return None
                case Given(value="close"):
                    decision = sheet.decision()
                    self.record("handed_on" if decision in _HANDED_ON else "closed", value=decision)
                    return Ending(closed=True, sheet_shown=True)
                case _:
                    return Ending(closed=False, sheet_shown=True)

    def _show_sheet(self) -> Sheet:
        sheet = self._sheet_of(self.session)
        self._front.show_sheet(sheet)
        kept = self._keep_sheet(sheet)
        if kept:
            self._front.say(kept)
        return sheet

    # --- what is said beside an answer ----------------------------------------------------------------------------

    def _request(self, request: Request) -> None:
        """Do what the person wants beside answering."""
        if self.session.job.role is None:
            self._front.say("Say first where you take this call; after that, all that is known.")
            return
        match request.act:
            case "say":
                self._heed(request.text)
            case "ask":
                self._want(request.text, checks_named(self.session.knowledge, request.text))
            case "list":
                self._list()
            case "change":
                self._change(request.text)
            case "tried":
                for part in parts_of(request.text):
                    self._tried(part)
            case "can":
                self._lift(request.text)

    def _heed(self, line: str) -> None:
        """Keep the facts of a line, show them, and ask back what is unclear."""
        found = understood(self.session, line)
        named = checks_named(self.session.knowledge, line)
        if named and not found.facts:
            self._want(line, named)
            return
        for fact in found.facts:
            self._keep(fact)
        if self._front.heard(heard(self.session, found)):
            for item in found.unclear:
                self._ask_back(item)

    def _keep(self, fact: Fact) -> None:
        """One fact onto disk; what stands already is not said twice."""
        before = self.session.job.answers.get(fact.check)
        if before is None or before.reading.value != fact.value:
            self.record("corrected" if before else "answered", fact.check, fact.value, text=fact.text)

    def _ask_back(self, item: Unclear) -> None:
        """Which check was meant; its answer is taken from the words where they hold one, else it is put next."""
        meant = self._meant(item.text, item.candidates)
        if meant is None:
            return
        value = read_as(self.session, item.text, meant)
        if value is None:
            self._wanted.append(meant)
            return
        fact = Fact(meant, value, item.text)
        self._keep(fact)
        self._front.heard(heard(self.session, Understood((fact,))))

    def _meant(self, said: str, names: tuple[str, ...], sure: bool = True) -> str | None:
        """The one that was meant, asked for where there are several or where one is not `sure`."""
        if not names or (sure and len(names) == 1):
            return names[0] if names else None
        reply = self._front.put(which(self.session, said, names), nothing_more)
        if isinstance(reply, Note):
            self._aside(reply)
        return str(reply.value) if isinstance(reply, Given) and reply.value in names else None

    def _want(self, said: str, names: tuple[str, ...]) -> None:
        """Put a check next."""
        if not names:
            self._front.say(f'"{said}" names no check; list shows what has been said.')
        elif (meant := self._meant(said, names)) is not None:
            self._wanted.insert(0, meant)

    def _list(self) -> None:
        lines = listed(self.session)
        numbered = "\n".join(f"{number}. {line}" for number, (_, line) in enumerate(lines, start=1))
        self._front.say(numbered or "Nothing has been said yet.")

    def _change(self, said: str) -> None:
        """Ask again what stands in the list under this number or name."""
        known = [about for about, _ in listed(self.session)]
        if said.isascii() and said.isdecimal() and 1 <= int(said[:6]) <= len(known):
            named: tuple[str, ...] = (known[int(said[:6]) - 1],)
        else:
            meant = (said.casefold(), *checks_named(self.session.knowledge, said))
            named = tuple(about for about in known if about in meant)
        named = tuple(about for about in named if about not in self.session.knowledge.repairs)
        if named:
            self._want(said, named)
        else:
            self._front.say(f'"{said}" is not in the list; list shows it with its numbers.')

    def _tried(self, said: str) -> None:
        """A repair that was done before this visit, and did not help."""
        names, whole = repairs_named(self.session.knowledge, said)
        names = tuple(name for name in names if name not in self.session.job.repaired)
        meant = self._meant(said, names, sure=whole)
        if meant is None:
            self._front.say(f'"{said}": nothing was kept. Say it in the words of a repair.')
            return
        self.record("already_tried", meant, text=said)
        self._front.say(f"Tried before: {title(self.session, meant)}")

    def _lift(self, said: str) -> None:
        """What could not be done can be done after all, and so can all with the same need."""
        names = lifted_by(self.session, said)
        for about in names:
            if about in self.session.job.cannot:
                self.record("lifted", about, text=said)
        if not names:
            self._front.say(f'"{said}" does not stand as can\'t; list shows what does.')
        for about in names:
            self._front.say(f"Possible again: {title(self.session, about)}")
