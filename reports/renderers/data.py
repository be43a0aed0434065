"""A job as plain data for other programs, in a published and versioned form; `reports/schema/` describes each field."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from engine.foundation.texts import language_in_use
from reports.view import JobView, view_data

FORMAT = "brinecall-sheet"
"""What a reader looks for first, to know what it has before it."""
VERSION = 1
"""Grows when a field goes or changes its meaning; each version has a schema of its own."""


def data_form(view: JobView) -> dict[str, Any]:
    """A job's sheet as dictionaries, lists, texts, numbers, truth values and None, ready to be written as JSON.

    Args:
        view: the job, whose texts are in the words of its voice and in the language in use.

    Returns:
        `format`, `version`, `language` and `sheet`, the last with the fields of the view under their own names.
    """
    return {"format": FORMAT, "version": VERSION, "language": language_in_use(), "sheet": _listed(view_data(view))}


def sheet_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that every `data_form` of this version keeps to."""
    text = files("reports").joinpath("schema", f"sheet-{VERSION}.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _listed(value: Any) -> Any:
    """The data with lists for tuples, as a reader of JSON gets it."""
    if isinstance(value, dict):
        return {name: _listed(part) for name, part in value.items()}
    return [_listed(part) for part in value] if isinstance(value, tuple | list) else value
