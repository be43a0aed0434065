"""`brinecall shop`: told once, it stands on every paper; copied, it stands on those of another counter."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click
import pytest

from interview.commands.app import command_line
from interview.storage.settings import shop_file
from interview.storage.shop_file import TEXTS, shop_in_use
from reports.letterhead import NO_SHOP
from tests.benchmarks.hostile_texts import HOSTILE
from tests.project.test_docs import ROOT

CALL = ROOT / "faults" / "calls" / "visible.yaml"
SIGN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'
TOLD = {
    "name": "Blue Door Pools",
    "telephone": "555 0100",
    "address": "12 Harbour Road",
    "licence": "P-4711",
    "hours": "Mon-Fri 8-17",
    "closing": "Thank you.",
}


def run(*words: str) -> int:
    return command_line(list(words))


def tell() -> None:
    assert run("shop", *(word for field, text in TOLD.items() for word in (f"--{field}", text))) == 0


def test_what_is_told_stands_on_every_paper_of_a_call(capsys: pytest.CaptureFixture[str]) -> None:
    tell()
    for reader in ("customer", "shop", "technician"):
        capsys.readouterr()
        assert run("ask", "--facts", str(CALL), "--for", reader) == 0
        printed = " ".join(capsys.readouterr().out.split())
        assert [text for text in TOLD.values() if text not in printed] == []
        assert NO_SHOP.head not in printed


def test_until_a_name_is_told_no_customer_reads_a_shop_s_and_no_command_either(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run("ask", "--facts", str(CALL), "--for", "customer") == 0
    page = capsys.readouterr().out
    assert page.startswith(NO_SHOP.head)
    assert "brinecall shop" not in page


def test_one_file_brings_it_to_another_counter_with_its_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    sign, copy = tmp_path / "sign.svg", tmp_path / "copy.json"
    sign.write_text(SIGN)
    tell()
    assert run("shop", "--picture", str(sign), "-o", str(copy)) == 0
    here = shop_in_use()
    monkeypatch.setenv("BRINECALL_CONFIG", str(tmp_path / "other"))
    assert shop_in_use() == NO_SHOP
    assert run("shop", "--take", str(copy)) == 0
    assert shop_in_use() == here
    assert here.picture
    assert capsys.readouterr().err == ""


def test_a_dash_leaves_a_line_out_again() -> None:
    tell()
    assert run("shop", "--hours", "-", "--name", "-") == 0
    assert (shop_in_use().hours, shop_in_use().name) == ("", NO_SHOP.name)
    assert shop_in_use().telephone == TOLD["telephone"]


def test_on_a_terminal_each_line_is_asked_and_what_cannot_be_is_asked_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    replies = iter(["Blue Door Pools", "5" * 50, "555 0100", "", "", "", "", "no-such-file.png", ""])
    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(click, "prompt", lambda *_, **__: next(replies))
    assert run("shop") == 0
    assert next(replies, None) is None
    assert (shop_in_use().name, shop_in_use().telephone, shop_in_use().picture) == ("Blue Door Pools", "555 0100", b"")
    shown = " ".join(capsys.readouterr().out.split())
    assert "40." in shown
    assert "no-such-file.png" in shown


@pytest.mark.parametrize("field", TEXTS)
def test_a_hostile_text_is_refused_or_stands_as_plain_words(field: str) -> None:
    for text in HOSTILE:
        if "\0" in text or "\ud800" in text:
            continue
        assert run("shop", f"--{field}={text}") in (0, 2)
        told = getattr(shop_in_use(), field)
        assert told.isprintable()
        assert len(told) <= TEXTS[field]


UNUSABLE = ["", "{", "[]", '{"brinecall-shop": 2}', '{"name": "x"}', "[" * 100_000, '{"brinecall-shop": 1, "name": 5}']
UNUSABLE += [json.dumps({"brinecall-shop": 1, "picture": picture}) for picture in ("x", "PHN2Zy8+", "====")]
UNUSABLE += [json.dumps({"brinecall-shop": 1, "name": "x" * 81})]


@pytest.mark.parametrize("content", UNUSABLE, ids=range(len(UNUSABLE)))
def test_a_file_that_cannot_be_used_is_named_in_one_line_and_changes_nothing(
    content: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tell()
    before = shop_in_use()
    copy = tmp_path / "copy.json"
    copy.write_text(content)
    assert run("shop", "--take", str(copy)) == 2
    assert shop_in_use() == before
    capsys.readouterr()
    shop_file().write_text(content)
    assert shop_in_use() == NO_SHOP
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "brinecall shop" in told


def test_it_is_never_written_over_what_the_program_reads(capsys: pytest.CaptureFixture[str]) -> None:
    tell()
    before = shop_file().read_bytes()
    assert run("shop", "-o", str(shop_file())) == 2
    assert run("ask", "--facts", str(CALL), "--as", "text", "-o", str(shop_file())) == 2
    assert shop_file().read_bytes() == before
    assert capsys.readouterr().err.count("name another file") == 2
