"""Doubts about texts: what says nothing, what was left to be written, what stands twice."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.schema import CheckForm
from engine.knowledge.second_look.doubt import Doubt, to_tell
from engine.knowledge.translation import flat, texts_of

_LETTERS = re.compile(r"[^\W\d_]{2}")
# These marks are what the rule looks for in a folder's texts, as people leave them there; none is left open here.
_OPEN = re.compile(r"\b(?:TODO|FIXME|XXX|TBD)\b|\?\?\?|\.\.\.\.")
_DOUBLED = re.compile(r"\b([^\W\d_]{2,}) \1\b", re.IGNORECASE)
_PHRASES = ("names", "words", "perhaps", "not_words", "steps_say", "spoken_of")
_SENTENCES = ("customer", "how", "steps", "never", "before_steps", "done_when", "in_short", "opens")


def texts_say_something(folder: Folder) -> Iterator[Doubt]:
    """Each text that people read has a word of two letters or more, and a step or caution more than one word.

    Right: `steps: [Switch off and lock the power.]`.
    Wrong: `steps: [">"]`.
    """
    for placed, path, text in _texts(folder):
        short = path[0] in ("steps", "how", "in_short") and len(text.split()) < 2
        if path[0] in _SENTENCES and (short or not _LETTERS.search(text)):
            yield Doubt(placed, path, to_tell("second_look.texts.nothing", text=text), ".".join(map(str, path)))


def texts_are_finished(folder: Folder) -> Iterator[Doubt]:
    """No text holds a mark that something is still to be written.

    Right: `how: Look at the plates with the cell taken out.`
    Wrong: `how: Look at the ???`.
    """
    for placed, path, text in _texts(folder):
        if _OPEN.search(text):
            yield Doubt(placed, path, to_tell("second_look.texts.unfinished"), ".".join(map(str, path)))


def no_word_stands_twice(folder: Folder) -> Iterator[Doubt]:
    """No word follows itself.

    Right: `how: Look at the plates.`
    Wrong: `how: Look at the the plates.`
    """
    for placed, path, text in _texts(folder):
        if (twice := _DOUBLED.search(text)) is not None:
            yield Doubt(placed, path, to_tell("second_look.texts.twice", word=twice[1]), ".".join(map(str, path)))


def questions_ask(folder: Folder) -> Iterator[Doubt]:
    """What a customer is asked is a question or an order of some words, and no trade id.

    Right: `customer: Is the pump running?`
    Wrong: `customer: pump_running`.
    """
    for placed in folder.checks.values():
        form: CheckForm = placed.form
        if "_" in form.customer or len(form.customer.split()) < 2:
            yield Doubt(placed, ("customer",), to_tell("second_look.texts.no_question", text=form.customer))


_Text = tuple[Placed[Any], Path, str]
_KEPT: list[tuple[Folder, list[_Text]]] = []
"""The texts of the folder that is looked over, since each of these rules reads them all."""


def _texts(folder: Folder) -> list[_Text]:
    """Every text for people, with its entry and the way to it there."""
    if not _KEPT or _KEPT[0][0] is not folder:
        found = [
            (placed, path, text)
            for kind in folder.declared
            for placed in folder.of_kind(kind).values()
            for path, text in flat(texts_of(placed.form))
            if path[0] not in _PHRASES
        ]
        _KEPT[:] = [(folder, found)]
    return _KEPT[0][1]
