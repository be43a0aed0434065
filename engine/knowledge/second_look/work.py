"""What a check or repair is made of, as rules ask for it: whose work it is, its acts, what is told before them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.properties import READERS, Reader
from engine.knowledge.schema import CheckForm, HazardousActForm, RepairForm
from engine.knowledge.translation import flat, texts_of

_ORDERS = ("steps", "before_steps", "done_when", "how", "in_short", "customer", "technician", "before_ordering")
"""The fields of entries in whose texts people are told what to do."""
Order = tuple[Placed[Any], Path, str]
_KEPT: list[tuple[Folder, list[Order]]] = []
"""The orders of the folder that is looked over, since several rules read them all."""
Work = Placed[CheckForm] | Placed[RepairForm]


def doers(who: Sequence[str]) -> list[Reader]:
    """Whose cautions count: the owner's where owners may do it, the technician's where anybody else may."""
    return [reader for reader in READERS if (set(who) - {"owner"} if reader == "technician" else "owner" in who)]


def told_of(act: HazardousActForm, reader: Reader) -> list[str]:
    """All cautions of an act for a reader, boxes and lines."""
    return [*getattr(act.cautions, reader), *getattr(act.in_a_line, reader)]


def acts_of(folder: Folder, placed: Work, reader: Reader) -> list[HazardousActForm]:
    """The acts of which a work is made for a reader, all of which are known."""
    return [folder.acts[name].form for name in getattr(placed.form.does, reader)]


def is_whole(folder: Folder, placed: Work) -> bool:
    """Whether each act of a work is known; where not, that is told, and the missing one may be the one looked for."""
    return all(name in folder.acts for _, names in placed.form.does for name in names)


def instructions(placed: Work) -> Iterator[tuple[Reader, str, str]]:
    """What each reader is told to do, those too whose work it is not: the reader, the field, the text."""
    form = placed.form
    if isinstance(form, RepairForm):
        for reader in READERS:
            steps = form.steps.customer if reader == "owner" else form.steps.technician
            before = form.before_steps.customer if reader == "owner" else form.before_steps.technician
            yield reader, "steps", "\n".join([before, *steps])
    else:
        for reader in READERS:
            yield reader, "how", form.how.customer if reader == "owner" else form.how.technician


def orders(folder: Folder) -> list[Order]:
    """Every text that may tell people what to do, with its entry and the way to it there."""
    if not _KEPT or _KEPT[0][0] is not folder:
        found = [
            (placed, path, text)
            for kind in ("check", "repair", "part", "danger", "caution")
            for placed in folder.of_kind(kind).values()
            for path, text in flat(texts_of(placed.form))
            if path[0] in _ORDERS
        ]
        _KEPT[:] = [(folder, found)]
    return _KEPT[0][1]
