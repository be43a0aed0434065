"""Every check and finding stands in the table once, and silence on purpose is told from silence; nothing else moves."""

from __future__ import annotations

import numpy as np

from engine.inference.compiling import compile_tree
from engine.knowledge.files import contents_of
from engine.knowledge.loader import knowledge_from
from engine.knowledge.model import DANGER_CHECK
from engine.proving.covering import covered
from tests.benchmarks import plain_knowledge as plain
from tests.shipped import knowledge


def test_each_stands_once_under_what_the_file_says() -> None:
    """Read again from the YAML by other code."""
    for cause, form in plain.causes().items():
        found = {one.item: one.said for one in covered(knowledge(), cause)}
        recorded = {check.id for check in knowledge().checks.values() if check.from_record}
        assert set(found) == set(plain.items()) - {DANGER_CHECK} - recorded
        assert {item for item, said in found.items() if said == "shows"} == set(plain._nested(form.get("shows"))) & set(
            found
        )
        never = [one.others for one in covered(knowledge(), cause) if one.said == "never"]
        assert never == sorted(never, reverse=True)


def test_as_usual_is_silence_on_purpose_and_reckons_as_silence() -> None:
    contents, _ = contents_of(plain.FAULTS)
    text = contents["causes/cell.yaml"].decode()
    at = text.index("- cause: cell_worn")
    shows = text.index("  shows:\n", at) + len("  shows:\n")
    said = {**contents, "causes/cell.yaml": f"{text[:shows]}    surfaces: as usual\n{text[shows:]}".encode()}
    known = knowledge_from("faults", said)
    assert known.causes["cell_worn"].as_usual == ("surfaces",)
    assert [one.said for one in covered(known, "cell_worn") if one.item == "surfaces"] == ["as_usual"]
    assert [one.said for one in covered(knowledge(), "cell_worn") if one.item == "surfaces"] == ["never"]
    for name in ("low-salt", "no-output"):
        before, after = (compile_tree(each, each.trees[name]) for each in (knowledge(), known))
        for item, table in before.tables.items():
            np.testing.assert_array_equal(table, after.tables[item])
