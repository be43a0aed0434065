"""Files written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from interview.storage.atomic_write import write_in_parts, write_whole


def test_a_file_is_made_or_made_anew_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "sheet.txt"
    for content in (b"one", b"", b"three\n"):
        write_whole(path, content)
        assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_what_stood_there_stays_whole_where_the_writing_breaks_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "sheet.txt"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(IsADirectoryError):
        write_whole(tmp_path, b"x")


def test_a_link_is_followed_and_the_rights_of_a_file_stay(tmp_path: Path) -> None:
    path, link = tmp_path / "sheet.txt", tmp_path / "link"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_rights_that_new_files_have(tmp_path: Path) -> None:
    ordinary, ours = tmp_path / "a", tmp_path / "b"
    ordinary.touch()
    write_whole(ours, b"")
    assert ours.stat().st_mode == ordinary.stat().st_mode


def test_a_pipe_takes_what_it_is_given_and_stays_a_pipe(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        return
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        write_whole(pipe, b"whole")
        assert os.read(reader, 10) == b"whole"
    finally:
        os.close(reader)
    assert pipe.is_fifo()


def test_what_breaks_off_while_it_is_made_leaves_what_was_there(tmp_path: Path) -> None:
    def parts() -> Iterator[bytes]:
        yield b"half"
        raise KeyboardInterrupt

    path = tmp_path / "jobs.jsonl"
    path.write_bytes(b"as before")
    with pytest.raises(KeyboardInterrupt):
        write_in_parts(path, parts())
    assert [(each.name, each.read_bytes()) for each in tmp_path.iterdir()] == [("jobs.jsonl", b"as before")]
    write_in_parts(path, (part for part in (b"one\n", b"two\n")))
    assert path.read_bytes() == b"one\ntwo\n"
