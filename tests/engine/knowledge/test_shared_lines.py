"""A line of `here` that several causes share is the same as a line for each of them, and is told where it stands."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copytree

import yaml
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import knowledge_from
from engine.knowledge.mentions import mentions_of, read_written, renamed
from engine.knowledge.shared_lines import shared_out
from tests.overlay import GOOD, NAME, contents_of

FILE = "trees/low-salt.yaml"
LINE = "  cell_scaled: {salt_gap: {reads_low: 0.92}}"
SHARED = (
    "  cell_scaled, salt_undissolved:\n    salt_gap: {reads_low: 0.92}\n  salt_undissolved: {cell_plates: {clean: 0.9}}"
)
APART = (
    "  cell_scaled: {salt_gap: {reads_low: 0.92}}\n"
    "  salt_undissolved: {salt_gap: {reads_low: 0.92}, cell_plates: {clean: 0.9}}"
)


def written(here: str) -> dict[str, bytes]:
    text = contents_of(GOOD)[FILE].decode()
    assert LINE in text
    return {**contents_of(GOOD), FILE: text.replace(LINE, here, 1).encode()}


def test_a_shared_line_is_a_line_for_each() -> None:
    shared, apart = (knowledge_from(NAME, written(here)).trees["low-salt"] for here in (SHARED, APART))
    assert shared == apart


names = st.lists(st.sampled_from("abcdef"), min_size=1, max_size=3, unique=True).map(", ".join)
lines = st.dictionaries(names, st.dictionaries(st.sampled_from("xyz"), st.just({"one": 0.5}), min_size=1))


@given(lines)
def test_each_part_is_told_where_it_stands(here: dict[str, dict[str, object]]) -> None:
    # As JSON has it, nothing is repeated by reference.
    text = yaml.safe_dump(json.loads(json.dumps({"tree": "t", "here": here})), sort_keys=False)
    document = read_document("t.yaml", text.encode())
    out, problems = shared_out(document)
    said = dict(out.data["here"]) if isinstance(out.data, dict) else {}
    every = [(cause, check, name) for name, shows in here.items() for cause in name.split(", ") for check in shows]
    assert {(cause, check) for cause, shows in said.items() for check in shows} == {(c, k) for c, k, _ in every}
    assert len(problems) == len(every) - len({(cause, check) for cause, check, _ in every})
    for cause, check in {(cause, check) for cause, check, _ in every}:
        first = next(name for c, k, name in every if (c, k) == (cause, check))
        for way in ((), ("one",)):
            assert out.place(("here", cause, check, *way)) == document.place(("here", first, check, *way))
            holder, there = out.holder(("here", cause, check, *way))
            assert holder.place(there) == document.place(("here", first, check, *way))


def test_a_cause_in_a_shared_line_is_found_and_renamed(tmp_path: Path) -> None:
    folder = Path(copytree(GOOD, tmp_path / "mine"))
    (folder / FILE).write_bytes(written(SHARED)[FILE])
    before = read_written(folder)
    changed = renamed(before, mentions_of(before, "cause", "salt_undissolved"), "salt_undissolved", "salt_lies")
    assert b"  cell_scaled, salt_lies:\n" in changed[FILE]
    kept = {name: text for name, text in before.contents.items() if not name.startswith("calls/")}
    tree = knowledge_from(NAME, {**contents_of(GOOD), **kept, **changed}).trees["low-salt"]
    assert tree.here["salt_lies"]["salt_gap"] == {"reads_low": 0.92}
