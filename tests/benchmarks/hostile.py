"""Hostile input: `python tests/benchmarks/hostile.py [--files N] [--small N] [--lines N] [--journals N] [--texts N]`.

Mutated knowledge files to `check`; hostile lines to the dialogue; journals cut at every byte, changed at random and
mixed up, to `resume` and `sheet`; hostile text in every free field, to every form. Each kind prints how many were tried
and how many failed: by a traceback, by taking more than five seconds, by what could steer a terminal, or by losing an
answer that stood in the file untouched. The first failures of each kind are told.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import random
import shutil
import sys
import tempfile
import time
import traceback
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import get_args

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from engine.evaluation.simulate import run_call  # noqa: E402
from engine.foundation.plain_text import cleaned  # noqa: E402
from engine.foundation.problems import KnowledgeError  # noqa: E402
from engine.knowledge.files import contents_of  # noqa: E402
from engine.knowledge.loader import knowledge_from  # noqa: E402
from engine.session.journal import Event, JournalError, event_line, read_journal  # noqa: E402
from engine.session.session import Session  # noqa: E402
from interview.command_line.job_sheet import JobSheet  # noqa: E402
from interview.command_line.output import Form, RenderOptions  # noqa: E402
from interview.dialogue.manager import DialogueManager  # noqa: E402
from interview.frontends.layout import Line  # noqa: E402
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer  # noqa: E402
from interview.storage.jobs import read_job, taken_up  # noqa: E402
from reports.document import Audience  # noqa: E402
from tests.benchmarks.hostile_texts import HOSTILE, WORDS  # noqa: E402
from tests.interview.people import Memory, clock, opened  # noqa: E402
from tests.reports.renderers.reading import in_pdf, in_text, squeezed  # noqa: E402
from tests.shipped import models, visible_calls  # noqa: E402

LIMIT_S, INTERVIEW_S = 5.0, 20.0
"""Processor time beyond which one try, or a whole interview of thirty lines, counts as hung."""
PDF_READER = shutil.which("pdftotext")
TOLD = 5
AUDIENCES: tuple[Audience, ...] = ("technician", "customer", "shop")
SMALL = ROOT / "tests" / "examples" / "good"
FORMS: tuple[Form, ...] = get_args(Form)


class Count:
    """What was tried of one kind, and what failed."""

    def __init__(self, name: str) -> None:
        """Args: what the kind is called."""
        self.name, self.tried, self.wrong = name, 0, list[str]()

    @contextlib.contextmanager
    def one(self, what: object, limit_s: float = LIMIT_S) -> Iterator[list[str]]:
        """Try one; what is put into the list is a failure too."""
        began, wrong = time.process_time(), list[str]()
        self.tried += 1
        try:
            yield wrong
        except Exception:
            wrong.append(traceback.format_exc(limit=-7))
        if (took := time.process_time() - began) > limit_s:
            wrong.append(f"took {took:.1f} s")
        self.wrong += [f"{str(what)[:300]!r}: {each}" for each in wrong]

    def told(self) -> int:
        """Print the count and the first failures; how many there were."""
        sys.stdout.write(f"{self.name}: {self.tried} tried, {len(self.wrong)} failed\n")
        sys.stdout.writelines(f"    {each}\n" for each in self.wrong[:TOLD])
        sys.stdout.flush()
        return len(self.wrong)


def steers(text: str) -> bool:
    """Whether a text holds what steers a terminal or turns its lines round."""
    turns = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    kept = (char for char in text if char not in "\n\t\r")
    return any(unicodedata.category(char) == "Cc" or unicodedata.bidirectional(char) in turns for char in kept)


def mutated(chance: random.Random, text: str) -> str:
    """A text with one to three changes: a part lost, doubled, moved or replaced by something hostile."""
    for _ in range(chance.randint(1, 3)):
        lines = text.split("\n")
        at, to = chance.randrange(len(lines)), chance.randrange(len(lines))
        match chance.randrange(7):
            case 0:
                del lines[at]
            case 1:
                lines.insert(to, lines[at])
            case 2:
                lines[at], lines[to] = lines[to], lines[at]
            case 3:
                lines[at] = f"{lines[at].partition(':')[0]}: {chance.choice(HOSTILE[:12] + HOSTILE[15:])}"
            case 4:
                quoted = "".join(f"\\u{ord(char) & 0xFFFF:04x}" for char in chance.choice(HOSTILE[:5]))
                lines[at] = f'{lines[at].partition(":")[0]}: "{quoted}"'
            case 5:
                lines[at] = " " * chance.randint(0, 9) + lines[at].strip()
            case _:
                place = chance.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:place] + chance.choice("{}[]:,&*#|>-'\"%@`\x00\x1b\t é") + lines[at][place:]
        text = "\n".join(lines)
    return text


def knowledge_files(chance: random.Random, most: int, *, small: bool = False) -> Count:
    """The shipped folder, or a small one, with one file changed: it loads, or says in clean lines where it is wrong."""
    count = Count(f"knowledge files, {'a small folder' if small else 'the shipped folder'}")
    contents, _ = contents_of(SMALL if small else files("faults"))
    for _ in range(most):
        name = chance.choice(sorted(contents))
        text = mutated(chance, contents[name].decode())
        with count.one(f"{name}: changed") as wrong:
            try:
                knowledge_from("faults", {**contents, name: text.encode("utf-8", errors="surrogatepass")})
            except KnowledgeError as error:
                told = "\n".join(map(str, error.problems[:500]))
                if steers(told) or any(len(line) > 2000 for line in told.split("\n")):
                    wrong.append(f"a message steers or is too long: {told[:200]!r}")
                if not all(problem.line > 0 for problem in error.problems):
                    wrong.append("no place")
    return count


class Typist:
    """A screen and a keyboard on which hostile lines are typed, so many at most."""

    width, height = 80, None

    def __init__(self, lines: list[str]) -> None:
        """Args: what is typed."""
        self.lines, self.shown = lines, io.StringIO()

    def write(self, lines: Sequence[Line]) -> None:
        """Remember what is shown."""
        self.shown.writelines(f"{line.text}\n" for line in lines)

    by_key = False

    def page(self, lines: Sequence[Line]) -> None:
        """Remember what is shown at length."""
        self.write(lines)

    def forget_keys(self) -> None:
        """Nothing: these lines were given beforehand."""

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = NOTHING_OFFERED, /) -> str:
        """The next line; Ctrl-D at the end of them."""
        del prompt, offer
        shown()
        if not self.lines:
            raise EOFError
        return self.lines.pop(0)


def dialogue(chance: random.Random, most: int) -> Count:
    """Interviews in which every second line is hostile."""
    count = Count("lines in the dialogue")
    while count.tried < most:
        said = [chance.choice(HOSTILE if chance.random() < 0.5 else WORDS) for _ in range(30)]
        session = opened(Session(models()), ("role", chance.choice(["field", "phone", "counter"])))
        typist = Typist([f"{chance.choice(['', '', 'note ', 'later ', 'cant '])}{line}" for line in said])
        with count.one(said, INTERVIEW_S) as wrong:
            DialogueManager(
                session, LineFrontEnd(typist), Memory(), clock, lambda now: JobSheet(now, date(2026, 5, 4))
            ).run()
            if steers(typist.shown.getvalue()):
                wrong.append("what was typed steers the terminal")
        count.tried += len(said) - 1
    return count


def journals(chance: random.Random, most: int) -> Iterator[Count]:
    """Journals of worked calls: cut at every byte, changed at random, mixed up."""
    runs = [run_call(models(), call).session.events for call in visible_calls()[:6]]
    kinds = {"journals cut": cut, "journals changed": changed, "journals mixed up": mixed}
    for name, spoil in kinds.items():
        count = Count(name)
        for number in range(most):
            lines = [event_line(event) for event in chance.choice(runs)]
            with tempfile.TemporaryDirectory() as made, count.one(name) as wrong:
                look(Path(made), spoil(chance, lines, number, runs), lines, wrong, whole=chance.random() < 0.1)
        yield count


def cut(_: random.Random, lines: list[bytes], number: int, __: list[list[Event]]) -> bytes:
    """Cut after so many bytes."""
    whole = b"".join(lines)
    return whole[: number % (len(whole) + 1)]


def changed(chance: random.Random, lines: list[bytes], _: int, __: list[list[Event]]) -> bytes:
    """Some bytes are others, or values are exchanged for others that are well formed."""
    whole = bytearray(b"".join(lines))
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(whole))
        match chance.randrange(3):
            case 0:
                whole[at] = chance.randrange(256)
            case 1:
                del whole[at : at + chance.randint(1, 30)]
            case _:
                word = chance.choice(
                    [b'"moon"', b"1e999", b"-7", b"NaN", b'"\\u001b]52;c;eA==\\u0007"', b"[]", b"null"]
                )
                end = whole.find(b",", at)
                start = whole.find(b": ", at)
                if 0 <= start < end:
                    whole[start + 2 : end] = word
    return bytes(whole)


def mixed(chance: random.Random, lines: list[bytes], _: int, runs: list[list[Event]]) -> bytes:
    """Lines of two jobs in any order, some twice, with ends and outcomes between them."""
    known = models().knowledge
    others = [event_line(event) for event in chance.choice(runs)]
    repairs, checks = list(known.repairs), list(known.checks)
    at = "2026-05-04T09:30:00Z"
    more = [
        Event("taken_back", at),
        Event("closed", at, value="wait"),
        Event("switched_on", at, about=chance.choice(checks)),
        Event("made_safe", at, about=chance.choice([*repairs, "danger_now"])),
        Event("deferred", at, about=chance.choice(repairs)),
        Event("repaired", at, about=chance.choice(repairs), value="done"),
        Event("lifted", at, about=chance.choice(checks)),
        Event("verified", at, about=chance.choice(repairs), value=chance.choice(["helped", "not_helped", "later"])),
        Event("already_tried", at, about=chance.choice(repairs)),
        Event("cant", at, about=chance.choice(checks), reason="x"),
        Event("danger_reported", at, about=chance.choice(list(known.dangers))),
        Event("handed_on", at, value="send_technician"),
    ]
    pool = [*lines, *others, *(event_line(event) for event in more)]
    head = lines[: chance.randint(0, 6)]
    return b"".join([*head, *chance.choices(pool, k=chance.randint(1, 20))])


def look(folder: Path, content: bytes, lines: list[bytes], wrong: list[str], whole: bool) -> None:
    """Take a spoilt job up as the program does; its untouched lines must all be there.

    Args: `whole`, whether every sheet is made too.
    """
    path = folder / "2026-05-04-0930.jsonl"
    path.write_bytes(content)
    there = set(content.split(b"\n"))
    untouched = [line for line in lines if line.rstrip(b"\n") in there]
    try:
        kept = read_job(folder, path.stem)
    except JournalError as error:
        if untouched or steers(str(error)):
            wrong.append(f"refused: {error}")
        return
    read = [event_line(event) for event in read_journal(path).events]
    lost = [line for line in untouched if line not in read]
    if lost:
        wrong.append(f"lost: {lost[:2]}")
    session = taken_up(models(), kept)
    typist = Typist(["list", "back", "finish", "leave"])
    DialogueManager(session, LineFrontEnd(typist), Memory(), clock, lambda now: JobSheet(now, date(2026, 5, 4))).run()
    if steers(typist.shown.getvalue()):
        wrong.append("what is shown steers the terminal")
    for audience in AUDIENCES if whole else ():
        JobSheet(taken_up(models(), kept), date(2026, 5, 4), wish=RenderOptions(audience=audience)).made()


def texts(most: int, forms: Sequence[Form] = FORMS) -> Count:
    """Hostile text in every free field of a job, to every form; a PDF is read back by another program."""
    count = Count("hostile texts on papers")
    if "pdf" in forms and not PDF_READER:
        forms = [form for form in forms if form != "pdf"]
        sys.stdout.write("pdftotext is not there: no PDF was looked at\n")
    events = run_call(models(), visible_calls()[0]).session.events
    for text in HOSTILE[:most]:
        said = text.encode("utf-8", errors="ignore").decode()
        spoilt = [
            Event(event.kind, event.at, event.about, event.value, text=said, by=said, reason=said)
            if event.kind != "opened"
            else event
            for event in events
        ]
        session = Session(models(), [*spoilt, Event("noted", "2026-05-04T09:30:00Z", text=said)])
        for form in forms:
            for audience in AUDIENCES:
                with count.one((text, form, audience)) as wrong:
                    made = JobSheet(session, date(2026, 5, 4), wish=RenderOptions(audience=audience, form=form)).made()
                    page = in_pdf(made).replace("\f", "\n") if form == "pdf" else made.decode()
                    if steers(page):
                        wrong.append("it steers")
                    if form == "html" and ("<script>alert" in page or "<img src=x" in page):
                        wrong.append("markup of a text is markup of the page")
                    # A technician's paper shows the notes of the job; nothing of one is carried out.
                    if form in ("text", "pdf") and audience == "technician" and not holds(letters(page), letters(said)):
                        wrong.append("it is not there letter by letter")
                    if "root:" in page:
                        wrong.append("a file was read")
    return count


def holds(page: str, said: str) -> bool:
    """Whether a text is on a page; of one over several pages, which its table's head parts, all the letters."""
    return said in page if len(said) < 1000 else not Counter(said) - Counter(page)


def letters(text: str) -> str:
    """A text without spaces and pictures: the fonts of a PDF hold no pictures."""
    whole = unicodedata.normalize("NFC", squeezed(cleaned(in_text(text))))
    return "".join(char for char in whole if unicodedata.category(char) != "So")


def main() -> int:
    """Try all kinds and print their counts."""
    options = argparse.ArgumentParser()
    kinds = {"files": 300, "small": 3000, "lines": 3000, "journals": 300, "texts": len(HOSTILE), "seed": 1}
    for name, usual in kinds.items():
        options.add_argument(f"--{name}", type=int, default=usual)
    wanted = options.parse_args()
    chance = random.Random(wanted.seed)
    failed = knowledge_files(chance, wanted.files).told()
    failed += knowledge_files(chance, wanted.small, small=True).told()
    failed += dialogue(chance, wanted.lines).told()
    failed += sum(count.told() for count in journals(chance, wanted.journals))
    failed += texts(wanted.texts).told()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
