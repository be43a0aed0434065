"""A job as plain data for other programs, in published and versioned forms; `reports/schema/` describes each field."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.resources import files
from typing import Any

from engine.foundation.texts import language_in_use
from reports.document import Block, Document, Paragraph, kind_of
from reports.renderers.plainly import plainly
from reports.view import JobView, view_data

FORMAT = "brinecall-sheet"
"""What a reader looks for first, to know what it has before it."""
VERSION = 2
"""Grows when a field goes or changes its meaning; each version has a schema of its own."""
FORMER = 1
"""The version before, which is given to whoever asks for it."""


def data_form(documents: Sequence[Document], view: JobView) -> dict[str, Any]:
    """The papers of a job as dictionaries, lists, texts and numbers, ready to be written as JSON.

    Args:
        documents: what is printed; each reader's data are those of his own paper.
        view: the job.

    Returns:
        `format`, `version`, `language`, the ids of the job and of its decision, `papers`, each with its blocks in
        order, and the `record` of the job, None beside a customer's page alone.
    """
    papers = [_paper(plainly(document)) for document in documents]
    whose = {"language": language_in_use(), "job": view.head.job, "decision": view.decision.decision}
    ours = any(document.audience != "customer" for document in documents)
    record = _listed(asdict(view.record)) if ours else None
    return {"format": FORMAT, "version": VERSION, **whose, "papers": papers, "record": record}


def former_form(view: JobView) -> dict[str, Any]:
    """A job as version 1 told it: the whole view whoever reads it, in the fields that its schema names."""
    schema = sheet_schema(FORMER)
    data = {"format": FORMAT, "version": FORMER, "language": language_in_use(), "sheet": _listed(view_data(view))}
    kept: dict[str, Any] = _named(data, schema, schema["$defs"])
    return kept


def sheet_schema(version: int = VERSION) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that the data of this version keep to."""
    text = files("reports").joinpath("schema", f"sheet-{version}.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _paper(document: Document) -> dict[str, Any]:
    names = ("audience", "language", "shop", "date", "job", "title")
    told: dict[str, Any] = {name: getattr(document, name) for name in names}
    told |= {"below": list(document.letterhead.below_the_name()), "closing": document.letterhead.closing}
    return {**told, "blocks": [_block(block) for block in document.blocks], "foot": document.foot}


def _block(block: Block) -> dict[str, Any]:
    """A block with its kind; of a drawing its words."""
    renamed = {"kind": "style"} if isinstance(block, Paragraph) else {}
    fields = {renamed.get(name, name): value for name, value in asdict(block).items() if name != "svg"}
    listed: dict[str, Any] = _listed({"kind": kind_of(block), **fields})
    return listed


def _listed(value: Any) -> Any:
    """The data with lists for tuples, as a reader of JSON gets it."""
    if isinstance(value, dict):
        return {name: _listed(part) for name, part in value.items()}
    return [_listed(part) for part in value] if isinstance(value, tuple | list) else value


def _named(value: Any, schema: Mapping[str, Any], records: Mapping[str, Any]) -> Any:
    """The data without the fields that a schema does not name, all the way down."""
    if "$ref" in schema:
        return _named(value, records[schema["$ref"].rpartition("/")[2]], records)
    if "anyOf" in schema and value is not None:
        return _named(value, next(one for one in schema["anyOf"] if one.get("type") != "null"), records)
    if isinstance(value, dict) and "properties" in schema:
        inside = schema["properties"]
        return {name: _named(part, inside[name], records) for name, part in value.items() if name in inside}
    if isinstance(value, list) and "items" in schema and schema["items"]:
        return [_named(part, schema["items"], records) for part in value]
    return value
