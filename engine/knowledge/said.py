"""How people say it: the phrases of a faults folder, read when they are first wanted and not before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.yaml_reader import MOST_BYTES, YamlDocument, compose
from engine.knowledge.overlay_file import stack_of

SAID = "said"
ALIKE = "alike.yaml"
START = ("role", "complaint")
"""What is said at the start and is no check."""
_NUMBER, _NEVER, _WITHIN, _PAST, _BASE, _OVER, _UNDER = "number", "never", "within", "past", "base", "over", "under"
_OF_OTHERS, _ALONE = "of_others", "alone"
FIELDS = frozenset({_NUMBER, _NEVER, _WITHIN, _PAST, _OF_OTHERS, _ALONE, _BASE, _OVER, _UNDER})
"""What stands beside the answers of a check and is none."""
TRUE = "true"
"""What a truth is written as; YAML is read here as text."""


@dataclass(frozen=True)
class SaidOf:
    """How people say one check.

    `answers` are phrases by the id of the answer, or by a number in the check's unit. Beside a phrase of `number` a
    number is this check's. `never` are phrases with such words that say nothing of it. Where it is heard `within`, its
    words count inside a longer phrase of another check too; where it may be `past`, what was is what is asked for, and
    where it may be `of_others`, what another thing does. Where it is
    heard `alone`, its words in a list of what is denied answer another question.
    Two numbers are one reading where one stands by a phrase of `base`; one number is the difference itself by a phrase
    of `over` or `under`.
    """

    answers: Mapping[str | float, tuple[str, ...]]
    number: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    within: bool = False
    past: bool = False
    of_others: bool = False
    alone: bool = False
    base: tuple[str, ...] = ()
    over: tuple[str, ...] = ()
    under: tuple[str, ...] = ()


@dataclass(frozen=True)
class Said:
    """How people say all checks, by their ids, and the words that mean the same, each list under its word."""

    checks: Mapping[str, SaidOf]
    alike: Mapping[str, tuple[str, ...]]


Place = Traversable | Path


def said_place(folder: Place, language: str) -> Place:
    """Where the phrases of a language stand in a faults folder."""
    return folder.joinpath(SAID) if language == ENGLISH else folder.joinpath(LANGUAGES, language, SAID)


def load_said(folder: Place, language: str) -> Said:
    """The phrases of a folder in a language, over the shipped ones: a folder's own entry stands for the shipped one.

    What has not the right form is left out here; `check` tells of it.
    """
    entries: dict[str, SaidOf] = {}
    alike: dict[str, tuple[str, ...]] = {}
    for place in dict.fromkeys((files("faults"), *(layer.folder for layer in stack_of(folder)))):
        for name, document in said_files(said_place(place, language)).items():
            data = document.data
            if not isinstance(data, dict):
                continue
            if name == ALIKE:
                alike |= {str(word): _phrases(ways) for word, ways in data.items()}
            else:
                entries |= {str(check): _said_of(said) for check, said in data.items() if isinstance(said, dict)}
    return Said(entries, alike)


def said_files(place: Place) -> dict[str, YamlDocument]:
    """The files of a folder of phrases by their names; none of those that cannot be read."""
    found: dict[str, YamlDocument] = {}
    if place.is_dir():
        for file in sorted(place.iterdir(), key=lambda item: item.name):
            if file.name.endswith(".yaml"):
                with suppress(OSError, KnowledgeError):
                    found[file.name] = compose(f"{place}/{file.name}", read_at_most(file, MOST_BYTES + 1))[0]
    return found


def _said_of(data: Mapping[Any, Any]) -> SaidOf:
    answers = {_key(key): _phrases(said) for key, said in data.items() if key not in FIELDS}
    lists = {name: _phrases(data.get(name)) for name in (_NUMBER, _NEVER, _BASE, _OVER, _UNDER)}
    within, past, of_others, alone = (data.get(name) == TRUE for name in (_WITHIN, _PAST, _OF_OTHERS, _ALONE))
    return SaidOf(answers, within=within, past=past, of_others=of_others, alone=alone, **lists)


def _key(key: Any) -> str | float:
    number = as_number(key)
    return str(key) if number is None else number


def as_number(key: object) -> float | None:
    """The number that a name of an answer is; None for any other."""
    try:
        return float(str(key))
    except ValueError:
        return None


def _phrases(said: Any) -> tuple[str, ...]:
    listed: Sequence[Any] = said if isinstance(said, list) else [] if said is None else [said]
    return tuple(str(phrase) for phrase in listed)
