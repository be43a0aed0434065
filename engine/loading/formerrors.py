"""What does not fit the form of an entry, said in the trade's words at the place where it stands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any, get_args, get_origin

from engine.errors import Problem, advice_for, nearest
from engine.loading.schema import ChoiceCheckForm, Form, NumberCheckForm
from engine.loading.yamltext import Document, Path

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

__all__ = ["form_problems"]

_KEY = "[key]"
_BOUNDS = {
    "greater_than": ("gt", "too small", "write a number above"),
    "greater_than_equal": ("ge", "too small", "the least is"),
    "less_than_equal": ("le", "too large", "the most is"),
}


def form_problems(
    form: type[Form], errors: Sequence[ErrorDetails], document: Document, base: Path
) -> Iterator[Problem]:
    """The problems of one entry.

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
        what, advice = _say(form, error)
        yield document.problem((*base, *path), what, advice, at_key)


def _meant(form: type[Form], error: ErrorDetails) -> str | None:
    return nearest(str(error["loc"][-1]), _fields(_form_at(form, error["loc"][:-1])))


def _say(form: type[Form], error: ErrorDetails) -> tuple[str, str]:
    """What is wrong and what to write instead."""
    kind, loc, value = error["type"], error["loc"], error["input"]
    context: dict[str, Any] = error.get("ctx", {})
    if kind == "missing":
        return f"`{loc[-1]}` is missing", _belongs(form, loc)
    if kind == "extra_forbidden":
        return _unknown_field(form, loc)
    if kind == "value_error":
        what, _, advice = str(context["error"]).partition("; ")
        return what, advice
    if value is None:
        return f"nothing stands after `{_name(loc)}:`", _belongs(form, loc)
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", context["expected"])
        return f"`{_shown(value)}` is not one of the words that can stand here", advice_for(str(value), choices)
    if kind in _BOUNDS:
        bound, fault, advice = _BOUNDS[kind]
        return f"{_shown(value)} is {fault}", f"{advice} {context[bound]:g}"
    return _wrong_kind(form, error)


def _wrong_kind(form: type[Form], error: ErrorDetails) -> tuple[str, str]:
    kind, loc, value = error["type"], error["loc"], error["input"]
    if kind == "string_pattern_mismatch":
        return _bad_text(form, loc, str(value))
    if kind in {"float_type", "int_type", "int_from_float"}:
        whole = "whole number" if kind.startswith("int") else "number"
        return f"`{_shown(value)}` is no {whole}", "write it in figures, without a unit, such as 12"
    if kind == "string_type":
        advice = "put it in quotes" if isinstance(value, (int, float)) else _belongs(form, loc)
        return f"{_quoted(value)} stands where text belongs", advice
    if kind == "too_short":
        return f"`{_name(loc)}` holds too little", _belongs(form, loc)
    wanted = "a list" if kind == "list_type" else "a group of `name: value`"
    return f"{_quoted(value)} stands where {wanted} belongs", _belongs(form, loc)


def _bad_text(form: type[Form], loc: Path, value: str) -> tuple[str, str]:
    if not value.strip():
        return f"the text of `{_name(loc)}` is empty", _belongs(form, loc)
    slug = re.sub(r"[^a-z0-9]+", "_", value.lower()).strip("_")
    example = f"such as `{slug}`" if slug[:1].isalpha() else "beginning with a letter"
    return f"`{_shown(value)}` is no id", f"write it in small letters, digits and `_`, {example}"


def _unknown_field(form: type[Form], loc: Path) -> tuple[str, str]:
    name, around = str(loc[-1]), _form_at(form, loc[:-1])
    if around is ChoiceCheckForm and name in _fields(NumberCheckForm):
        return f"a check with `answers` has no `{name}`", "take out one of the two"
    return f"`{name}` is no field here", advice_for(name, _fields(around))


def _belongs(form: type[Form], loc: Path) -> str:
    """What belongs at this place, from the description of the entry's field."""
    parent, name = _form_at(form, loc[:-1]), str(loc[-1])
    if len(loc) > 1 and parent is not None:
        return f"write all of {', '.join(_fields(parent))}"
    own = form if len(loc) > 1 else parent
    field = _fields(own).get(str(loc[0]) if len(loc) > 1 else name)
    return "write it, or leave the line out" if field is None or not field.description else f"write {field.description}"


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
        return "a group of `name: value`"
    return "a list" if isinstance(value, list) else f"`{_shown(value)}`"
