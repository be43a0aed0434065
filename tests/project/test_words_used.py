"""Every key of the program's own words that the code asks for exists with its fields, and none is left unused."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from engine.foundation.text_catalog import fields_of, flat_texts
from engine.foundation.yaml_reader import read_document

ROOT = Path(__file__).parents[2]
CODE = sorted(path for folder in ("engine", "interview", "reports") for path in (ROOT / folder).rglob("*.py"))
TEMPLATES = sorted((ROOT / "reports" / "templates").glob("*.j2"))
IN_TEMPLATE = re.compile(r"""\bsay(?:_to)?\(\s*(['"])([a-z0-9_.]+)\1((?:[^()]|\([^()]*\))*)\)""")


ASKING = {"say", "say_in", "said", "told", "to_tell"}


@dataclass(frozen=True)
class Use:
    """One place that asks for words: a whole key, or (`open`) the beginning of several; its plain fields."""

    where: str
    key: str
    open: bool
    fields: frozenset[str] | None


@cache
def words() -> dict[str, str]:
    texts: dict[str, str] = {}
    for path in sorted((ROOT / "faults" / "words").glob("*.yaml")):
        document = read_document(str(path), path.read_bytes())
        texts |= {f"{path.stem}.{key}": text for key, text in flat_texts(document).items()}
    return texts


@cache
def uses() -> tuple[Use, ...]:
    return tuple(_uses())


def _uses() -> Iterator[Use]:
    for path in CODE:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            asker = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
            if isinstance(node, ast.Call) and asker in ASKING and node.args:
                where = f"{path.relative_to(ROOT)}:{node.lineno}"
                fields = frozenset(keyword.arg for keyword in node.keywords if keyword.arg)
                plain = fields if len(fields) == len(node.keywords) else None
                # `told` asks for the two halves of a mistake: what is wrong, and what to do instead.
                halves = (".what", ".advice") if asker in ("told", "to_tell") else ("",)
                for key, is_open in keys_of(node.args[1 if asker == "say_in" else 0]):
                    for half in halves if not is_open else ("",):
                        yield Use(where, f"{key}{half}", is_open or asker == "said", plain)
    for path in TEMPLATES:
        text = path.read_text(encoding="utf-8")
        for found in IN_TEMPLATE.finditer(text):
            where = f"{path.relative_to(ROOT)}:{text.count(chr(10), 0, found.start()) + 1}"
            yield Use(where, found[2], False, frozenset(re.findall(r"(\w+)\s*=(?!=)", found[3])))


def keys_of(node: ast.expr) -> Iterator[tuple[str, bool]]:
    """The keys that an argument may be, each with whether it is only a beginning; none for what is not written out."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value, False
    elif isinstance(node, ast.IfExp):
        yield from keys_of(node.body)
        yield from keys_of(node.orelse)
    elif isinstance(node, ast.JoinedStr) and node.values and isinstance(node.values[0], ast.Constant):
        yield str(node.values[0].value).rstrip("."), True


@cache
def meant(use: Use) -> list[str]:
    if not use.open:
        return [use.key] if use.key in words() else []
    return [key for key in words() if key == use.key or key.startswith(f"{use.key}.")]


def test_what_is_asked_for_exists_with_its_fields() -> None:
    assert len(uses()) > 500
    assert [f"{use.where} {use.key}" for use in uses() if not meant(use)] == []
    lacking = {
        f"{use.where} {use.key}": sorted(missing)
        for use in uses()
        if use.key in words() and not use.open and use.fields is not None
        if (missing := fields_of(words()[use.key]) - use.fields)
    }
    assert lacking == {}


def test_no_words_are_left_unused() -> None:
    used = {key for use in uses() for key in meant(use)}
    assert sorted(words().keys() - used) == []
