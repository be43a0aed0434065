"""What a shop changed and what changed below it: every planted conflict is found, and settled as was decided."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.base_kept import BothChanged, base_of, both_changed, kept_in
from engine.knowledge.changes import Stated, entries_of, own_entries
from engine.knowledge.conflicts import base_after, settled, sides_of
from engine.knowledge.files import contents_of
from engine.knowledge.format_version import PRESENT
from engine.knowledge.overlay_file import stack_of
from tests.overlay import GOOD

FILES = {"part": "parts.yaml", "caution": "cautions.yaml", "repair": "repairs.yaml", "cause": "causes/mine.yaml"}
FIELDS = ("technician", "customer")


def plain(folder: Path, file: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = yaml.safe_load((folder / file).read_text(encoding="utf-8"))
    return found


def planted(place: Path) -> tuple[Path, Path, set[tuple[str, str, str]]]:
    """A chain's folder, a shop's over it, and the fields that both changed since the shop's was made."""
    chain, shop = place / "chain", place / "shop"
    shutil.copytree(GOOD, chain)
    shop.mkdir()
    (shop / "format.yaml").write_text(f"version: {PRESENT}\n", encoding="utf-8")
    (shop / "overlay.yaml").write_text("overlay: shop\nover: ../chain\nremove: {part: [dummy_spool]}\n", "utf-8")
    (shop / "_base").mkdir()
    (shop / "_base" / "entries.json").write_bytes(base_of(entries_of(chain)))
    expected = set()
    for kind, file in FILES.items():
        own = []
        for (each, name), stated in entries_of(chain).items():
            if each != kind or name == "dummy_spool":
                continue
            fields = [field for field in FIELDS if isinstance(stated.data.get(field), str)]
            own.append({kind: name, **dict.fromkeys(fields, f"ours of {name}")})
            expected |= {(kind, name, field) for field in fields}
            path = chain / stated.document.file.removeprefix(f"{chain}/")
            entries = yaml.safe_load(path.read_text(encoding="utf-8"))
            entry = next(one for one in entries if one[kind] == name)
            entry |= dict.fromkeys(fields, f"theirs of {name}")
            path.write_text(yaml.safe_dump(entries, allow_unicode=True, sort_keys=False), encoding="utf-8")
        (shop / file).parent.mkdir(exist_ok=True)
        (shop / file).write_text(yaml.safe_dump(own, sort_keys=False), encoding="utf-8")
    parts = plain(chain, "parts.yaml")
    next(part for part in parts if part["part"] == "dummy_spool")["technician"] = "another spool"
    (chain / "parts.yaml").write_text(yaml.safe_dump(parts, sort_keys=False), encoding="utf-8")
    return chain, shop, expected | {("part", "dummy_spool", "")}


def found_in(chain: Path, shop: Path) -> list[Any]:
    base = kept_in(shop)
    assert base is not None
    return list(both_changed(base, entries_of(chain), own_entries(shop), stack_of(shop)[-1].overlay))


def settle(chain: Path, shop: Path, decided: list[Any]) -> None:
    base = kept_in(shop)
    assert base is not None
    for name, content in settled(contents_of(shop)[0], own_entries(shop), str(shop), decided).items():
        if content is None:
            (shop / name).unlink()
        else:
            (shop / name).write_bytes(content)
    (shop / "_base" / "entries.json").write_bytes(base_after(base, entries_of(chain), decided))


def test_thirty_planted_conflicts_are_all_found(tmp_path: Path) -> None:
    chain, shop, expected = planted(tmp_path)
    assert len(expected) >= 30
    assert {(one.kind, one.id, one.field) for one in found_in(chain, shop)} == expected


@pytest.mark.parametrize("seed", range(12))
def test_each_is_settled_as_was_decided_and_no_other_letter_moves(seed: int, tmp_path: Path) -> None:
    chain, shop, _ = planted(tmp_path)
    rng, before = random.Random(seed), found_in(chain, shop)
    decided = [(one, rng.choice(sides_of(one))) for one in before]
    wanted: dict[tuple[str, str], dict[str, Any]] = {k: dict(v.data) for k, v in entries_of(shop).items()}
    for one, side in decided:
        if one.field:
            value = {"yours": one.yours, "later": one.yours, "theirs": one.theirs, "base": one.base}[side]
            wanted[one.kind, one.id][one.field] = value
        elif side == "theirs":
            wanted[one.kind, one.id] = dict(entries_of(chain)[one.kind, one.id].data)
    settle(chain, shop, decided)
    assert {key: dict(stated.data) for key, stated in entries_of(shop).items()} == wanted
    left = {(one.kind, one.id, one.field) for one in found_in(chain, shop)}
    assert left == {(one.kind, one.id, one.field) for one, side in decided if side == "later"}


@pytest.mark.parametrize("side", ["yours", "theirs", "later"])
def test_all_of_one_side(side: Any, tmp_path: Path) -> None:
    chain, shop, expected = planted(tmp_path)
    settle(chain, shop, [(one, side) for one in found_in(chain, shop)])
    if side == "theirs":
        assert not (shop / "parts.yaml").exists()
        assert dict(entries_of(shop)).keys() == dict(entries_of(chain)).keys()
    assert len(found_in(chain, shop)) == (len(expected) if side == "later" else 0)


def test_comments_and_what_is_not_settled_stay_as_they_were(tmp_path: Path) -> None:
    chain, shop, _ = planted(tmp_path)
    text = (
        "# ours\n- part: cleaning_acid   # ours\n  customer: ours\n  technician: ours # ours\n\n"
        "# next\n- part: salt\n  customer: ours\n"
    )
    (shop / "parts.yaml").write_text(text, encoding="utf-8")
    decided = [
        (one, "theirs" if (one.id, one.field) == ("cleaning_acid", "customer") else "yours")
        for one in found_in(chain, shop)
    ]
    settle(chain, shop, decided)
    assert (shop / "parts.yaml").read_text(encoding="utf-8") == text.replace("  customer: ours\n", "", 1)


entries = st.dictionaries(st.sampled_from("abc"), st.dictionaries(st.sampled_from("xyz"), st.integers(0, 2)))


@given(entries, st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from(["", "x", "y"]))))
def test_what_is_put_off_keeps_its_former_base(former: Mapping[str, Any], put_off: list[tuple[str, str]]) -> None:
    theirs = {("part", name): Stated({"part": name, "x": 9}, None, ()) for name in "abc"}  # type: ignore[arg-type]
    base = {"part": former}
    decided: list[Any] = [(BothChanged("part", name, field, None, None, None), "later") for name, field in put_off]
    kept = json.loads(base_after(base, theirs, decided))["part"]
    for name, field in put_off:
        if (name, "") in put_off:
            assert kept.get(name, {}) == former.get(name, {}) or field
        elif field and name in kept:
            assert kept[name].get(field) == former.get(name, {}).get(field)
