"""JSON Schema for every kind of file, by which an editor completes names and marks slips while somebody types.

Made from the same forms that the loader holds entries to. A schema cannot say what hangs on two parts of a file: sums
of numbers, ids that are given twice, bands that rise. That stays with `check`.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from engine.foundation.texts import say
from engine.knowledge import number_words, schema_parts
from engine.knowledge.files import FILES, FileKind
from engine.knowledge.format_version import FORMAT_FILE, PRESENT
from engine.knowledge.mentions import CALLS, USES
from engine.knowledge.model import ROLES
from engine.knowledge.properties import PART_COMPUTATIONS
from engine.knowledge.said import SAID
from engine.knowledge.schema import ChoiceCheckForm, NumberCheckForm

Json = dict[str, Any]

DRAFT = "https://json-schema.org/draft/2020-12/schema"
SCHEMA = "schema"
"""The folder of these schemas inside a faults folder."""
_TEXT: Json = {"type": "string", "pattern": r"\S"}
_NUMBER = r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})"
_ABOVE_0: Json = {"type": "number", "exclusiveMinimum": 0}


def _or_text(inner: Json) -> Json:
    return {"anyOf": [_TEXT, inner]}


def _or_steps(inner: Json) -> Json:
    return {"anyOf": [{"type": "array", "minItems": 1, "items": _TEXT}, inner]}


def _or_ids(inner: Json) -> Json:
    return {"anyOf": [{"type": "array", "items": {"type": "string", "pattern": schema_parts.ID}}, inner]}


def _some_words(inner: Json) -> Json:
    return {"anyOf": [_TEXT, {**inner, "minProperties": 1}]}


def _share(_: Json) -> Json:
    between = {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}
    return {"anyOf": [{"enum": list(number_words.SHARE_WORDS)}, between]}


def _factor(_: Json) -> Json:
    times = {"type": "string", "pattern": rf"^{_NUMBER} times$"}
    return {"anyOf": [{"enum": list(number_words.FACTOR_WORDS)}, times, _ABOVE_0]}


def _limit(_: Json) -> Json:
    ends = rf"^under (?:(?:{_NUMBER} ?% of )?[a-z][a-z_.]*|{_NUMBER})$"
    return {"anyOf": [{"const": number_words.THE_REST}, {"type": "string", "pattern": ends}]}


def _error(_: Json) -> Json:
    return {"anyOf": [_ABOVE_0, {"type": "string", "pattern": rf"^{_NUMBER} ?%(?: or {_NUMBER})?$"}]}


def _possible(_: Json) -> Json:
    return {"type": "string", "pattern": rf"^{_NUMBER} to {_NUMBER}$"}


def _assumption(_: Json) -> Json:
    forms = (r"\sgive\sor\stake\s", r"\swithin\sa\sfactor\s")
    spread = {"type": "string", "pattern": rf"^{_NUMBER}(?:{'|'.join(forms)}){_NUMBER}$"}
    of_100 = {"type": "number", "exclusiveMinimum": 0, "maximum": 100}
    shares = {"type": "object", "additionalProperties": of_100, "propertyNames": {"pattern": rf"^{_NUMBER}$"}}
    return {"anyOf": [spread, shares]}


def _amount(_: Json) -> Json:
    units = "|".join(number_words.AMOUNT_UNITS)
    computed = "|".join(PART_COMPUTATIONS)
    written = {"type": "string", "pattern": rf"^(?:{_NUMBER}(?: (?:{units}))?|computed (?:{computed}))$"}
    return {"anyOf": [_ABOVE_0, written]}


def _source(inner: Json) -> Json:
    """A text, or who says what, when, and how sure."""
    part = {"anyOf": [_TEXT, {"type": "integer"}]}
    group = {
        "type": "object",
        "properties": dict.fromkeys(("says", "who", "when", "sure"), part),
        "required": ["says"],
        "additionalProperties": False,
    }
    return {"anyOf": [inner, group]}


def _lines_of_causes(inner: Json) -> Json:
    """Names of one cause, or of several with commas between them."""
    (shows,) = inner["patternProperties"].values()
    one = schema_parts.ID.strip("^$")
    return {**inner, "patternProperties": {rf"^{one}(?: *, *{one})*$": shows}}


def _reasons(_: Json) -> Json:
    reason = {"type": "string", "pattern": r"\S\s+\S"}
    several = {"type": "object", "minProperties": 1, "additionalProperties": reason}
    return {"type": "object", "minProperties": 1, "additionalProperties": {"anyOf": [reason, several]}}


_WRITTEN: Mapping[Callable[..., Any], Callable[[Json], Json]] = {
    schema_parts.both: _or_text,
    schema_parts.some_words: _some_words,
    schema_parts.both_lists: _or_steps,
    schema_parts.by_reader: _or_ids,
    schema_parts.answers_with_reasons: _reasons,
    schema_parts.lines_of_causes: _lines_of_causes,
    schema_parts.read_source: _source,
    schema_parts.some_steps: lambda inner: {**inner, "minItems": 1, "items": _TEXT},
    number_words.read_share: _share,
    number_words.read_factor: _factor,
    number_words.read_limit: _limit,
    number_words.read_meter_error: _error,
    number_words.read_possible: _possible,
    number_words.read_assumption: _assumption,
    number_words.read_amount: _amount,
}
"""What may be written where one of these functions reads it, made of the schema of what it is read into."""


class _Generator(GenerateJsonSchema):
    """Makes the schema of what is written, not of what it is read into."""

    def function_before_schema(self, schema: Any) -> Json:
        inner = self.generate_inner(schema["schema"])
        wider = _WRITTEN.get(schema["function"]["function"])
        return inner if wider is None else wider(inner)


def schemas(ids: Mapping[str, tuple[str, ...]] | None = None) -> dict[str, Json]:
    """The schemas by the name of their file, such as `causes.json`.

    Args: by kind, the ids of a folder, which an editor then completes; another id is right too, since it may be new.
    """
    known = ids or {}
    made = {f"{_name(where)}.json": _of_file(where, kind, known) for where, kind in FILES.items()}
    made[f"{CALLS}.json"] = _calls(known)
    made[f"{SAID}.json"] = _said()
    made["format.json"] = _format()
    return made


def text_of(schema: Json) -> str:
    """A schema as it stands in its file."""
    return json.dumps(schema, ensure_ascii=False, indent=1) + "\n"


def schema_line(file: str) -> str:
    """The remark by which language servers find the schema of a file. Args: its name inside the faults folder."""
    above = "../" * file.count("/")
    name = _name(f"{file.partition('/')[0]}/") if "/" in file else file.removesuffix(".yaml")
    return f"# yaml-language-server: $schema={above}{SCHEMA}/{name}.json\n"


def _name(where: str) -> str:
    return where.rstrip("/").removesuffix(".yaml")


def _of_file(where: str, kind: FileKind, ids: Mapping[str, tuple[str, ...]]) -> Json:
    forms = (ChoiceCheckForm, NumberCheckForm) if kind.name == "check" else (kind.form,)
    parts: Json = {}
    entries = []
    for form in forms:
        entry = form.model_json_schema(by_alias=True, schema_generator=_Generator)
        parts |= entry.pop("$defs", {})
        entries.append(_with_ids(entry, kind.name, ids))
    whole = entries[0] if len(entries) == 1 else {"oneOf": entries}
    told = _tidy({"$schema": DRAFT, **({"type": "array", "items": whole} if kind.listed else whole), "$defs": parts})
    return {**told, "title": _name(where)}


def _with_ids(entry: Json, kind: str, ids: Mapping[str, tuple[str, ...]]) -> Json:
    """Complete the ids of a folder where an entry names others."""
    for named, patterns in USES.items():
        for pattern in patterns:
            of, field, *rest = pattern.split(".")
            if of != kind or field not in entry["properties"] or not ids.get(named):
                continue
            part, form = entry["properties"][field], {"anyOf": [{"enum": list(ids[named])}, {"type": "string"}]}
            if rest == ["*"] and "items" in part:
                part["items"] = {"allOf": [part["items"], form]}
            elif rest == ["@"] and part.get("type") == "object":
                part["propertyNames"] = form
    return entry


def _tidy(part: Any) -> Any:
    """No names beyond those of a pattern, hover texts in words instead of keys, and no titles or defaults."""
    if isinstance(part, list):
        return [_tidy(each) for each in part]
    if not isinstance(part, dict):
        return part
    tidy: dict[str, Any] = {}
    for name, value in part.items():
        if name in ("properties", "$defs"):
            tidy[name] = {each: _tidy(inner) for each, inner in value.items()}
        elif name == "description" and "." in value and " " not in value:
            tidy[name] = say(f"mistakes_fields.{value}")
        elif name not in ("title", "default"):
            tidy[name] = _tidy(value)
    if "patternProperties" in tidy:
        tidy.setdefault("additionalProperties", False)
    return tidy


def _calls(ids: Mapping[str, tuple[str, ...]]) -> Json:
    """A worked call; a file holds several, `---` between them, and each is held to this."""

    def one_of(kind: str) -> Json:
        return (
            {"anyOf": [{"enum": list(ids.get(kind, ()))}, {"type": "string"}]} if ids.get(kind) else {"type": "string"}
        )

    def several(kind: str) -> Json:
        return {"anyOf": [one_of(kind), {"type": "array", "items": one_of(kind)}]}

    fields: Json = {
        "call": {"type": ["string", "number"]},
        "role": {"enum": list(ROLES)},
        "complaint": one_of("tree"),
        "unit": one_of("unit"),
        "brought": {
            "anyOf": [
                {"enum": ["water_sample", "cell"]},
                {"type": "array", "items": {"enum": ["water_sample", "cell"]}},
            ]
        },
        "facts": {
            "type": ["object", "null"],
            "propertyNames": one_of("check"),
            "additionalProperties": {"type": ["string", "number"]},
        },
        "cannot": several("check"),
        "cause": several("cause"),
        "note": {},
    }
    return {
        "$schema": DRAFT,
        "type": "object",
        "properties": fields,
        "required": ["role", "complaint"],
        "additionalProperties": False,
        "title": CALLS,
    }


def _said() -> Json:
    phrases: Json = {"type": "array", "items": {"type": ["string", "integer"], "pattern": r"\S"}}
    truth: Json = {"enum": ["true", "false", True, False]}
    truths = dict.fromkeys(("within", "past", "of_others", "alone"), truth)
    of_check = {"type": "object", "properties": truths, "additionalProperties": phrases}
    return {"$schema": DRAFT, "type": "object", "additionalProperties": {"anyOf": [of_check, phrases]}, "title": SAID}


def _format() -> Json:
    return {
        "$schema": DRAFT,
        "type": "object",
        "properties": {"version": {"const": PRESENT}},
        "required": ["version"],
        "additionalProperties": False,
        "title": FORMAT_FILE,
    }
