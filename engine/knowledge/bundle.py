"""A checked knowledge in one file: its folders, their notes and what proved them, held together by one hash.

The hash is no signature: whoever changes the file can reckon it anew. It is told where a bundle is made, so that who
takes it can hold it against what the maker says.
"""

from __future__ import annotations

import hashlib
import json
import re
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from io import BytesIO
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.text_catalog import WORDS
from engine.foundation.texts import say
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.files import inside
from engine.knowledge.format_version import PRESENT
from engine.knowledge.overlay_file import OVERLAY_FILE, OverlayFile, stack_of

MANIFEST = "bundle.json"
PACKING = 1
"""The version of how a bundle is packed."""
MOST_PACKED = 50_000_000
"""So large a file may be; ours have a hundredth of it."""
_MOST_UNPACKED, _MOST_FILES, _LONGEST_NAME = 100_000_000, 5_000, 200
_PLAIN_NAME = re.compile(r"""[0-9]/[^\\:*?"<>|\x00-\x1f\x7f]+\.yaml""")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)
"""What no file may be called on Windows (from memory)."""
_NO_KNOWLEDGE = ("schema",)
_BROKEN = (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError, ValueError, IndexError)
"""What the library raises for files that are no archives, or were made to look like one: RuntimeError for what is
encrypted or packed in a way that it does not know, ValueError for names that are no text, the rest for false sizes."""


class BundleError(Exception):
    """A file that is no bundle, or one that cannot be used here; the text says why."""

    def __init__(self, key: str, **fields: object) -> None:
        """Args: the key of its words under `bundle.refused`, and their fields."""
        super().__init__(say(f"bundle.refused.{key}", **fields))


@dataclass(frozen=True)
class Bundle:
    """A knowledge as it is handed on.

    `files` are its folders' files by their names, `0/causes/cell.yaml`, the lowest folder first; `form` the version of
    their form. `fingerprint` is that of what they make together, `proof` what was found when it was tried.
    """

    files: Mapping[str, bytes]
    form: int
    fingerprint: str
    made: str
    by: str
    notes: str
    proof: Mapping[str, float | str | None]

    def top(self) -> str:
        """The number of the folder that lies over all others."""
        return max(name.partition("/")[0] for name in self.files)

    def hash(self) -> str:
        """64 hexadecimal digits that stand for all of it."""
        return hashlib.sha256(_canonical(self._said())).hexdigest()

    def manifest(self) -> bytes:
        """What stands beside the files: all that is said of them, and the hash of each and of all."""
        return _canonical({**self._said(), "hash": self.hash()}) + b"\n"

    def _said(self) -> dict[str, Any]:
        return {
            "packing": PACKING,
            "form": self.form,
            "fingerprint": self.fingerprint,
            "made": self.made,
            "by": self.by,
            "notes": self.notes,
            "proof": dict(self.proof),
            "files": {name: hashlib.sha256(content).hexdigest() for name, content in self.files.items()},
        }


def folders_of(folder: Traversable | Path) -> dict[str, bytes]:
    """The files of a faults folder and of all below it, as a bundle holds them: it then stands by itself.

    The program's own words stay with the program: of the shipped folder they are left out.
    Raises KnowledgeError where the stack cannot be made, OSError where a file cannot be read.
    """
    found: dict[str, bytes] = {}
    for number, layer in enumerate(stack_of(folder)):
        shipped = Path(str(layer.folder)).resolve() == Path(str(files("faults"))).resolve()
        _take(found, f"{number}", layer.folder, with_words=not shipped)
        if layer.overlay is not None:
            found[f"{number}/{OVERLAY_FILE}"] = _lying_over(layer.overlay, number - 1)
    return found


def packed(bundle: Bundle) -> bytes:
    """A bundle as one file, the same for the same bundle."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in ((MANIFEST, bundle.manifest()), *sorted(bundle.files.items())):
            info = zipfile.ZipInfo(name)
            info.external_attr = 0o100644 << 16
            archive.writestr(info, content, zipfile.ZIP_DEFLATED, compresslevel=9)
    return out.getvalue()


def unpacked(content: bytes) -> Bundle:
    """The bundle that a file holds, every byte of it as it was packed. Raises BundleError for any other file."""
    if len(content) > MOST_PACKED:
        raise BundleError("too_large")
    try:
        found = _members(content)
    except BundleError:
        raise
    except _BROKEN:
        raise BundleError("damaged") from None
    if MANIFEST not in found:
        raise BundleError("no_bundle")
    return _held_to(found.pop(MANIFEST), found)


def read_manifest(content: bytes) -> dict[str, Any]:
    """What a manifest says. Raises BundleError where it is none, or one of a later program."""
    try:
        said = json.loads(content)
    except (ValueError, RecursionError):
        raise BundleError("damaged") from None
    if not isinstance(said, dict) or not isinstance(said.get("packing"), int) or not isinstance(said.get("form"), int):
        raise BundleError("damaged")
    if said["packing"] > PACKING or said["form"] > PRESENT:
        raise BundleError("newer")
    if said["form"] < PRESENT:
        raise BundleError("older")
    return said


def _held_to(manifest: bytes, found: Mapping[str, bytes]) -> Bundle:
    """The bundle of these files, where its manifest is that of just these. Raises BundleError."""
    said = read_manifest(manifest)
    texts = ("fingerprint", "made", "by", "notes")
    if not all(isinstance(said.get(name), str) for name in texts) or not isinstance(said.get("proof"), dict):
        raise BundleError("damaged")
    fingerprint, made, by, notes = (said[name] for name in texts)
    bundle = Bundle(dict(sorted(found.items())), said["form"], fingerprint, made, by, notes, said["proof"])
    # Every byte of the files and of what is said of them goes into the hash.
    if not found or said.get("hash") != bundle.hash() or manifest != bundle.manifest():
        raise BundleError("tampered")
    return bundle


def _members(content: bytes) -> dict[str, bytes]:
    """The files of an archive by their names: none that would lie elsewhere, none that is more than it seems."""
    found: dict[str, bytes] = {}
    seen: set[str] = set()
    left = _MOST_UNPACKED
    with zipfile.ZipFile(BytesIO(content)) as archive:
        every = archive.infolist()
        if len(every) > _MOST_FILES:
            raise BundleError("too_large")
        for info in every:
            if not _is_plain(info) or info.filename.casefold() in seen:
                raise BundleError("hostile", name=ascii(info.filename)[:80])
            seen.add(info.filename.casefold())
            with archive.open(info) as file:
                # What the archive says of a size is believed no more than anything else in it.
                read = file.read(min(left, MOST_BYTES) + 1)
            left -= len(read)
            if len(read) > MOST_BYTES or left < 0:
                raise BundleError("too_large")
            found[info.filename] = read
    return found


def _is_plain(info: zipfile.ZipInfo) -> bool:
    """Whether a member is a plain file of a name that can stand in a folder of ours."""
    kind = info.external_attr >> 16 & 0o170000
    if kind not in (0, 0o100000) or info.flag_bits & 0x1 or info.is_dir():
        return False
    return info.filename == MANIFEST or is_plain_name(info.filename)


def is_plain_name(name: str) -> bool:
    """Whether a file of a bundle may be called so: it stays in its folder, on any machine."""
    parts = name.split("/")
    odd = any(not p or p[0] in "._ " or p[-1] in ". " or _RESERVED.fullmatch(p) for p in parts)
    return len(name) <= _LONGEST_NAME and not odd and _PLAIN_NAME.fullmatch(name) is not None and name.isprintable()


def _take(found: dict[str, bytes], way: str, folder: Traversable | Path, with_words: bool) -> None:
    """Put the YAML files of a folder, and of those in it, under their names there."""
    for item in inside(folder):
        name = f"{way}/{item.name}"
        if item.is_dir():
            if item.name[:1] not in "._" and item.name not in _NO_KNOWLEDGE and (with_words or item.name != WORDS):
                _take(found, name, item, with_words)
        elif item.name.endswith(".yaml"):
            if not is_plain_name(name):
                raise BundleError("name", name=ascii(item.name)[:80])
            found[name] = read_at_most(item, MOST_BYTES + 1)


def _lying_over(overlay: OverlayFile, below: int) -> bytes:
    """The `overlay.yaml` of a folder that lies over the one of this number beside it."""
    said = {
        "overlay": overlay.name,
        "over": f"../{below}",
        "of": overlay.of,
        "remove": {kind: list(ids) for kind, ids in overlay.remove.items()},
    }
    # JSON is YAML, and any name can stand in it.
    return (json.dumps(said, ensure_ascii=False, indent=1) + "\n").encode()


def _canonical(said: Mapping[str, Any]) -> bytes:
    return json.dumps(said, ensure_ascii=True, sort_keys=True, separators=(",", ":")).encode()
