"""A new entry as text: its fields in their order, each with a remark of what belongs there, what is given filled in."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from engine.foundation.problems import KnowledgeError, Problem, under
from engine.foundation.texts import said, say
from engine.foundation.yaml_reader import compose
from engine.knowledge.files import FILES, FileKind
from engine.knowledge.mentions import CALLS
from engine.knowledge.schema import ChoiceCheckForm, Form, NumberCheckForm
from engine.knowledge.schema_errors import form_problems

OWN_FILE = "own.yaml"
CALL = "call"
_CALL_NEEDS = ("role", "complaint", "facts")


@dataclass(frozen=True)
class Asked:
    """A field of an entry: its name in the file, whether it must be there, and what belongs there."""

    name: str
    needed: bool
    belongs: str


def new_kinds() -> tuple[str, ...]:
    """The kinds of entries of which a new one can be written."""
    fixed = ("limit", "role", "finding")
    return (*(kind.name for kind in FILES.values() if kind.name not in fixed), CALL)


def asked_of(kind: str, number: bool = False) -> list[Asked]:
    """The fields of a kind beside its id, as they are written. Args: whether a check's answer is a number."""
    if kind == CALL:
        return [Asked(name, name in _CALL_NEEDS, say(f"entries.call.{name}")) for name in said("entries.call")]
    fields = _form(kind, number).model_fields.items()
    asked = [(each.alias or name, each.is_required(), each.description) for name, each in fields]
    return [
        Asked(name, needed, say(f"mistakes_fields.{described}"))
        for name, needed, described in asked
        if name not in (kind, "meant")
    ]


def file_of(kind: str, id: str) -> str:
    """The file, by its name inside the folder, that takes a new entry of a kind."""
    if kind == CALL:
        return f"{CALLS}/{OWN_FILE}"
    where, each = _place(kind)
    if not where.endswith("/"):
        return where
    return f"{where}{OWN_FILE}" if each.listed else f"{where}{id}.yaml"


def skeleton(kind: str, id: str, given: Mapping[str, str], number: bool = False) -> str:
    """The text of a new entry.

    Args: its kind and id, and what is given for its fields, as it is written in YAML; a text need not be quoted.

    Raises:
        KnowledgeError: where something given does not fit its field, at its line of this text.
    """
    listed = kind != CALL and _place(kind)[1].listed
    lines = [f"{'- ' if listed else ''}{kind}: {_value(kind, id) if kind == CALL else id}"]
    indent = "  " if listed else ""
    for field in asked_of(kind, number):
        lines.append(f"{indent}# {field.belongs}")
        value = _value(field.name, given[field.name]) if field.name in given else None
        lines.append(f"{indent}# {field.name}:" if value is None else f"{indent}{field.name}: {value}")
    text = "\n".join(lines) + "\n"
    if kind != CALL:
        _refuse_what_does_not_fit(kind, text, number)
    return text


def added(before: bytes | None, kind: str, text: str, first: str = "") -> bytes:
    """A file with a new entry at its end. Args: its content, None where it is new; what a new one begins with."""
    if before is None or not before.strip():
        return f"{first}{text}".encode()
    between = "---\n" if kind == CALL else "\n"
    return before.rstrip(b"\n") + b"\n" + between.encode() + text.encode()


def _form(kind: str, number: bool) -> type[Form]:
    if kind == "check":
        return NumberCheckForm if number else ChoiceCheckForm
    return _place(kind)[1].form


def _place(kind: str) -> tuple[str, FileKind]:
    return next((where, each) for where, each in FILES.items() if each.name == kind)


def _value(name: str, written: str) -> str:
    """What stands behind the colon: as it is given, in quotes where it would not be read as one value."""
    try:
        if compose("", f"{name}: {written}".encode())[0].data == {name: written} or _is_more(name, written):
            return written
    except KnowledgeError:
        pass
    return json.dumps(written, ensure_ascii=False)


def _is_more(name: str, written: str) -> bool:
    """Whether it is read as a number, a list or a group, whole."""
    data = compose("", f"{name}: {written}".encode())[0].data
    value = data.get(name) if isinstance(data, dict) and len(data) == 1 else None
    return isinstance(value, int | float) or (isinstance(value, dict | list) and written.strip()[:1] in "[{")


def _refuse_what_does_not_fit(kind: str, text: str, number: bool) -> None:
    """Raise KnowledgeError where what is given is wrong; what is missing is left to be filled in."""
    document = compose("", text.encode())[0]
    problems: list[Problem] = list(document.problems)
    data = document.data[0] if isinstance(document.data, list) else document.data
    form = _form(kind, number)
    try:
        form.model_validate(data)
    except ValidationError as error:
        errors = [each for each in error.errors(include_url=False) if each["type"] != "missing" or len(each["loc"]) > 1]
        base = (0,) if isinstance(document.data, list) else ()
        problems += form_problems(form, errors, document, base)
    if problems:
        raise KnowledgeError(under("form", problems))
