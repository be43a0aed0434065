"""What changed below a shop's changes: every planted one is found, and nothing else."""

from __future__ import annotations

import random
from pathlib import Path

from engine.knowledge.base_kept import BASE_FILE, base_of, both_changed, kept_in
from engine.knowledge.changes import entries_of, own_entries
from engine.knowledge.overlay_file import stack_of
from tests.engine.knowledge.test_layers import Whole, good, write


def test_thirty_planted_changes_on_both_sides_are_found_and_nothing_else(tmp_path: Path) -> None:
    every = [(kind, name, field) for kind, ids in good().items() for name, said in ids.items() for field in said]
    chosen = random.Random(7).sample([at for at in every if at[2] != at[0]], 90)
    both, theirs_alone, yours_alone = chosen[:30], chosen[30:60], chosen[60:]
    below: Whole = {kind: {name: dict(said) for name, said in ids.items()} for kind, ids in good().items()}
    lowest = write(tmp_path / "lowest", below)
    yours: Whole = {}
    for kind, name, field in both + yours_alone:
        yours.setdefault(kind, {}).setdefault(name, {kind: name})[field] = "ours"
    gone = next(name for name in good()["part"] if not any(at[:2] == ("part", name) for at in chosen))
    shop = write(tmp_path / "shop", yours, "../lowest", {"part": [gone]})
    (shop / BASE_FILE).parent.mkdir()
    (shop / BASE_FILE).write_bytes(base_of(entries_of(lowest)))
    base, overlay = kept_in(shop), stack_of(shop)[-1].overlay
    assert base is not None
    assert list(both_changed(base, entries_of(lowest), own_entries(shop), overlay)) == []
    for kind, name, field in both + theirs_alone:
        below[kind][name][field] = "theirs"
    below["part"][gone]["customer"] = "theirs"
    newer = entries_of(write(tmp_path / "newer", below))
    found = list(both_changed(base, newer, own_entries(shop), overlay))
    assert {(one.kind, one.id, one.field) for one in found} == {*both, ("part", gone, "")}
    for one in found:
        if one.field:
            former = good()[one.kind][one.id][one.field]
            assert (one.base, one.theirs, one.yours) == (former, "theirs", "ours")
