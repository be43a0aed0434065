"""The small good faults folder, and the mistakes that can be laid over it, for tests of loading and checking."""

from __future__ import annotations

from pathlib import Path

__all__ = ["BAD", "GOOD", "NAME", "contents_of", "expected_of", "mistakes", "overlaid"]

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
