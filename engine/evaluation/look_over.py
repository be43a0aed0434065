"""Everything that is found in a faults folder: its entries, words, languages, phrases and worked calls."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path

from engine.evaluation.calls import read_calls
from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, under, why_not
from engine.foundation.texts import told
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.build import build
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import inside
from engine.knowledge.layers import laid_contents
from engine.knowledge.loader import fingerprint_of, without_mistakes
from engine.knowledge.model import Knowledge
from engine.knowledge.second_look import findings_of
from engine.knowledge.translation_check import look_through

CALLS = "calls"
"""The folder of worked calls inside a faults folder."""


@dataclass(frozen=True)
class LookedOver:
    """What was found, by place; by language what is not said in it yet; knowledge and entries where none is wrong."""

    found: tuple[Problem, ...]
    missing: Mapping[str, tuple[Problem, ...]]
    knowledge: Knowledge | None = None
    entries: Folder | None = None

    def stops(self) -> bool:
        """Whether anything was found that keeps the folder from being used or handed on."""
        return any(problem.grade != "look again" for problem in self.found)


def look_over(folder: Traversable | Path) -> LookedOver:
    """Look for mistakes, dangers and doubts in a faults folder.

    Where there are mistakes in its entries, these alone are told: all else would follow from them.
    """
    try:
        contents, unread = laid_contents(folder)
        entries = without_mistakes(str(folder), contents, unread)
    except KnowledgeError as error:
        return LookedOver(error.problems, {})
    looked = look_through(folder, entries)
    knowledge = build(entries, fingerprint_of(contents))
    found = [*findings_of(entries), *looked.problems, *_calls(folder, knowledge)]
    return LookedOver(tuple(sorted(set(found))), looked.missing, knowledge, entries)


def _calls(folder: Traversable | Path, knowledge: Knowledge) -> Iterator[Problem]:
    """What is wrong in the worked calls beside the trees."""
    for file in inside(folder.joinpath(CALLS)):
        name = f"{folder}/{CALLS}/{file.name}"
        if not file.name.endswith(".yaml"):
            if file.name.endswith(".yml"):
                yield Problem(name, 1, 1, *told("mistakes_files.wrong_ending"), "files")
            continue
        try:
            read_calls(name, read_at_most(file, MOST_BYTES + 1), knowledge)
        except KnowledgeError as error:
            yield from under("calls", error.problems)
        except OSError as error:
            why = why_not(error).lower()
            yield Problem(name, 1, 1, *told("mistakes_files.unread_file", why=why), "files")
