"""The small good faults folder, and the mistakes that can be laid over it, for tests of loading and checking."""

from __future__ import annotations

import re
from pathlib import Path

from hypothesis import strategies as st

from engine.knowledge.catalogue import Folder
from engine.knowledge.files import contents_of as knowledge_files
from engine.knowledge.loader import read_folder

EXAMPLES = Path(__file__).parent / "examples"
GOOD = EXAMPLES / "good"
BAD = EXAMPLES / "bad"
NAME = "folder"
"""The folder's name in messages."""


def contents_of(folder: Path) -> dict[str, bytes]:
    """The knowledge files of a folder by their names inside it; worked calls are none."""
    files = sorted(path for path in folder.rglob("*.y*ml") if path.parent.name != "calls")
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def mistakes() -> list[str]:
    """The names of all mistakes, each a folder of its own."""
    return sorted(path.name for path in BAD.iterdir() if path.is_dir())


def overlaid(mistake: str) -> dict[str, bytes]:
    """The good folder's files with one mistake's file laid over them."""
    return {**contents_of(GOOD), **contents_of(BAD / mistake)}


def expected_of(mistake: str) -> list[str]:
    """The messages that must be printed for a mistake, one a line, in order."""
    return (BAD / mistake / "expected.txt").read_text(encoding="utf-8").splitlines()


_FILES = contents_of(GOOD)
_TOKENS = sorted({token for content in _FILES.values() for token in re.findall(rb"[\w.%-]+|[^\w\s]", content)})


@st.composite
def damaged(draw: st.DrawFn) -> dict[str, bytes]:
    """The good folder with one to three small damages, as a slip of the hand makes them."""
    contents = dict(_FILES)
    for _ in range(draw(st.integers(1, 3))):
        file = draw(st.sampled_from(sorted(contents)))
        lines = contents[file].split(b"\n")
        at = draw(st.integers(0, len(lines) - 1))
        words = re.split(rb"([\w.%-]+)", lines[at])
        place = draw(st.integers(0, len(words) - 1))
        match draw(st.sampled_from(["drop line", "twice", "indent", "drop word", "other word", "number"])):
            case "drop line":
                del lines[at]
            case "twice":
                lines.insert(at, lines[at])
            case "indent":
                lines[at] = b" " + lines[at]
            case "drop word":
                lines[at] = b"".join(words[:place] + words[place + 1 :])
            case "other word":
                lines[at] = b"".join([*words[:place], draw(st.sampled_from(_TOKENS)), *words[place + 1 :]])
            case _:
                lines[at] = re.sub(rb"\d+", str(draw(st.integers(-1, 10**7))).encode(), lines[at], count=1)
        contents[file] = b"\n".join(lines)
    return contents


def entries_of(folder: Path) -> Folder:
    """The entries of a folder on the disk."""
    return read_folder(str(folder), knowledge_files(folder)[0])[0]
