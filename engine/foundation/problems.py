"""What is wrong in a faults folder, as facts with a place, and the one error that carries every such fact."""

from __future__ import annotations

import difflib
import errno
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import said, say

_LONGEST = 400
_MOST_IN_ONE = 20
_MOST_NAMED = 12
"""So many known words are listed at most where none is near: a longer list is read by nobody."""


Grade = Literal["mistake", "danger", "look again"]
"""What a finding is: wrong for certain; what may hurt somebody; or what is hardly meant, which stops nothing."""


@dataclass(frozen=True, order=True)
class Problem:
    """One finding: where it stands (line and column from 1, 0 for a whole folder), what is wrong, what to do.

    `rule` is the id of the rule that it breaks, empty where none looks for it; `grade` how much that matters. Two that
    say the same of one place are one, whichever rule found it.
    """

    file: str
    line: int
    column: int
    what: str
    advice: str
    rule: str = field(default="", compare=False)
    grade: Grade = field(default="mistake", compare=False)

    def __str__(self) -> str:
        """`file:line:column: what; advice`, the form that editors jump to; what is no mistake says its grade first."""
        where = f"{cleaned(self.file)}:{self.line}:{self.column}" if self.line else cleaned(self.file)
        return f"{where}: {self.said()}; {shown(self.advice)}"

    def said(self) -> str:
        """What is wrong, behind its grade where that is not a mistake."""
        what = shown(self.what)
        return what if self.grade == "mistake" else f"{say(f'errors.grade.{self.grade}')}: {what}"


def under(rule: str, problems: Iterable[Problem]) -> list[Problem]:
    """Problems as findings of a rule; one that has a rule already keeps it."""
    return [problem if problem.rule else replace(problem, rule=rule) for problem in problems]


class KnowledgeError(Exception):
    """A faults folder, or another of the project's YAML files, cannot be used; `problems` says why, by place."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep the problems sorted by file, line and column, each once."""
        self.problems: tuple[Problem, ...] = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems[:_MOST_IN_ONE]))


def shown(text: str, most: int = _LONGEST) -> str:
    """Text that quotes what somebody wrote, as a message can carry it: one line, plain, the middle left out where long.

    Args: at most so many characters.
    """
    plain = cleaned(text)
    if len(plain) <= most:
        return plain
    head = (most - 5) * 2 // 3
    return f"{plain[:head]} ... {plain[len(plain) - (most - 5 - head) :]}"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that looks most like this one, or None where none is near."""
    found = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return found[0] if found else None


def advice_for(word: str, known: Iterable[str], kind: str = "") -> str:
    """What to write instead of an unknown word: the nearest known one, else the known ones if they are few.

    Args: `kind`, of which entries the known words are ids, where they are: many of them can be listed.
    """
    choices = list(dict.fromkeys(known))
    near = nearest(word, choices)
    if near is not None:
        return say("errors.mean", name=near)
    if not choices:
        return say("errors.nothing")
    if len(choices) > _MOST_NAMED:
        count = len(choices)
        return say("errors.none_near_of", count=count, kind=kind) if kind else say("errors.none_near", count=count)
    return say("errors.known", names=", ".join(choices))


def why_not(error: OSError) -> str:
    """What the system says of a file that cannot be used: in our own words where we have some."""
    name = errno.errorcode.get(error.errno or 0, "")
    return said("errors.system").get(name, error.strerror or str(error))
