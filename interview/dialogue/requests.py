"""What a person says beside an answer, done: facts kept, a check put next, a repair tried before, something put off."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK
from engine.session.complaint import complaint_told
from engine.session.job import SET_UP
from engine.session.journal import PLANT, RECORDED, EventKind
from interview.dialogue.alarms import alarm_for, dangers_in, listen, words_of
from interview.dialogue.history import all_listed, listed, name_of, names_known, value_words
from interview.dialogue.on_record import found_on_record, may_be_meant, of_another, take_meant, which_pool
from interview.dialogue.standing import title
from interview.dialogue.state import DialogueState
from interview.dialogue.utterance import NONE_OF_THESE, heard, meant, said_beside, understood, which
from interview.messages import (
    Candidate,
    Control,
    Fact,
    Given,
    Note,
    Question,
    Request,
    Unclear,
    Understood,
    nothing_more,
)
from interview.understanding.matching import in_plain_words
from interview.understanding.names import checks_named, lifted_by, parts_of, repairs_named, start_named
from interview.understanding.normalize import as_sentence
from interview.understanding.record_typed import RecordError, in_words, to_record

_MOST_OF_A_NAME = 4
"""A line of more words behind `for` is a story, such as for how long there was no chlorine: judgement."""


def heed(talk: DialogueState, request: Request) -> None:
    """Do what the person wants beside answering."""
    if (text := words_of(request)) and listen(talk, text):
        return
    if request.act == "for" and _named_in_front(talk, request.text):
        return
    if talk.session.job.role is None and request.act not in ("say", "for", "list"):
        talk.postponed.append(request)
        talk.front.tell(say("opening.role_first"))
        return
    if request.act in ("say", "for"):
        found = request.understood or understood(talk.session, request.text, talk.asked, talk.today)
        _take_line(talk, request.text, found)
    else:
        _DONE_BY[request.act](talk, request.text)


def catch_up(talk: DialogueState) -> None:
    """Do what was wanted before the place was known, or while a danger was asked back."""
    while talk.postponed and talk.session.job.role is not None:
        request = talk.postponed.pop(0)
        if talk.session.job.standing and DANGER_CHECK in checks_named(talk.session.knowledge, request.text):
            # The question for danger, wanted while one was asked back, is answered by it: its steps come first.
            continue
        heed(talk, request)


def _take_line(talk: DialogueState, line: str, found: Understood) -> None:
    """Show what a line states and keep it; danger in it comes before all, and what it may state is asked back."""
    others = [fact for fact in found.facts if fact.check != "complaint"]
    dangers = dangers_in(talk, line, others)
    if dangers.facts or dangers.unclear:
        found = Understood(found.facts, _not_of_danger(found.unclear))
    reported = tuple(fact for fact in dangers.facts if fact.check == DANGER_CHECK)
    told = tuple(fact for fact in found.facts if not (reported and fact.check == DANGER_CHECK))
    ask = talk.front.heard(heard(talk.session, Understood((*reported, *told), (*dangers.unclear, *found.unclear))))
    endangered = listen(talk, line, others)
    named = checks_named(talk.session.knowledge, line)
    if named and not found.facts and not found.unclear and not endangered:
        _put_named(talk, line, named)
        return
    if ask and not (found.facts or found.unclear or endangered or dangers.unclear):
        # Whatever somebody says is kept, if only to be read by a person.
        talk.record("noted", text=line)
        talk.front.tell(say("heeding.kept_as_note"))
        return
    before = len(talk.session.events)
    for fact in told:
        if not (endangered and fact.check == DANGER_CHECK):
            _keep(talk, fact)
    talk.together = len(talk.session.events) - before
    if ask:
        talk.unclear += found.unclear


def _not_of_danger(unclear: Sequence[Unclear]) -> tuple[Unclear, ...]:
    """What is unclear without what may answer the question for danger: beside a sign of one that could only deny it."""
    rest = (tuple(c for c in each.candidates if c.check != DANGER_CHECK) for each in unclear)
    parted = [(each, left) for each, left in zip(unclear, rest, strict=True) if left or not each.candidates]
    return tuple(replace(each, candidates=left) for each, left in parted)


def take_rest(talk: DialogueState, line: str) -> None:
    """Keep what else is said in a line that was the answer to the question for the trouble."""
    found = understood(talk.session, line, "", talk.today)
    stands = talk.session.job.answers
    rest = tuple(f for f in found.facts if f.check not in ("complaint", DANGER_CHECK) and f.check not in stands)
    unclear = tuple(item for item in found.unclear if all(each.check != "complaint" for each in item.candidates))
    if rest or unclear:
        _keep_all(talk, Understood(rest, unclear))


def take_trouble_told(talk: DialogueState) -> None:
    """Take the trouble from what the unit reports, where nobody has said one; and say so in a line."""
    job = talk.session.job
    if job.complaint is not None or job.role is None or job.danger_open or job.danger or talk.trouble_asked:
        return
    if any(each.check == "complaint" for item in talk.unclear for each in item.candidates):
        return
    if (told := complaint_told(talk.session.knowledge, job)) is None:
        return
    tree, check = told
    together = talk.together
    talk.record("answered", "complaint", tree, beside=True)
    talk.together = together + 1 if together else 0
    words = value_words(talk.session, "complaint", tree).rstrip(".")
    said = f"{name_of(talk.session, check)}: {value_words(talk.session, check, job.answers[check].reading.value)}"
    talk.front.tell(say("heeding.trouble_told", trouble=words, told=said))


def _keep_all(talk: DialogueState, found: Understood) -> None:
    """Show what was understood, keep it, and have the rest asked back."""
    ask = talk.front.heard(heard(talk.session, found))
    before = len(talk.session.events)
    for fact in found.facts:
        _keep(talk, fact)
    talk.together = len(talk.session.events) - before
    if ask:
        talk.unclear += found.unclear


def _named_in_front(talk: DialogueState, words: str) -> bool:
    """Take the record of whose pool it is; whether the words are of somebody, and not the beginning of a story."""
    whose, another = of_another(words)
    found = found_on_record(talk, whose)
    meant = may_be_meant(found, another)
    if not found:
        told = understood(talk.session, words, talk.asked, talk.today)
        if told.facts or told.unclear or len(words.split()) > _MOST_OF_A_NAME:
            return False
        talk.front.tell(say("on_record.nobody", said=whose))
    elif len(found) == 1 or len(meant) == 1:
        take_meant(talk, meant[0])
        if not another:
            talk.front.tell(say("on_record.or_another", said=whose))
    elif talk.session.job.danger is None:
        chosen = _chosen(talk, which_pool(whose, meant))
        if chosen is not None and chosen.isdecimal():
            take_meant(talk, meant[int(chosen) - 1])
    return True


def _put_named(talk: DialogueState, line: str, named: tuple[str, ...]) -> None:
    """A check that was only named is put next; danger at once, before anything else is asked back."""
    if named == (DANGER_CHECK,):
        talk.want(DANGER_CHECK)
    else:
        talk.unclear.append(Unclear(line, tuple(Candidate(name, None) for name in named)))


def ask_back(talk: DialogueState) -> None:
    """Ask back what lines left unclear, as soon as danger was asked for; where there is danger it can wait."""
    if talk.session.job.danger is not None:
        talk.unclear.clear()
    while talk.unclear and talk.ends is None and not (talk.session.job.danger_open or talk.session.job.danger):
        _ask_back(talk, talk.unclear.pop(0))


def _keep(talk: DialogueState, fact: Fact) -> None:
    """One fact onto disk; what stands already is not said twice."""
    if fact.check in SET_UP:
        if getattr(talk.session.job, fact.check) != fact.value:
            talk.record("answered", fact.check, fact.value, text=fact.text, beside=True)
        return
    before = talk.session.job.answers.get(fact.check)
    if before is None or before.reading.value != fact.value:
        kind: EventKind = "corrected" if before else "answered"
        talk.record(kind, fact.check, fact.value, text=fact.text, beside=True)


def _ask_back(talk: DialogueState, item: Unclear) -> None:
    """Which of what a line may state was meant; a check that was only named is put next."""
    if item.candidates and item.candidates[0].value is None:
        named = _meant(talk, item.text, tuple(each.check for each in item.candidates))
        if named is not None:
            talk.want(named, first=False)
        return
    answers = talk.session.job.answers
    stands = {check: answer.reading.value for check, answer in answers.items()}
    item = replace(item, candidates=tuple(c for c in item.candidates if stands.get(c.check) != c.value))
    if not item.candidates:
        return
    chosen = _chosen(talk, meant(talk.session, item))
    if chosen == NONE_OF_THESE:
        talk.front.tell(say("heeding.dropped", said=item.text))
    if chosen is not None and chosen.isdecimal():
        candidate = item.candidates[int(chosen) - 1]
        assert candidate.value is not None
        # The front end shows what was picked, as it does with any reply.
        _keep(talk, Fact(candidate.check, candidate.value, item.text))


def _meant(talk: DialogueState, said: str, names: tuple[str, ...], sure: bool = True) -> str | None:
    """The one that was meant, asked for where there are several or where one is not `sure`."""
    if not names or (sure and len(names) == 1):
        return names[0] if names else None
    if talk.session.job.danger is not None:
        # Nothing is asked back while danger stands.
        return None
    chosen = _chosen(talk, which(talk.session, said, names))
    if chosen == NONE_OF_THESE:
        talk.front.tell(say("heeding.dropped", said=said))
    return chosen if chosen in names else None


def _chosen(talk: DialogueState, question: Question) -> str | None:
    """The reply to a question that asks back; None where something else, such as danger, comes before it."""
    question = replace(
        question,
        alarm=lambda line, sure: alarm_for(talk.session, line, sure),
        says_more=lambda line: said_beside(talk.session, line, "", talk.today),
        names=lambda: names_known(talk.session),
    )
    while True:
        match talk.front.put(question, nothing_more):
            case Given(value):
                return str(value)
            case Note() | Request() as beside:
                if isinstance(beside, Note):
                    take_note(talk, beside)
                else:
                    heed(talk, beside)
                if talk.session.job.danger is not None:
                    return None
            case (Control.FINISH | Control.LEAVE) as ends:
                talk.ends = ends
                return None
            case _:
                return NONE_OF_THESE


def _ask(talk: DialogueState, said: str) -> None:
    """Put next what was named."""
    _want(talk, said, (*start_named(said), *checks_named(talk.session.knowledge, said)))


def _want(talk: DialogueState, said: str, names: tuple[str, ...]) -> None:
    """Put a check next."""
    if not names:
        talk.front.tell(say("heeding.no_check", said=said))
    elif (meant := _meant(talk, said, names)) is not None:
        talk.want(meant)
        if (
            talk.session.job.danger is None
            and talk.session.next(wanted=talk.session.heeded(talk.wanted)).about != meant
        ):
            # What the interview rests on, such as the kind of unit, is asked before any check.
            talk.front.tell(say("heeding.after_this", what=title(talk.session, meant).strip("¿?")))


def _list(talk: DialogueState, _: str) -> None:
    talk.front.tell(all_listed(talk.session))


def _change(talk: DialogueState, said: str) -> None:
    """Ask again what stands in the list under this number or name."""
    named = _listed_as(talk, said)
    job = talk.session.job
    fixed = [about for about in named if about == PLANT or (about in job.cannot and about not in job.waiting)]
    lifted = [about for about in fixed if about not in talk.session.knowledge.checks]
    if lifted:
        # What is not asked is not asked again: it is said that it is possible after all.
        talk.front.tell(say("heeding.change_by_can", what=title(talk.session, lifted[0]).strip("¿?")))
    elif named:
        _want(talk, said, named)
    else:
        talk.front.tell(say("heeding.not_listed", said=said))


def _listed_as(talk: DialogueState, said: str) -> tuple[str, ...]:
    """What of the list a number or a name means: as it stands there, else by another of its names."""
    known = [about for about, _ in listed(talk.session)]
    if said.isascii() and said.isdecimal() and 1 <= int(said[:6]) <= len(known):
        return (known[int(said[:6]) - 1],)
    plain = in_plain_words(said)
    shown = tuple(about for about in known if in_plain_words(name_of(talk.session, about)) == plain)
    if shown:
        return shown
    meant = {said.casefold(), *start_named(said), *checks_named(talk.session.knowledge, said)}
    return tuple(about for about in known if about in meant or in_plain_words(title(talk.session, about)) == plain)


def _tried(talk: DialogueState, said: str) -> None:
    """Several repairs, or one, that were done before."""
    for part in parts_of(said):
        _tried_one(talk, part)


def _tried_one(talk: DialogueState, said: str) -> None:
    """A repair that was done before this visit, and did not help."""
    names, whole = repairs_named(talk.session.knowledge, said)
    names = tuple(name for name in names if name not in talk.session.job.repaired)
    meant = _meant(talk, said, names, sure=whole)
    if meant is None:
        talk.front.tell(say("heeding.no_repair", said=said))
        return
    talk.record("already_tried", meant, text=said)
    talk.front.tell(say("heeding.tried", what=title(talk.session, meant)))


def _lift(talk: DialogueState, said: str) -> None:
    """What could not be done can be done after all, and so can all with the same need."""
    names = lifted_by(talk.session, said)
    for about in names:
        if about in talk.session.job.left:
            talk.record("lifted", about, text=said)
    if not names:
        talk.front.tell(say("heeding.not_lifted", said=said))
    for about in names:
        talk.front.tell(say("heeding.lifted", what=title(talk.session, about)))


def take_note(talk: DialogueState, note: Note) -> None:
    """Keep free text with the job; danger in it is met at once."""
    talk.record("noted", text=note.text)
    talk.front.tell(say("opening.noted"))
    listen(talk, note.text)


def _record(talk: DialogueState, line: str) -> None:
    """Keep what belongs to the job beside its questions; all of a line, or none of it."""
    try:
        found = to_record(in_words(line), talk.session.knowledge.parts)
    except RecordError as error:
        talk.front.tell(f"{as_sentence(str(error), line)} {say('recording.nothing_kept')}")
        return
    for one in found:
        talk.record(RECORDED, one.about, one.value, text=one.unit)
    talk.front.tell(say("recording.kept", what=line))


def put_off(talk: DialogueState, about: str, when: str, beside: bool = False) -> None:
    """A check or a repair is done later: it goes on the sheet, and the job waits for it."""
    talk.record("deferred", about, text=when, beside=beside)
    talk.front.tell(say("talk.later.kept", what=title(talk.session, about)))


def _put_off(talk: DialogueState, said: str) -> None:
    """Another check than the one at hand is done later."""
    names = tuple(name for name in checks_named(talk.session.knowledge, said) if name != DANGER_CHECK)
    if not names:
        talk.front.tell(say("talk.later.no_such", said=said))
    elif (meant := _meant(talk, said, names)) is not None:
        put_off(talk, meant, "", beside=True)


_DONE_BY: Mapping[str, Callable[[DialogueState, str], None]] = {
    "ask": _ask,
    "list": _list,
    "change": _change,
    "tried": _tried,
    "can": _lift,
    "later": _put_off,
    "record": _record,
}
"""What does each thing that is wanted; `say` and `for` are lines, and `heed` takes them itself."""
