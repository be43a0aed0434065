"""What a person says beside an answer: facts, another check, a repair tried before, a can't lifted; pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.texts import said, say
from engine.knowledge.model import Knowledge, Role
from engine.quantities.quantity import show_quantity
from engine.session.acts import Act
from engine.session.job import SET_UP
from engine.session.session import Session
from interview.dialogue.questions import measure_of, question_for, title
from interview.messages import Choice, Given, Heard, HeardFact, HeardUnclear, Question
from interview.understanding.facts import Fact, Unclear, Understood, understand
from interview.understanding.lexicon import words_of_weight
from interview.understanding.normalize import without_accents
from interview.understanding.replies import Refusal, number_in, read

_WORD = re.compile(r"[^\W_]+")
_FROM_NUMBER = re.compile(r"[-+]?[0-9].*")
_MOST_CHOICES = 8
_BROUGHT = ("nothing", "water_sample", "cell", "water_sample+cell")


def understood(session: Session, line: str, asked: str = "") -> Understood:
    """What a line says about the checks, the role and the complaint. Args: `asked`, the check whose question stands."""
    start, rest = _start_in(session, line)
    found = understand(rest, session.knowledge, session.job.role or "counter", tuple(session.job.answers), asked)
    # The complaint that stands, said once more where it tells nothing closer.
    again = [item for item in found.unclear if _is_called(item.text, session.job.complaint, session)]
    facts = (*start, *(Fact("complaint", str(session.job.complaint), item.text) for item in again[:1]))
    return Understood((*facts, *found.facts), tuple(item for item in found.unclear if item not in again))


def _start_in(session: Session, line: str) -> tuple[tuple[Fact, ...], str]:
    """Role and complaint, where not settled, that stand between two commas by a name; and the line without them.

    Of several complaints none is taken: the question is asked anyway.
    """
    job, knowledge = session.job, session.knowledge
    roles, complaints, rest = [], [], []
    for part in re.findall(r"[^,;]*[,;]?", line):
        role = next((r.id for r in knowledge.roles.values() if job.role is None and _is_role(part, r)), None)
        tree = next((t for t in knowledge.trees if job.complaint is None and _is_called(part, t, session)), None)
        if role is not None:
            roles.append(Fact("role", role, part.strip(" ,;")))
        elif tree is not None:
            complaints.append(Fact("complaint", tree, part.strip(" ,;")))
        else:
            rest.append(part)
    named = {fact.value for fact in complaints}
    return (*roles[:1], *(complaints[:1] if len(named) == 1 else ())), "".join(rest)


def _is_role(said: str, role: Role) -> bool:
    words = words_of_weight(said)
    return bool(words) and words in map(words_of_weight, (role.id, role.wording.customer, role.wording.technician))


def _is_called(said: str, tree: str | None, session: Session) -> bool:
    """Whether a text is one of the names of a complaint."""
    words = words_of_weight(said)
    names = session.knowledge.trees[tree].names if tree is not None else ()
    return bool(words) and words in map(words_of_weight, names)


def doubtful(session: Session, found: Understood, doubted: Mapping[str, str]) -> Understood:
    """What was understood, numbers that are hardly meant taken out of the facts; the same said again is taken.

    Args: `doubted`, the numbers that were asked back before, by their checks, as they were typed.
    """
    facts: list[Fact] = []
    unclear = list(found.unclear)
    for fact in found.facts:
        check = session.knowledge.checks.get(fact.check)
        if check is None:
            facts.append(fact)
            continue
        typed = _FROM_NUMBER.search(fact.text)
        number = typed[0].strip() if typed else ""
        meant = number_in(number, measure_of(session, check), doubted.get(check.id) == number) if number else None
        if isinstance(meant, Refusal) and meant.keep:
            unclear.append(Unclear(fact.text, meant.message.rstrip("."), (check.id,), number))
        else:
            facts.append(fact)
    return Understood(tuple(facts), tuple(unclear))


def said_something(session: Session, line: str, asked: str = "") -> bool:
    """Whether a line that is no answer says a fact, names a check, or says half of a fact."""
    found = understood(session, line, asked)
    if found.facts or checks_named(session.knowledge, line):
        return True
    # A bare number at a question of choices is rather a slip than half of a fact.
    return not line[:1].isdecimal() and any(item.candidates for item in found.unclear)


def heard(session: Session, found: Understood) -> Heard:
    """What was understood, in the words that a front end shows."""
    facts = tuple(
        HeardFact(fact.check, fact.value, _name(session, fact.check), value_words(session, fact.check, fact.value))
        for fact in found.facts
    )
    return Heard(facts, tuple(HeardUnclear(item.text, item.why, item.candidates) for item in found.unclear))


def checks_named(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    """The checks that a line names and says nothing else about."""
    plain = " ".join(_words(line))
    return tuple(
        check.id
        for check in knowledge.checks.values()
        if plain
        and plain in (" ".join(_words(name)) for name in (check.id, *check.names, *_wordings(check.id, knowledge)))
    )


def start_named(line: str) -> tuple[str, ...]:
    """The questions of the start that a line names."""
    plain = " ".join(_words(line))
    return tuple(
        about
        for about, names in said("asking.set_up_names").items()
        if plain in (" ".join(_words(name)) for name in (about, *names.split(",")))
    )


def repairs_named(knowledge: Knowledge, line: str) -> tuple[tuple[str, ...], bool]:
    """The repairs that a line may mean, and whether each of its words is in the words of all of these."""
    typed = _words(line)
    scores: dict[str, int] = {}
    for repair in knowledge.repairs.values():
        words = _words(f"{repair.id} {repair.wording.customer} {repair.wording.technician}")
        scores[repair.id] = sum(any(_akin(one, other) for other in words) for one in typed)
    best = max(scores.values(), default=0)
    found = tuple(name for name, score in scores.items() if score == best and best > 0)
    return found[:_MOST_CHOICES], best == len(typed)


def parts_of(line: str) -> tuple[str, ...]:
    """What stands between commas."""
    return tuple(part.strip() for part in re.split(r"[,;]", line) if part.strip())


def lifted_by(session: Session, line: str) -> tuple[str, ...]:
    """Checks and repairs that could not be done and that a line names, by themselves or by what they need."""
    plain = " ".join(_words(line))
    knowledge = session.knowledge
    found = []
    named = (*checks_named(knowledge, line), *_surely_repaired(knowledge, line))
    for about in dict.fromkeys((*session.job.cannot, *session.job.left)):
        check = knowledge.checks.get(about)
        needs = [check.needs] if check is not None and check.needs != "nothing" else []
        if plain in needs or about in named or plain == " ".join(_words(about)):
            found.append(about)
    return tuple(found)


def _surely_repaired(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    names, whole = repairs_named(knowledge, line)
    return names if whole and len(names) == 1 else ()


@dataclass(frozen=True)
class _Line:
    about: str
    text: str


def listed(session: Session) -> tuple[tuple[str, str], ...]:
    """What has been said: what each line is about, and the line."""
    job = session.job
    lines = [_Line(name, value_words(session, name, value)) for name, value in _set_up(session).items()]
    lines += [_Line(name, value_words(session, name, item.reading.value)) for name, item in job.answers.items()]
    lines += [_Line(name, say("heeding.listed.unknown")) for name in job.unknown]
    lines += [_Line(name, say("heeding.listed.cannot", reason=reason)) for name, reason in job.cannot.items()]
    lines += [
        _Line(name, say("talk.later.listed_when", when=when) if when else say("talk.later.listed"))
        for name, when in job.waiting.items()
    ]
    return tuple((line.about, f"{_name(session, line.about)}: {line.text}") for line in lines)


def value_words(session: Session, about: str, value: str | float) -> str:
    """An answer in the words of the role, or a number with its unit."""
    knowledge, role = session.knowledge, session.job.role or "counter"
    check = knowledge.checks.get(about)
    if check is not None and check.unit is not None and not isinstance(value, str):
        return show_quantity(value, check.unit)
    if check is not None:
        return next((a.wording.for_role(role) for a in check.answers if a.id == value), str(value))
    if about in SET_UP:
        choices = question_for(session, act_on(session, about)).choices
        return next((choice.text for choice in choices if choice.id == value), str(value))
    return str(value)


def act_on(session: Session, about: str) -> Act:
    """The act that puts a check, or one of the questions of the start, now."""
    knowledge = session.knowledge
    options: Mapping[str, Sequence[str]] = {
        "role": tuple(knowledge.roles),
        "unit": tuple(knowledge.units),
        "complaint": tuple(knowledge.trees),
        "brought": _BROUGHT,
    }
    if about in options:
        return Act("set_up", about, options=tuple(options[about]))
    return session.act_for(about)


def which(session: Session, said: str, names: Sequence[str]) -> Question:
    """Ask back which of several checks or repairs was meant."""
    choices = tuple(Choice(name, title(session, name)) for name in names[:_MOST_CHOICES])
    none = Choice("none_of_these", say("heeding.none_of_these"))
    return Question("set_up", "which", say("heeding.which", said=said), (*choices, none), harmless=True)


def read_as(session: Session, line: str, check: str) -> str | float | None:
    """The words as the answer to this one check; None where they are none."""
    question = question_for(session, Act("ask", check))
    number = _FROM_NUMBER.search(line) if question.measure is not None else None
    meant = read(number[0] if number else line, question)
    return meant.value if isinstance(meant, Given) else None


def _set_up(session: Session) -> dict[str, str]:
    job = session.job
    said: dict[str, str | None] = {"role": job.role, "unit": job.unit, "complaint": job.complaint}
    if job.brought_said:
        said["brought"] = "+".join(job.brought) or "nothing"
    return {name: value for name, value in said.items() if value is not None}


def _name(session: Session, about: str) -> str:
    check = session.knowledge.checks.get(about)
    if check is not None and check.names and session.job.role != "field":
        return check.names[0]
    if about in SET_UP:
        return said("asking.set_up_names")[about].partition(",")[0]
    return title(session, about).strip("¿?")


def _wordings(check: str, knowledge: Knowledge) -> tuple[str, str]:
    wording = knowledge.checks[check].wording
    return wording.customer, wording.technician


def _words(text: str) -> list[str]:
    return _WORD.findall(without_accents(text).replace("_", " "))


def _akin(one: str, other: str) -> bool:
    """Whether two words are the same but for their endings: `cleaned` and `clean`."""
    short, long = sorted((one, other), key=len)
    return short == long or (len(short) >= 4 and long.startswith(short) and len(long) - len(short) <= 3)
