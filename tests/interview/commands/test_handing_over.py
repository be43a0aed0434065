"""How a sheet leaves the program: opened, printed, mailed, as an entry, a label, by the clipboard."""

from __future__ import annotations

import base64
import calendar
import datetime
import email
import email.policy
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from engine.session.journal import Event, event_line
from interview.command_line.desktop import print_queue, send_to_print
from interview.command_line.output import SheetError
from interview.commands.app import command_line
from interview.frontends.clipboard import clipboard_sequence
from reports.letterhead import Letterhead
from reports.renderers.appointment import appointment_form
from reports.renderers.label import Label, LabelSize, label_form
from reports.sheets.choose import view_for
from tests.benchmarks.hostile_texts import HOSTILE
from tests.reports.jobs import DATE, answers, job, opened

EVENTS = [*opened("counter", "low-salt"), *answers(tested_salt=2400.0, pool_volume=50.0)]
MADE = datetime.datetime(2026, 5, 4, 9, 30, tzinfo=datetime.UTC)
HARD = [text for text in HOSTILE if len(text) < 1000]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A jobs folder with one job."""
    lines = [event_line(event) for event in EVENTS]
    (tmp_path / "2026-05-04-0900.jsonl").write_bytes(b"".join(lines))
    return tmp_path


def run(folder: Path, *words: str) -> int:
    return command_line(["--jobs", str(folder), *words])


def test_a_mail_is_a_draft_with_the_papers_text_and_its_pdf(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "sheet", "--for", "customer", "--columns", "72") == 0
    text = capsys.readouterr().out
    assert run(folder, "sheet", "--mail", str(folder / "job.eml")) == 0
    raw = (folder / "job.eml").read_bytes()
    message = email.message_from_bytes(raw, policy=email.policy.default)
    assert not message.defects
    assert max(map(len, raw.split(b"\r\n"))) <= 998  # RFC 5322, 2.1.1
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert [message[name] for name in ("From", "To", "Date", "X-Unsent")] == [None, None, None, "1"]
    body = message.get_body(("plain",))
    assert body is not None
    assert body.get_content().split() == text.split()
    (paper,) = message.iter_attachments()
    assert (paper.get_content_type(), paper.get_content()[:5]) == ("application/pdf", b"%PDF-")
    assert "nothing has been sent" in capsys.readouterr().out


@pytest.mark.parametrize("way", [["-o", "{}/page.html"], ["--calendar", "{}/day.ics"], ["--mail", "{}/page.eml"]])
def test_what_leaves_for_a_customer_without_a_shop_s_name_says_so(
    folder: Path, way: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    way = [part.format(folder) for part in way]
    for told in (False, True):
        if told:
            assert command_line(["shop", "--name", "Blue Door Pools"]) == 0
        capsys.readouterr()
        assert run(folder, "sheet", *way) == 0
        assert ("brinecall shop --name" in capsys.readouterr().err) is not told


def test_what_no_customer_reads_needs_no_shop_s_name(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "sheet", "--for", "technician", "-o", str(folder / "own.html")) == 0
    assert capsys.readouterr().err == ""


def unfolded(raw: bytes) -> list[str]:
    """The content lines of a calendar. Source: RFC 5545, 3.1: ended by CRLF, folded before 75 octets by CRLF, space."""
    assert raw.endswith(b"\r\n")
    assert max(map(len, raw.split(b"\r\n"))) <= 75
    assert not re.findall(rb"(?<!\r)\n|\r(?!\n)", raw)
    return raw.decode("utf-8").replace("\r\n ", "").rstrip("\r\n").split("\r\n")


@pytest.mark.parametrize("name", [*HARD, "Ñandú; pools, \\ & co: 水泳" * 5], ids=range(len(HARD) + 1))
def test_a_calendar_entry_keeps_to_the_standards_text_rules_whatever_is_in_it(name: str) -> None:
    view = view_for(job(*EVENTS), DATE, "customer")
    raw = appointment_form(view, Letterhead(name, address=name), MADE)
    assert raw is not None
    lines = unfolded(raw)
    assert (lines[0], lines[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR")
    held = dict(line.split(":", 1) for line in lines)
    assert {"PRODID", "VERSION", "UID", "DTSTAMP", "DTSTART;VALUE=DATE"} <= held.keys()  # RFC 5545, 3.6, 3.6.1
    for about in ("SUMMARY", "DESCRIPTION"):
        # RFC 5545, 3.3.11: of commas, semicolons and backslashes each has a backslash before it.
        assert re.fullmatch(r"(?:[^\\;,\x00-\x08\x0a-\x1f\x7f]|\\[\\;,nN])*", held[about])
    assert held["DTSTAMP"] == "20260504T093000Z"
    (entry,) = Calendar.from_ical(raw).walk("VEVENT")
    assert not entry.errors
    assert entry.decoded("dtstart") == datetime.date(2026, 5, int(held["DTSTART;VALUE=DATE"][-2:]))
    kept = "".join(sign for sign in name if sign.isprintable())
    assert "".join(kept.split()) in "".join(str(entry["description"]).split())


def test_the_entry_stands_on_a_day_that_the_customers_page_tells(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "sheet", "--for", "customer") == 0
    printed = capsys.readouterr().out
    assert run(folder, "sheet", "--calendar", str(folder / "back.ics")) == 0
    (day,) = re.findall(r"DTSTART;VALUE=DATE:(\d{4})(\d\d)(\d\d)", (folder / "back.ics").read_text())
    # The page says it in words, the file in figures (RFC 5545, 3.3.4).
    assert f"{int(day[2])} {calendar.month_name[int(day[1])]}" in " ".join(printed.split("===", 1)[1].split())


def test_an_entry_is_the_same_one_again_for_the_same_job() -> None:
    view = view_for(job(*EVENTS), DATE, "customer")
    later = MADE + datetime.timedelta(days=1)
    first, again = (appointment_form(view, Letterhead(), made) for made in (MADE, later))
    assert first is not None
    assert again is not None
    uids = [line for raw in (first, again) for line in unfolded(raw) if line.startswith("UID:")]
    assert uids[0] == uids[1]


@given(st.lists(st.text() | st.sampled_from(HOSTILE), max_size=8))
def test_what_goes_to_the_clipboard_can_steer_no_terminal(lines: list[str]) -> None:
    """Source: ECMA-48, 8.3.89: OSC, its text, ST; between them stand signs of base64 alone, and so do no controls."""
    found = re.fullmatch(r"\x1b\]52;c;([A-Za-z0-9+/]*={0,2})\x1b\\", clipboard_sequence(lines))
    assert found is not None
    text = base64.b64decode(found[1], validate=True).decode("utf-8")
    assert not [sign for sign in text if not sign.isprintable() and sign not in "\n\u200c\u200d"]


def test_only_a_terminal_gets_the_clipboards_sequence(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "sheet", "--copy") == 2
    assert "\x1b" not in capsys.readouterr().out
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert run(folder, "sheet", "--copy") == 0
    (sent,) = re.findall(r"\x1b\]52;c;(.*?)\x1b\\", capsys.readouterr().out)
    assert "job-7" in base64.b64decode(sent).decode()


def test_opening_writes_a_page_beside_the_job_and_shows_that(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[str] = []

    def launched(path: str) -> int:
        shown.append(path)
        return 0

    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(shutil, "which", lambda name: f"/bin/{name}")
    monkeypatch.setattr(click, "launch", launched)
    monkeypatch.setenv("DISPLAY", ":0")
    assert run(folder, "sheet", "--open") == 0
    assert [Path(path).name for path in shown] == ["2026-05-04-0900.html"]
    assert Path(shown[0]).read_text().startswith("<!doctype html>")
    if os.name != "nt":
        assert Path(shown[0]).stat().st_mode & 0o077 == 0
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert run(folder, "sheet", "--open") == 2
    assert "-o sheet.html" in capsys.readouterr().err
    assert len(shown) == 1


def test_a_machine_without_a_queue_says_so_and_what_to_do(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    for command in ("sheet", "label"):
        assert run(folder, command, "--print") == 2
        told = capsys.readouterr().err
        assert told.count("\n") == 1
        assert "-o sheet.pdf" in told


def test_the_queue_is_what_the_machine_has(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}" if name == "lpr" else None)
    assert print_queue() == ("/usr/bin/lpr",)


@pytest.mark.e2e
def test_the_queue_gets_the_paper_as_it_is_and_its_refusal_is_told(tmp_path: Path) -> None:
    keeps = "import sys; open(sys.argv[1], 'wb').write(sys.stdin.buffer.read())"
    send_to_print(b"%PDF-1.7 \xff", (sys.executable, "-c", keeps, str(tmp_path / "got")))
    assert (tmp_path / "got").read_bytes() == b"%PDF-1.7 \xff"
    refuses = "import sys; sys.exit('no \\033[2Jdefault destination')"
    with pytest.raises(SheetError, match=r"no \[2Jdefault destination"):
        send_to_print(b"", (sys.executable, "-c", refuses))


REFUSED = {
    "ending of a mail": ("sheet", "--mail", "job.txt"),
    "ending of an entry": ("sheet", "--calendar", "job.html"),
    "ending of a label": ("label", "-o", "job.png"),
    "a name too long for a label": ("label", "--name", "x" * 10_000, "-o", "label.pdf"),
    "what no queue takes": ("sheet", "--print", "--as", "html"),
    "no folder": ("sheet", "--mail", "not/there/job.eml"),
}


@pytest.mark.parametrize("words", REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_is_refused_in_one_line_before_anything_is_written(
    words: tuple[str, ...], folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    before = sorted(folder.rglob("*"))
    assert run(folder, *words) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert sorted(folder.rglob("*")) == before


WIDTHS: dict[LabelSize, tuple[float, float | None]] = {"62mm": (62, None), "a4": (210, 297), "letter": (215.9, 279.4)}
"""In millimetres; the roll's label is as long as it needs. Source: ISO 216, ANSI Y14.1."""


@pytest.mark.e2e
@pytest.mark.parametrize("size", WIDTHS)
def test_a_label_has_its_size_and_all_that_it_says_on_one_page(size: LabelSize) -> None:
    name = "Long-Barreled " * 6 + '<b>#read("x")$'
    label = Label(name, None, "2026-05-04-0900", DATE, Letterhead("Blue Door Pools", "555 0100"))
    made = label_form(label, size)
    told = subprocess.run(["pdfinfo", "-"], input=made, capture_output=True, check=True, timeout=60).stdout.decode()
    found = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told)
    assert found is not None
    assert re.search(r"Pages:\s+1\n", told)
    wide, high = (float(points) * 25.4 / 72 for points in found.groups())
    assert wide == pytest.approx(WIDTHS[size][0], abs=0.5)
    assert high == pytest.approx(WIDTHS[size][1] or high, abs=0.5)
    text = subprocess.run(["pdftotext", "-raw", "-", "-"], input=made, capture_output=True, check=True, timeout=60)
    squeezed = "".join(text.stdout.decode().split())
    for said in (name, "2026-05-04-0900", DATE, "Blue Door Pools", "555 0100", "Cell", "Power pack"):
        assert "".join(said.split()) in squeezed


def test_a_label_knows_what_was_brought(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Label] = []

    def set_down(label: Label, _: LabelSize) -> bytes:
        made.append(label)
        return b""

    monkeypatch.setattr("interview.commands.label.label_form", set_down)
    assert run(folder, "label", "-o", str(folder / "l.pdf")) == 0
    events = [*EVENTS[:5], Event("answered", EVENTS[0].at, about="brought", value="cell")]
    (folder / "2026-05-04-0900.jsonl").write_bytes(b"".join(map(event_line, events)))
    assert run(folder, "label", "--name", "Ann Example", "-o", str(folder / "l.pdf")) == 0
    assert run(folder, "label", "--thing", "pack", "-o", str(folder / "l.pdf")) == 0
    assert [(label.name, label.thing) for label in made] == [("", None), ("Ann Example", "cell"), ("", "pack")]
