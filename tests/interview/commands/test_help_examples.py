"""Every example of the help runs as it stands, in a small shop: a page's examples one after another, in their order."""

from __future__ import annotations

import shlex
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import click
import pytest

from engine.foundation.texts import said
from engine.session.journal import Event, event_line
from interview.storage.unfiled import mark
from tests.interview.people import ROOT, run
from tests.overlay import GOOD
from tests.reports.jobs import answers, opened

JOB = "2026-05-04-0930"
POOL = "4993d704-9403-54ff-871b-ac5c4737f189"
PAGES = [name for name in said("help.examples") if name != "completion"]
TERMINAL_ONLY = {"compute", "close", "forget garcia shore", "sheet last --copy"}
"""Examples that ask, or that need a terminal's clipboard: without a terminal they say so in a line."""
BELOW = {"try", "check"}
"""Commands that end with 1 where something was found or is below what was demanded."""
RUNS_CALLS = {"try", "learn"}
"""Commands that take the shop's folder of faults, as shipped but for most of its worked calls."""
ANSWERS = {"elicit": "\n" * 30 + "sure\nno\n"}
"""What is typed where an example asks; all others are left at their first question."""


def examples(page: str) -> Iterator[list[str]]:
    """The words of each example, without the remark behind it and the file that a shell writes."""
    for line in said("help.examples")[page].splitlines():
        typed = line.strip().replace("{{", "{").replace("}}", "}")
        if typed.startswith("brinecall"):
            yield shlex.split(typed.partition("   ")[0].partition(" > ")[0])[1:]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop: knowledge, calls, a job with its people, a viewer and a print queue that take everything."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copytree(ROOT / "faults", folder / "faults", ignore=shutil.ignore_patterns("*.py", "*.pyc", "__pycache__"))
    calls = (folder / "faults" / "calls" / "visible.yaml").read_text(encoding="utf-8").split("\n---\n")[1:]
    # A handful of calls tells whether an example works; all of them are tried elsewhere.
    for file in (folder / "faults" / "calls").glob("*.yaml"):
        file.write_text("\n---\n".join(file.read_text(encoding="utf-8").split("\n---\n")[:6]), encoding="utf-8")
    named = next(line for line in calls[0].splitlines() if line.startswith("call:"))
    again = calls[0].replace(named, "call: white again")
    (folder / "calls.yaml").write_text("\n---\n".join([again, *calls[1:3]]), encoding="utf-8")
    (folder / "more.yaml").write_text("\n---\n".join(calls[3:5]), encoding="utf-8")
    (folder / "sign.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg>', encoding="utf-8"
    )
    programs = folder / "programs"
    programs.mkdir()
    for name in ("xdg-open", "lp"):
        (programs / name).write_text("#!/bin/sh\ncat > /dev/null\n", encoding="utf-8")
        (programs / name).chmod(0o755)
    jobs = folder / "jobs"
    jobs.mkdir()
    record = {"pool": POOL, "person": POOL, "customer": "Ann Garcia", "site": "12 Shore Road", "telephone": "555 0134"}
    # The same pool was read three times, the last time on the day of the examples.
    for job, salt in (("2026-03-02-0930", 3100.0), ("2026-04-06-0930", 2800.0), (JOB, 2400.0)):
        events = [*opened("counter", "low-salt"), *answers(tested_salt=salt, pool_volume=50.0)]
        events += [Event("recorded", "", about=about, value=value) for about, value in record.items()]
        at = f"{job[:10]}T09:30:00Z"
        (jobs / f"{job}.jsonl").write_bytes(b"".join(event_line(replace(event, at=at)) for event in events))
        mark(jobs, job)
    return folder


def git(folder: Path, *words: str) -> None:
    """Run git in a folder, as nobody in particular."""
    who = ["-c", "user.name=x", "-c", "user.email=x@example.org"]
    subprocess.run(["git", "-C", str(folder), *who, *words], check=True, capture_output=True)


def prepared(built: Path, page: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the shop as the examples of a page want it."""
    shop = folder / "shop"
    shutil.copytree(built, shop)
    if page == "shop":
        assert run(shop / "jobs", "shop", "--name", "Other Counter", "-o", str(shop / "counter-2.json")).returncode == 0
    if not page.startswith("knowledge"):
        # What changes an entry wants it in the folder itself.
        shutil.copytree(shop / "faults", shop / "my-faults")
    if page == "try":
        git(shop, "init", "-q")
        git(shop, "add", "my-faults")
        git(shop, "commit", "-qm", "as it was")
    if page in ("knowledge-use", "knowledge-diff", "knowledge-update", "knowledge-bundle"):
        assert ran(shop, ["knowledge", "edit", str(shop / "my-faults")]).returncode == 0
    if page in ("knowledge-take", "knowledge-back"):
        assert ran(shop, ["knowledge", "bundle", str(shop / "spring.brine"), str(GOOD)]).returncode == 0
    if page == "knowledge-back":
        assert ran(shop, ["knowledge", "take", str(shop / "spring.brine")]).returncode == 0
    if page == "learn":
        assert ran(shop, ["close", JOB, "salt_low", "--helped", "add_salt"]).returncode == 0
    if page == "rename":
        monkeypatch.chdir(shop)
        for words in examples("new"):
            assert ran(shop, words).returncode == 0
    return shop


def ran(shop: Path, words: list[str]) -> subprocess.CompletedProcess[str]:
    """One example, in the folder of the shop."""
    command = next((word for word in words if word in ANSWERS), "")
    more = {
        "BRINECALL_STORE": str(shop / "store.sqlite"),
        "PATH": f"{shop / 'programs'}:/usr/bin:/bin",
        "DISPLAY": ":7",
    }
    if RUNS_CALLS & set(words):
        more["BRINECALL_FAULTS"] = str(shop / "faults")
    return run(shop / "jobs", *words, typed=ANSWERS.get(command, "leave\n" * 3), **more)


@pytest.mark.e2e
@pytest.mark.no_cover  # whole commands through branches that their own tests take too
@pytest.mark.parametrize("page", PAGES)
def test_every_example_of_a_page_runs(page: str, built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = prepared(built, page, tmp_path, monkeypatch)
    monkeypatch.chdir(shop)
    # The viewer is started and not waited for; a test may leave no process behind.
    monkeypatch.setattr(click, "launch", lambda *_, **__: 0)
    failed = {}
    for words in examples(page):
        if "--watch" in words:
            continue
        done = ran(shop, words)
        allowed = {0, 1} if BELOW & set(words) else {0}
        if shlex.join(words) in TERMINAL_ONLY:
            allowed = {2}
            assert len(done.stderr.splitlines()) == 1
        if done.returncode not in allowed or "Traceback" in done.stderr:
            failed[shlex.join(words)] = (done.returncode, done.stderr[-400:])
    assert failed == {}
