"""What a line says beside an answer, and how it is asked back where it may mean two things; pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from engine.foundation.texts import say
from engine.knowledge.model import Role
from engine.session.acts import Act
from engine.session.session import Session
from interview.dialogue.history import name_of, value_words
from interview.dialogue.questions import measure_of, question_for
from interview.dialogue.standing import title
from interview.messages import (
    Choice,
    Fact,
    Given,
    Heard,
    HeardFact,
    HeardUnclear,
    Question,
    Request,
    Unclear,
    Understood,
)
from interview.understanding.facts import understand
from interview.understanding.lexicon import words_of_weight
from interview.understanding.names import MOST_CHOICES, checks_named
from interview.understanding.numbers import number_in
from interview.understanding.replies import read
from interview.understanding.results import Refusal

_FROM_NUMBER = re.compile(r"[-+]?[0-9].*")


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

    What names a complaint and is an answer too, such as `green water`, stays in the line as well.
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
            said = understand(part, knowledge, job.role or "counter")
            rest += [part] if said.facts and not said.unclear else []
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


def said_beside(session: Session, line: str, asked: str = "") -> Request | None:
    """A line that is no answer as something said, where it says a fact, names a check, or says half of a fact."""
    found = understood(session, line, asked)
    # A bare number at a question of choices is rather a slip than half of a fact.
    half = not line[:1].isdecimal() and any(item.candidates for item in found.unclear)
    if found.facts or half or checks_named(session.knowledge, line):
        return Request("say", line, found)
    return None


def heard(session: Session, found: Understood) -> Heard:
    """What was understood, in the words that a front end shows."""
    facts = tuple(
        HeardFact(fact.check, fact.value, name_of(session, fact.check), value_words(session, fact.check, fact.value))
        for fact in found.facts
    )
    return Heard(facts, tuple(HeardUnclear(item.text, item.why, item.candidates) for item in found.unclear))


def which(session: Session, said: str, names: Sequence[str]) -> Question:
    """Ask back which of several checks or repairs was meant."""
    choices = tuple(Choice(name, title(session, name)) for name in names[:MOST_CHOICES])
    none = Choice("none_of_these", say("heeding.none_of_these"))
    return Question("set_up", "which", say("heeding.which", said=said), (*choices, none), harmless=True)


def read_as(session: Session, line: str, check: str) -> str | float | None:
    """The words as the answer to this one check; None where they are none."""
    question = question_for(session, Act("ask", check))
    number = _FROM_NUMBER.search(line) if question.measure is not None else None
    meant = read(number[0] if number else line, question)
    return meant.value if isinstance(meant, Given) else None
