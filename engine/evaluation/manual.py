"""What each rule of a faults folder demands, in its own words: the docstring of the function that looks for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from inspect import cleandoc
from typing import Any

from engine.evaluation.calls import read_calls
from engine.foundation.problems import Grade
from engine.foundation.yaml_reader import compose
from engine.knowledge.files import contents_of
from engine.knowledge.held_beside import differences
from engine.knowledge.rules import RULES
from engine.knowledge.said_check import said_problems
from engine.knowledge.schema_errors import form_problems
from engine.knowledge.second_look import DOUBTS, id_of
from engine.knowledge.second_look.needless import answers_are_needed
from engine.knowledge.translation import overlay_of
from engine.knowledge.translation_check import compare_words


@dataclass(frozen=True)
class Manual:
    """A rule: how much a breach of it matters, whether it may be broken on purpose, and its text with its examples."""

    grade: Grade
    may_be_meant: bool
    text: str


_READERS: Mapping[str, Callable[..., Any]] = {
    "files": contents_of,
    "text": compose,
    "form": form_problems,
    "words": compare_words,
    "phrases": said_problems,
    "translations": overlay_of,
    "figures-agree": differences,
    "calls": read_calls,
}
"""What is found while files are read, by the id under which it is told."""


def manuals() -> Mapping[str, Manual]:
    """Every rule by its id."""
    found = {name: Manual("mistake", False, _text(reader)) for name, reader in _READERS.items()}
    found |= {id_of(rule): Manual("mistake", False, _text(rule)) for rule in RULES}
    found |= {name: Manual(grade, True, _text(rule)) for name, (grade, rule) in DOUBTS.items()}
    found[id_of(answers_are_needed)] = Manual("look again", False, _text(answers_are_needed))
    return found


def _text(rule: Callable[..., Any]) -> str:
    """What a docstring says to whoever edits a folder: all before what it says to whoever calls the function."""
    text = cleandoc(rule.__doc__ or "")
    kept = [part for part in text.split("\n\n") if not part.startswith(("Args:", "Raises:", "Returns:", "Raises "))]
    return "\n\n".join(kept)
