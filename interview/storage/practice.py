"""What learners came to in practice: one line of JSON each, in the user's data folder, its owner's alone."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from interview.storage.atomic_write import write_whole
from interview.storage.jobs import default_folder
from interview.storage.private import FILE, FOLDER

_MOST_BYTES = 5_000_000


def practice_file() -> Path:
    """Where the scores are kept; the file need not be there. Raises JobError where this user has no place."""
    return default_folder().with_name("practice") / "scores.jsonl"


def keep_score(score: Mapping[str, Any]) -> Path:
    """Add one score, and say where. Raises OSError where it cannot be kept, JobError where there is no place."""
    path = practice_file()
    path.parent.mkdir(parents=True, exist_ok=True, mode=FOLDER)
    kept = _content(path)
    line = json.dumps(dict(score), ensure_ascii=False) + "\n"
    write_whole(path, kept + line.encode(), FILE)
    if os.name != "nt":
        path.chmod(FILE)
    return path


def scores_of(learner: str) -> list[dict[str, Any]]:
    """The scores of one learner, the oldest first; lines that are none are passed by. Raises as `keep_score`."""
    scores = map(_score, _content(practice_file()).splitlines())
    return [score for score in scores if score is not None and score.get("learner") == learner]


def forget_scores(learner: str) -> int:
    """Erase the scores of one learner, and say how many there were. Raises as `keep_score`."""
    gone = len(scores_of(learner))
    if gone:
        path = practice_file()
        kept = [line for line in _content(path).splitlines(keepends=True) if not _is_of(line, learner)]
        write_whole(path, b"".join(kept), FILE)
    return gone


def _is_of(line: bytes, learner: str) -> bool:
    score = _score(line)
    return score is not None and score.get("learner") == learner


def _score(line: bytes) -> dict[str, Any] | None:
    """The score of a line; None for a line that is none."""
    try:
        score = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return score if isinstance(score, dict) else None


def _content(path: Path) -> bytes:
    try:
        return read_at_most(path, _MOST_BYTES)
    except FileNotFoundError:
        return b""
