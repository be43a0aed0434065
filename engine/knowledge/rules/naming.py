"""Rules for names of every kind: no two things share one, and no list says one twice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.schema import Form


def ids_are_not_shared(folder: Folder) -> Iterator[Problem]:
    """A derived finding has an id that no check has, since causes name both in the same place.

    Right: a check `tested_salt` and a finding `salt_gap`.
    Wrong: a check `salt_gap` and a finding `salt_gap`.
    """
    for entry_id, placed in folder.findings.items():
        if entry_id in folder.declared["check"]:
            file, line = folder.declared["check"][entry_id]
            saying = told("mistakes_rules.naming.id_of_a_check", id=entry_id, file=file, line=line)
            yield placed.problem(("finding",), *saying)


def lists_name_each_once(folder: Folder) -> Iterator[Problem]:
    """No list names the same thing twice.

    Right: `ask_again: [unit_salt, cell_plates]`.
    Wrong: `ask_again: [unit_salt, unit_salt]`.
    """
    for kind in folder.declared:
        for placed in folder.of_kind(kind).values():
            for path, names in _lists(placed):
                for index, name in enumerate(names):
                    if name in names[:index]:
                        yield placed.problem((*path, index), *told("mistakes_rules.naming.listed_twice", name=name))


def _lists(placed: Placed[Form]) -> Iterator[tuple[Path, list[object]]]:
    """The lists of an entry, also those of what stands inside it, with the way to each."""
    return _lists_in(placed.form, ())


def _lists_in(value: object, path: Path) -> Iterator[tuple[Path, list[object]]]:
    inside: Iterable[tuple[str, object]] = ()
    if isinstance(value, list):
        yield path, value
    elif isinstance(value, dict):
        inside = value.items()
    elif isinstance(value, Form):
        inside = ((field.alias or name, getattr(value, name)) for name, field in type(value).model_fields.items())
    for name, part in inside:
        if part is not None and not isinstance(part, str | int | float):
            yield from _lists_in(part, (*path, name))
