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
    found = []
    for line in _content(practice_file()).splitlines():
        try:
            score = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if isinstance(score, dict) and score.get("learner") == learner:
            found.append(score)
    return found


def _content(path: Path) -> bytes:
    try:
        return read_at_most(path, _MOST_BYTES)
    except FileNotFoundError:
        return b""
