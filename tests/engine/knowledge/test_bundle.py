"""A bundle comes out as it went in, and a file that is anything else is refused.

By the zip format anybody can write an archive that lies about names, sizes and kinds (its APPNOTE, from memory).
"""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge import bundle as bundles
from engine.knowledge.bundle import MANIFEST, Bundle, BundleError, folders_of, is_plain_name, packed, unpacked
from engine.knowledge.format_version import PRESENT
from engine.knowledge.loader import load_knowledge
from tests.overlay import GOOD

FAULTS = Path(__file__).parents[3] / "faults"


@cache
def small() -> Bundle:
    proof: dict[str, float | str | None] = {"calls": 3, "first": 0.6667, "median_asked": None}
    return Bundle(folders_of(GOOD), PRESENT, "0123456789ab", "2026-03-01", "maria", "new in März: ≥ 2", proof)


def archive(members: dict[str, bytes], change: Callable[[zipfile.ZipInfo], None] = lambda _: None) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in members.items():
            info = zipfile.ZipInfo(name)
            info.compress_type = zipfile.ZIP_DEFLATED
            change(info)
            file.writestr(info, content)
    return out.getvalue()


def members() -> dict[str, bytes]:
    return {MANIFEST: small().manifest(), **small().files}


def test_what_comes_out_is_what_went_in_and_the_same_file_each_time() -> None:
    assert unpacked(packed(small())) == small()
    assert packed(unpacked(packed(small()))) == packed(small())


def test_the_hash_is_that_of_all_that_is_said_by_another_reckoning() -> None:
    said = json.loads(small().manifest())
    told = said.pop("hash")
    plain = json.dumps(said, sort_keys=True, separators=(",", ":")).encode()
    assert told == hashlib.sha256(plain).hexdigest() == small().hash()
    assert said["files"] == {name: hashlib.sha256(content).hexdigest() for name, content in small().files.items()}


@given(st.data())
def test_a_byte_that_was_changed_is_never_taken_for_what_was_made(data: st.DataObject) -> None:
    content = bytearray(packed(small()))
    at = data.draw(st.integers(0, len(content) - 1))
    content[at] ^= data.draw(st.integers(1, 255))
    try:
        assert unpacked(bytes(content)) == small()
    except BundleError:
        return


@given(st.integers(0, 10_000))
def test_a_file_that_was_cut_short_is_refused(cut: int) -> None:
    content = packed(small())
    with pytest.raises(BundleError):
        unpacked(content[: min(cut, len(content) - 1)])


@given(st.binary(max_size=200))
def test_any_other_file_is_refused(content: bytes) -> None:
    with pytest.raises(BundleError):
        unpacked(content)


NAME = "0/parts.yaml"
TAMPERED: dict[str, Callable[[dict[str, bytes]], object]] = {
    "a file changed": lambda m: m.update({NAME: m[NAME].replace(b"acid", b"salt", 1)}),
    "a file left out": lambda m: m.pop(NAME),
    "a file put in": lambda m: m.update({"0/causes/more.yaml": b"- cause: x\n"}),
    "notes changed": lambda m: m.update({MANIFEST: m[MANIFEST].replace(b"maria", b"marie")}),
    "a figure of the proof changed": lambda m: m.update({MANIFEST: m[MANIFEST].replace(b"0.6667", b"0.9667")}),
    "a field put in": lambda m: m.update({MANIFEST: m[MANIFEST].replace(b'{"by"', b'{"a":1,"by"')}),
    "another hash": lambda m: m.update({MANIFEST: m[MANIFEST].replace(small().hash().encode(), b"0" * 64)}),
    "no files": lambda m: [m.pop(name) for name in list(m) if name != MANIFEST],
}


@pytest.mark.parametrize("how", TAMPERED)
def test_what_was_changed_since_is_refused(how: str) -> None:
    changed = members()
    TAMPERED[how](changed)
    with pytest.raises(BundleError, match="has been changed since it was made"):
        unpacked(archive(changed))


def test_a_bundle_of_another_version_says_what_to_do() -> None:
    said = json.loads(small().manifest())
    for field, by, told in (("packing", 1, "later"), ("form", 1, "later"), ("form", -1, "earlier")):
        other = json.dumps({**said, field: said[field] + by}).encode()
        with pytest.raises(BundleError, match=told):
            unpacked(archive({**members(), MANIFEST: other}))


NAMES = (
    *("../parts.yaml", "0/../../parts.yaml", "/etc/parts.yaml", "C:/parts.yaml", "0\\..\\parts.yaml", "parts.yaml"),
    *("0/parts.txt", "0/a/./b.yaml", "0//b.yaml", "0/con.yaml", "0/aux/b.yaml", "0/.hidden.yaml", "0/b.yaml "),
    *("0/x\n.yaml", "0/x\u202egnp.yaml", "0/a:b.yaml", "~/parts.yaml", "0/" + "x" * 300 + ".yaml", "0/x.yaml/", ""),
)


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_would_lie_elsewhere_is_refused(name: str) -> None:
    assert not is_plain_name(name)
    with pytest.raises(BundleError):
        unpacked(archive({**members(), name or "x": b"a: 1\n"}))


@given(st.text(max_size=30))
def test_a_plain_name_stays_in_its_folder(name: str) -> None:
    if is_plain_name(name):
        place = Path("/place")
        assert place in (place / name).resolve().parents


def test_links_devices_and_locked_members_are_refused() -> None:
    def link(info: zipfile.ZipInfo) -> None:
        info.external_attr = 0o120777 << 16

    def device(info: zipfile.ZipInfo) -> None:
        info.external_attr = 0o020666 << 16

    for change in (link, device):
        with pytest.raises(BundleError):
            unpacked(archive(members(), change))
    locked = bytearray(packed(small()))
    at = locked.rindex(b"PK\x01\x02")
    locked[at + 8] |= 1
    with pytest.raises(BundleError):
        unpacked(bytes(locked))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_members_of_one_name_are_refused_whatever_their_capitals() -> None:
    for name in (NAME, NAME.upper().replace("YAML", "yaml")):
        out = BytesIO(packed(small()))
        with zipfile.ZipFile(out, "a") as file:
            file.writestr(name, b"a: 1\n")
        with pytest.raises(BundleError):
            unpacked(out.getvalue())


def test_a_bomb_is_not_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Zeros shrink to a thousandth; what the archive says of their size is not believed."""
    bomb = archive({**members(), "0/zeros.yaml": bytes(30_000_000)})
    assert len(bomb) < 200_000
    with pytest.raises(BundleError, match="larger"):
        unpacked(bomb)
    many = archive({**members(), **{f"0/{number}.yaml": b"" for number in range(6_000)}})
    with pytest.raises(BundleError, match="larger"):
        unpacked(many)
    monkeypatch.setattr(bundles, "_MOST_UNPACKED", 10_000)
    with pytest.raises(BundleError, match="larger"):
        unpacked(packed(small()))
    with pytest.raises(BundleError, match="larger"):
        unpacked(bytes(bundles.MOST_PACKED + 1))


def test_a_stack_stands_by_itself_and_makes_the_same_knowledge(tmp_path: Path) -> None:
    chain, shop = tmp_path / "chain", tmp_path / "shop"
    for folder, over, part in ((chain, "shipped", "salt"), (shop, "../chain", "stabiliser")):
        folder.mkdir()
        (folder / "format.yaml").write_text(f"version: {PRESENT}\n", encoding="utf-8")
        (folder / "overlay.yaml").write_text(f"overlay: {folder.name}\nover: {over}\n", encoding="utf-8")
        (folder / "parts.yaml").write_text(f"- part: {part}\n  in_van: no\n", encoding="utf-8")
    (shop / "words").mkdir()
    (shop / "words" / "opening.yaml").write_text("noted: Kept here.\n", encoding="utf-8")
    found = folders_of(shop)
    assert "2/words/opening.yaml" in found
    assert not [name for name in found if name.startswith("0/words/")]
    assert not [name for name in found if "schema/" in name]
    assert replace(small(), files=found).top() == "2"
    for name, content in found.items():
        path = tmp_path / "moved" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    there, here = load_knowledge(tmp_path / "moved" / "2", "en"), load_knowledge(shop, "en")
    assert (there.parts, there.causes, there.trees) == (here.parts, here.causes, here.trees)
    shutil.rmtree(chain)
    assert load_knowledge(tmp_path / "moved" / "2", "es").parts["salt"].in_van is False
