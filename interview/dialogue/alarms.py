"""Danger that somebody speaks of in any line, at any question: taken at once where it is sure, else asked back."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK
from engine.session.session import Session
from interview.dialogue.history import all_listed
from interview.dialogue.state import DialogueState
from interview.dialogue.utterance import said_beside
from interview.messages import (
    Candidate,
    Choice,
    Control,
    Deferred,
    Fact,
    Given,
    Note,
    Question,
    Reply,
    Request,
    Unable,
    Unclear,
    Understood,
    nothing_more,
)
from interview.understanding.alarm import Alarm, alarms_in, words_in


def alarm_for(session: Session, line: str, sure: bool, about: str = "") -> Request | None:
    """A line as something said, where it tells of a danger that does not stand yet; None where it does not.

    Args: `sure`, whether only what is beyond doubt counts; `about`, what is asked. The question for danger itself is
    answered first.
    """
    if sure and about == DANGER_CHECK:
        return None
    return Request("say", line) if any(alarm.sure or not sure for alarm in _new(session, line)) else None


def words_of(reply: Reply) -> str:
    """The words of a reply in which danger may be spoken of beside all else; an answer's stand for themselves."""
    match reply:
        case Note(text) | Unable(text) | Deferred(text):
            return text
        case Request(act, text) if act != "say":
            return text
        case _:
            return ""


def listen(talk: DialogueState, line: str, facts: Sequence[Fact] = ()) -> bool:
    """Take the dangers that a line tells of; whether there is one now that was not there before.

    Args: `facts`, what else the line says. How a part was found (`plug burnt`) is reported, and is no answer beside it:
    one fact counts once.
    """
    before = {report.danger for report in talk.session.job.standing}
    for alarm in _new(talk.session, line):
        if _is_denied(talk, alarm, line, facts):
            continue
        if (alarm.danger, alarm.words) in talk.not_meant or (talk.ends is not None and not alarm.sure):
            # Whoever is about to go is asked nothing back; what is beyond doubt is kept all the same.
            continue
        if alarm.sure or _is_meant(talk, alarm, line):
            _report(talk, alarm.danger, line, beside=_is_found(talk, alarm, line, facts))
        elif alarm.danger not in {report.danger for report in talk.session.job.standing}:
            talk.not_meant.add((alarm.danger, alarm.words))
    return not before.issuperset(report.danger for report in talk.session.job.standing)


def dangers_in(talk: DialogueState, line: str, facts: Sequence[Fact] = ()) -> Understood:
    """The dangers that a line tells of, as answers to the question for danger: reported, or to be asked back.

    Args: `facts`, what else the line says; how a part was found is no answer beside it.
    """
    check = talk.session.knowledge.checks[DANGER_CHECK]
    reported, open_ones = [], []
    for alarm in _new(talk.session, line):
        answer = next((each.id for each in check.answers if each.reports == alarm.danger), None)
        if answer is None or (alarm.danger, alarm.words) in talk.not_meant or _is_denied(talk, alarm, line, facts):
            continue
        if not alarm.sure:
            open_ones.append(Unclear(alarm.words, (Candidate(DANGER_CHECK, answer),)))
        elif not _is_found(talk, alarm, line, facts):
            reported.append(Fact(DANGER_CHECK, answer, alarm.words))
    return Understood(tuple(reported[:1]), tuple(open_ones))


def _new(session: Session, line: str) -> list[Alarm]:
    standing = {report.danger for report in session.job.standing}
    return [alarm for alarm in alarms_in(line, session.knowledge) if alarm.danger not in standing]


def _is_found(talk: DialogueState, alarm: Alarm, line: str, facts: Sequence[Fact]) -> bool:
    """Whether an alarm is only how a part was found, and a finding that keeps it off stands in the same place."""
    checks = talk.session.knowledge.checks
    found = [fact for fact in facts if fact.check in checks and checks[fact.check].keeps_off(fact.value)]
    found = [fact for fact in found if checks[fact.check].danger_of(fact.value) != alarm.danger]
    return alarm.of_a_part and any(alarm.places & _places_of(fact, line) for fact in found)


def _is_denied(talk: DialogueState, alarm: Alarm, line: str, facts: Sequence[Fact]) -> bool:
    """Whether what may be meant stands inside the words by which it says that there is none, or none known."""
    check = talk.session.knowledge.checks[DANGER_CHECK]
    denials = [fact for fact in facts if fact.check == DANGER_CHECK and check.danger_of(fact.value) is None]
    return not alarm.sure and any(alarm.places <= _places_of(fact, line) for fact in denials)


def _places_of(fact: Fact, line: str) -> set[int]:
    """The places in the words of a line where those of a fact stand."""
    words, said = words_in(line), words_in(fact.text)
    starts = [at for at in range(len(words) - len(said) + 1) if said and words[at : at + len(said)] == said]
    return {place for at in starts for place in range(at, at + len(said))}


def _report(talk: DialogueState, danger: str, line: str, beside: bool = False) -> None:
    """As the answer to the question for danger, unless that has told of another one already, or another answer has."""
    check = talk.session.knowledge.checks[DANGER_CHECK]
    said = talk.session.job.answers.get(DANGER_CHECK)
    answer = next((each.id for each in check.answers if each.reports == danger), None)
    # Also once the answer was taken back by don't know, what it told of stands, and is not replaced.
    stands = any(report.about == DANGER_CHECK for report in talk.session.job.standing)
    if beside or answer is None or stands or (said is not None and check.danger_of(said.reading.value) is not None):
        talk.record("danger_reported", danger, text=line)
    else:
        talk.record("corrected" if said else "answered", DANGER_CHECK, answer, text=line)


def _taken_as_sure(talk: DialogueState, line: str) -> set[str]:
    """The dangers that a line reports beyond doubt, taken while another is asked back."""
    found = {alarm.danger for alarm in _new(talk.session, line) if alarm.sure}
    for danger in found:
        _report(talk, danger, line)
    return found


def _is_meant(talk: DialogueState, alarm: Alarm, line: str) -> bool:
    """Ask back whether a danger is meant; don't know counts as yes."""
    danger = talk.session.knowledge.dangers[alarm.danger]
    what = danger.wording.for_role(talk.session.job.role or "counter")
    question = Question(
        "set_up",
        "danger",
        say("heeding.danger.meant", said=line, what=what),
        (Choice("yes", say("heeding.danger.yes")), Choice("no", say("heeding.danger.no"))),
        why=(say("asking.why.danger"),),
        unknown=say("heeding.danger.unknown"),
        alarm=lambda said, sure: alarm_for(talk.session, said, sure),
        says_more=lambda said: said_beside(talk.session, said, "", talk.today),
    )
    while True:
        match talk.front.put(question, nothing_more):
            case Given(value):
                return value == "yes"
            case Control.UNKNOWN:
                return True
            case (Control.FINISH | Control.LEAVE) as ends:
                talk.ends = ends
                # Whoever goes away without an answer is not taken to have denied it.
                return True
            case Control.BACK:
                return False
            case Request("list"):
                talk.front.tell(all_listed(talk.session))
            case Request(act) as beside if act != "say" or not alarm_for(talk.session, beside.text, sure=False):
                # What speaks of no danger waits until this is settled.
                talk.postponed.append(beside)
                talk.front.tell(say("heeding.danger.first"))
            case Note(text) | Request(_, text):
                talk.record("noted", text=text)
                talk.front.tell(say("opening.noted"))
                if danger.id in _taken_as_sure(talk, text):
                    return False
            case _:
                pass
