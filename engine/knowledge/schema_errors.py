"""What does not fit the form of an entry, said in the trade's words at the place where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any, get_args, get_origin

from engine.foundation.problems import Problem, advice_for, nearest
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path, YamlDocument
from engine.knowledge.number_words import RefusedError
from engine.knowledge.schema import ChoiceCheckForm, Form, NumberCheckForm

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_KEY = "[key]"
_BOUNDS = {"greater_than": "gt", "greater_than_equal": "ge", "less_than_equal": "le"}


def form_problems(
    form: type[Form], errors: Sequence[ErrorDetails], document: YamlDocument, base: Path
) -> Iterator[Problem]:
    """An entry has the fields of its kind, each with what belongs there.

    Right: `minutes: {counter: 2, phone: 10, field: 8}`.
    Wrong: `minutes: {counter: two}`.

    Args:
        form: the class that the entry was to fit.
        errors: what pydantic found.
        document: the document that holds the entry.
        base: the way to the entry there.
    """
    misspelt = {(error["loc"][:-1], _meant(form, error)) for error in errors if error["type"] == "extra_forbidden"}
    for error in errors:
        loc = error["loc"]
        if error["type"] == "missing" and (loc[:-1], loc[-1]) in misspelt:
            continue
        at_key = error["type"] == "extra_forbidden" or loc[-1:] == (_KEY,)
        path = tuple(part for part in loc if part != _KEY)
        what, advice = _told(form, error)
        yield document.problem(_as_written(document, (*base, *path)), what, advice, at_key)


def _as_written(document: YamlDocument, path: Path) -> Path:
    """The way to a part as it stands in the file: a bare list serves both readers, and names neither."""
    bare = tuple(part for part in path if part not in ("customer", "technician"))
    return bare if path not in document.values and bare in document.values else path


def _meant(form: type[Form], error: ErrorDetails) -> str | None:
    return nearest(str(error["loc"][-1]), _fields(_form_at(form, error["loc"][:-1])))


def _told(form: type[Form], error: ErrorDetails) -> tuple[str, str]:
    """What is wrong and what to write instead."""
    kind, loc, value = error["type"], error["loc"], error["input"]
    context: dict[str, Any] = error.get("ctx", {})
    if kind == "missing":
        return say("mistakes_form.missing", name=loc[-1]), _belongs(form, loc)
    if kind == "extra_forbidden":
        return _unknown_field(form, loc)
    if kind == "value_error" and isinstance(context["error"], RefusedError):
        return context["error"].what, context["error"].advice
    if value is None:
        return say("mistakes_form.nothing_after", name=_name(loc)), _belongs(form, loc)
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", context["expected"])
        return say("mistakes_form.not_a_choice", value=_shown(value)), advice_for(str(value), choices)
    if kind in _BOUNDS:
        return told(f"mistakes_form.bounds.{kind}", value=_shown(value), bound=f"{context[_BOUNDS[kind]]:g}")
    return _wrong_kind(form, error)


def _wrong_kind(form: type[Form], error: ErrorDetails) -> tuple[str, str]:
    kind, loc, value = error["type"], error["loc"], error["input"]
    if kind == "string_pattern_mismatch":
        return _bad_text(form, loc, str(value))
    if kind in {"float_type", "int_type", "int_from_float"}:
        whole = kind.startswith("int")
        return told("mistakes_form.no_whole_number" if whole else "mistakes_form.no_number", value=_shown(value))
    if kind == "string_type":
        advice = say("mistakes_form.quote_it") if isinstance(value, (int, float)) else _belongs(form, loc)
        return say("mistakes_form.not_text", value=_quoted(value)), advice
    if kind == "too_short":
        return say("mistakes_form.too_little", name=_name(loc)), _belongs(form, loc)
    is_list = kind == "list_type"
    what = say("mistakes_form.not_a_list" if is_list else "mistakes_form.not_a_group", value=_quoted(value))
    return what, _belongs(form, loc)


def _bad_text(form: type[Form], loc: Path, value: str) -> tuple[str, str]:
    if not value.strip():
        return say("mistakes_form.empty_text", name=_name(loc)), _belongs(form, loc)
    slug = re.sub(r"[^a-z0-9]+", "_", value.lower()).strip("_")
    words = value.split()
    if len(words) > 1 and all(re.fullmatch(r"[a-z][a-z0-9_]*", word) for word in words):
        return told("mistakes_form.no_id_words", value=_shown(value), slug=slug, listed=_shown(", ".join(words)))
    has_letter = slug[:1].isalpha()
    return told("mistakes_form.no_id" if has_letter else "mistakes_form.no_letter", value=_shown(value), slug=slug)


def _unknown_field(form: type[Form], loc: Path) -> tuple[str, str]:
    name, around = str(loc[-1]), _form_at(form, loc[:-1])
    if around is ChoiceCheckForm and name in _fields(NumberCheckForm):
        return told("mistakes_form.answers_and_bands", name=name)
    return say("mistakes_form.no_field", name=name), advice_for(name, _fields(around))


def _belongs(form: type[Form], loc: Path) -> str:
    """What belongs at this place, by the key that is the description of the entry's field."""
    parent, name = _form_at(form, loc[:-1]), str(loc[-1])
    if len(loc) > 1 and parent is not None:
        return say("mistakes_form.all_of", names=", ".join(_fields(parent)))
    own = form if len(loc) > 1 else parent
    field = _fields(own).get(str(loc[0]) if len(loc) > 1 else name)
    if field is None or not field.description:
        return say("mistakes_form.write_or_leave_out")
    return say(f"mistakes_fields.{field.description}")


def _fields(form: type[Form] | None) -> dict[str, Any]:
    """The fields of a form by the names that stand in the files."""
    return {} if form is None else {field.alias or name: field for name, field in form.model_fields.items()}


def _form_at(form: type[Form], loc: Path) -> type[Form] | None:
    """The form of the part at this place inside an entry of the given form, or None where no form rules there."""
    kind: Any = form
    for part in loc:
        if isinstance(kind, type) and issubclass(kind, Form):
            field = _fields(kind).get(str(part))
            kind = None if field is None else field.annotation
        else:
            kind = (get_args(kind) or (None,))[-1]
        while get_origin(kind) is Annotated:
            kind = get_args(kind)[0]
    return kind if isinstance(kind, type) and issubclass(kind, Form) else None


def _name(loc: Path) -> str:
    return str([part for part in loc if isinstance(part, str) and part != _KEY][-1])


def _shown(value: object) -> str:
    text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return text if len(text) <= 60 else f"{text[:57]}..."


def _quoted(value: object) -> str:
    if isinstance(value, dict):
        return say("mistakes_form.value.group")
    return say("mistakes_form.value.list") if isinstance(value, list) else f"`{_shown(value)}`"
