"""Doubts about answers: those that answer nothing any more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.knowledge.catalogue import Folder
from engine.knowledge.second_look.doubt import Doubt, to_tell


def answers_are_needed(folder: Folder, every: Iterable[Doubt]) -> Iterator[Doubt]:
    """What `meant` answers is still found there: an old answer would silence a new slip.

    Right: `meant: {certain-signs: it is so by definition}` in a cause that shows something `always`.
    Wrong: the same in a cause that shows nothing for certain.

    Args: the entries, and all that was found in them, answered or not.
    """
    found = {(found.placed.document.file, found.placed.base, found.rule, found.about) for found in every}
    rules = {(file, base, rule) for file, base, rule, _ in found}
    for kind in folder.declared:
        for placed in folder.of_kind(kind).values():
            at = (placed.document.file, placed.base)
            for rule, answer in getattr(placed.form, "meant", {}).items():
                saying = to_tell("second_look.answers.needless", rule=rule)
                if (*at, rule) not in rules:
                    yield Doubt(placed, ("meant", rule), saying, at_key=True)
                elif isinstance(answer, dict):
                    stale = [about for about in answer if (*at, rule, about) not in found]
                    yield from (Doubt(placed, ("meant", rule, about), saying, at_key=True) for about in stale)
