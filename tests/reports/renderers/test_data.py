"""The papers as data keep to their published schemas, by the reference library for JSON Schema.

What a reader of a version could rely on must stay; if a field goes or changes its meaning, `VERSION` grows, and the old
file stays too.
"""

from __future__ import annotations

import copy
import json
from functools import cache
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator

from engine.session.session import Session
from reports.document import AUDIENCES, Audience, Block, kind_of
from reports.renderers.data import FORMER, VERSION, data_form, former_form, sheet_schema
from reports.sheets.choose import sheets_of, view_for
from tests.reports.jobs import DATE, jobs
from tests.reports.renderers.papers import every_block
from tests.reports.renderers.reading import in_json
from tests.reports.test_golden_sheets import SHEETS

SLOW = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def told(session: Session, reader: Audience, annex: bool = False) -> dict[str, Any]:
    view = view_for(session, DATE, reader)
    return data_form(sheets_of(view, session.job.role, reader, annex=annex), view)


@cache
def validator(version: int) -> Draft202012Validator:
    return Draft202012Validator(sheet_schema(version))


def faults(data: Any, version: int = VERSION) -> list[str]:
    return [error.message for error in validator(version).iter_errors(data)]


def objects(data: Any) -> list[dict[str, Any]]:
    """Every object inside the data, the outermost first."""
    inside = data.values() if isinstance(data, dict) else data if isinstance(data, list) else []
    return ([data] if isinstance(data, dict) else []) + [found for part in inside for found in objects(part)]


@pytest.mark.parametrize("version", [FORMER, VERSION])
def test_each_schema_is_one_and_has_an_id_without_a_host(version: int) -> None:
    Draft202012Validator.check_schema(sheet_schema(version))
    assert sheet_schema(version)["$id"] == f"urn:brinecall:sheet:{version}"


def test_the_schema_tells_of_every_kind_of_block() -> None:
    kinds = {kind.__name__.lower() for kind in get_args(Block)}
    assert set(sheet_schema()["$defs"]) == {"paper", "record", *kinds}
    view = view_for(SHEETS["danger-phone"](), DATE)
    data = data_form([every_block()], view)
    assert {block["kind"] for block in data["papers"][0]["blocks"]} == {kind_of(b) for b in every_block().blocks}
    assert faults(data) == []


@SLOW
@given(jobs())
def test_every_job_keeps_to_the_schemas_before_and_after_it_is_written(session: Session) -> None:
    for reader in AUDIENCES:
        data = told(session, reader, annex=True)
        assert faults(data) == []
        assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert faults(former_form(view_for(session, DATE)), FORMER) == []


@pytest.mark.parametrize("name", SHEETS)
def test_every_kept_sheet_keeps_to_the_schema_and_says_what_it_is(name: str) -> None:
    session = SHEETS[name]()
    for reader in AUDIENCES:
        data = told(session, reader)
        assert faults(data) == []
        assert (data["format"], data["version"], data["language"]) == ("brinecall-sheet", 2, "en")
    former = former_form(view_for(session, DATE))
    assert faults(former, FORMER) == []
    assert (former["format"], former["version"], former["language"]) == ("brinecall-sheet", 1, "en")


def test_each_readers_data_are_those_of_his_own_paper() -> None:
    session = SHEETS["all-tested-counter"]()
    customer, shop = (in_json(told(session, reader, annex=True)) for reader in ("customer", "shop"))
    (likeliest, *_) = view_for(session, DATE, "shop").causes
    assert likeliest.speaks_for[0].said in shop
    # The weights of the evidence and what is read out to the customer are the shop's business.
    assert likeliest.speaks_for[0].strength in shop
    assert "Workings" in shop
    assert "Workings" not in customer
    assert "Shop's sheet" not in customer


def test_what_is_billed_stands_beside_our_own_papers_and_no_customers() -> None:
    """The parts of a cleaning as the knowledge writes them; nobody said how long the way was."""
    session = SHEETS["repaired-field"]()
    data = told(session, "technician")
    assert data["record"]["travel"] is None
    assert {part["part"]: part["quantity"] for part in data["record"]["parts"]}["union_oring"] == 2
    assert told(session, "customer")["record"] is None


@pytest.mark.parametrize("version", [FORMER, VERSION])
def test_a_field_too_many_or_too_few_is_a_fault_wherever_it_is(version: int) -> None:
    session = SHEETS["repaired-field"]()
    data = told(session, "technician") if version == VERSION else former_form(view_for(session, DATE))
    count = len(objects(data))
    assert count > 20
    for number in range(count):
        more, less = copy.deepcopy(data), copy.deepcopy(data)
        objects(more)[number]["invented"] = ""
        objects(less)[number].popitem()
        assert faults(more, version)
        assert faults(less, version)


@pytest.mark.parametrize(("field", "value"), [("version", 1), ("format", "other"), ("language", ""), ("papers", None)])
def test_another_format_or_version_is_a_fault(field: str, value: object) -> None:
    assert faults(told(SHEETS["danger-phone"](), "customer") | {field: value})
