"""The sheet as data keeps to its published schema, by the reference library for JSON Schema.

After a change of the view's records, `python -m tests.reports.renderers.test_data` writes the schema anew.
What a reader of version 1 could rely on must stay; if a field goes or changes its meaning, `VERSION` grows, and the old
file stays too.
"""

from __future__ import annotations

import copy
import dataclasses
import inspect
import json
import types
import typing
from pathlib import Path
from typing import Any, Literal

import pytest
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator

from engine.session.session import Session
from reports.renderers.data import FORMAT, VERSION, data_form, sheet_schema
from reports.view import JobView, job_view
from reports.view import model as view_model
from tests.reports.jobs import DATE, jobs
from tests.reports.test_golden_sheets import SHEETS

PLACE = Path(view_model.__file__).parents[1] / "schema" / f"sheet-{VERSION}.json"
BOUNDS = {"probability": {"minimum": 0, "maximum": 1}, "minutes": {"minimum": 0}, "times_rarer": {"minimum": 0}}
PLAIN = {str: "string", bool: "boolean", int: "integer", float: "number", type(None): "null"}
SLOW = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def schema_of_view() -> dict[str, Any]:
    """The schema that the records of the view amount to, their docstrings as descriptions."""
    records: dict[str, Any] = {}
    whole = {
        "format": {"const": FORMAT},
        "version": {"const": VERSION},
        "language": {"type": "string", "minLength": 1, "description": "The language of all texts, such as `en`."},
        "sheet": _schema_of(JobView, records),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:brinecall:sheet:{VERSION}",
        "title": "A job sheet of brinecall",
        "type": "object",
        "properties": whole,
        "required": list(whole),
        "additionalProperties": False,
        "$defs": dict(sorted(records.items())),
    }


def _schema_of(kind: Any, records: dict[str, Any]) -> dict[str, Any]:
    if kind in PLAIN:
        return {"type": PLAIN[kind]}
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        _describe(kind, records)
        return {"$ref": f"#/$defs/{kind.__name__}"}
    origin, parts = typing.get_origin(kind), typing.get_args(kind)
    if origin is tuple and parts[-1] is Ellipsis:
        return {"type": "array", "items": _schema_of(parts[0], records)}
    if origin is tuple:
        inside = [_schema_of(part, records) for part in parts]
        return {"type": "array", "prefixItems": inside, "items": False, "minItems": len(parts)}
    if origin is Literal:
        return {"enum": list(parts)}
    if origin in (types.UnionType, typing.Union):
        return {"anyOf": [_schema_of(part, records) for part in parts]}
    raise TypeError(f"no schema for {kind}")


def _describe(record: type, records: dict[str, Any]) -> None:
    if record.__name__ in records:
        return
    records[record.__name__] = {}
    kinds = typing.get_type_hints(record)
    names = [field.name for field in dataclasses.fields(record)]
    properties = {name: _schema_of(kinds[name], records) | BOUNDS.get(name, {}) for name in names}
    records[record.__name__] = {
        "description": inspect.cleandoc(record.__doc__ or ""),
        "type": "object",
        "properties": properties,
        "required": names,
        "additionalProperties": False,
    }


def faults(data: Any) -> list[str]:
    return [error.message for error in Draft202012Validator(sheet_schema()).iter_errors(data)]


def objects(data: Any) -> list[dict[str, Any]]:
    """Every object inside the data, the outermost first."""
    inside = data.values() if isinstance(data, dict) else data if isinstance(data, list) else []
    return ([data] if isinstance(data, dict) else []) + [found for part in inside for found in objects(part)]


def test_the_schema_is_one_and_has_an_id_without_a_host() -> None:
    Draft202012Validator.check_schema(sheet_schema())
    assert sheet_schema()["$id"] == "urn:brinecall:sheet:1"


def test_the_published_schema_tells_of_every_field_of_the_view() -> None:
    assert sheet_schema() == schema_of_view(), "write it anew: python -m tests.reports.renderers.test_data"


@SLOW
@given(jobs())
def test_every_job_keeps_to_the_schema_before_and_after_it_is_written(session: Session) -> None:
    data = data_form(job_view(session, DATE))
    assert faults(data) == []
    assert json.loads(json.dumps(data, allow_nan=False)) == data


@pytest.mark.parametrize("name", SHEETS)
def test_every_kept_sheet_keeps_to_the_schema_and_says_what_it_is(name: str) -> None:
    data = data_form(job_view(SHEETS[name](), DATE))
    assert faults(data) == []
    assert (data["format"], data["version"], data["language"]) == ("brinecall-sheet", 1, "en")


def test_a_field_too_many_or_too_few_is_a_fault_wherever_it_is() -> None:
    data = data_form(job_view(SHEETS["repaired-field"](), DATE))
    count = len(objects(data))
    assert count > 20
    for number in range(count):
        more, less = copy.deepcopy(data), copy.deepcopy(data)
        objects(more)[number]["invented"] = ""
        objects(less)[number].popitem()
        assert faults(more)
        assert faults(less)


@pytest.mark.parametrize(("field", "value"), [("version", 2), ("format", "other"), ("language", ""), ("sheet", None)])
def test_another_format_or_version_is_a_fault(field: str, value: object) -> None:
    data = data_form(job_view(SHEETS["danger-phone"](), DATE))
    assert faults(data | {field: value})


def test_a_probability_above_one_is_a_fault() -> None:
    data = data_form(job_view(SHEETS["no-output-field"](), DATE))
    data["sheet"]["causes"][0]["probability"] = 1.5
    assert faults(data)


def write() -> None:
    """Write the schema anew."""
    PLACE.write_text(json.dumps(schema_of_view(), indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
