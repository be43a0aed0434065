"""The cautions of every paper of every worked call against rules of the trade: what is missing, what does not belong.

`python -m tests.benchmarks.papers` takes all worked calls x readers x languages x outcomes, some minutes;
`--every N` takes each N-th call. Printed: how many papers, boxes missing and out of place, means, and each kind of
finding with one paper that shows it. Leaves with status 1 where there is any.
"""

from __future__ import annotations

import argparse
import dataclasses
import statistics
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib.resources import files
from typing import get_args

from engine.evaluation.calls import WorkedCall, read_calls
from engine.evaluation.simulate import AT, run_call
from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from reports.document import Audience, Document
from reports.page_fit import TWO_CLOSE, front, lines_taken
from reports.renderers.text import text_form
from reports.sheets.choose import view_for
from reports.sheets.customer import customer_handout
from reports.sheets.shop import shop_sheet
from reports.sheets.technician import technician_sheet
from reports.view.model import JobView
from tests.paper_rules import asked_of, boxes_of, left_out_of_danger, words_against_danger, words_out_of_place
from tests.paper_sense import words_without_sense, works_without_an_end
from tests.paper_words import words_against_the_job

DATE = "2026-05-04"
FILES = sorted(each.name for each in (files("faults") / "calls").iterdir() if each.name.endswith(".yaml"))
MOST = {"customer": 2.5, "shop": 2.0, "technician": 4.0}
"""The mean number of boxes that a reader still reads: judgement."""


SCREEN = 24
"""Lines of the shop's sheet at 80 columns: one screen."""

PAPERS: Mapping[Audience, Callable[[JobView], Document]] = {
    "customer": customer_handout,
    "shop": shop_sheet,
    "technician": technician_sheet,
}
CLEARED_BY = {"electric": "electrician", "gas": "technician"}
DANGERS_A_CALL = 2


@dataclasses.dataclass
class Count:
    """What was found on the papers looked at."""

    papers: int = 0
    too_long: list[str] = dataclasses.field(default_factory=list)
    boxes: dict[str, list[int]] = dataclasses.field(default_factory=lambda: defaultdict(list))
    missing: Counter[tuple[str, str, str]] = dataclasses.field(default_factory=Counter)
    strange: Counter[tuple[str, str, str]] = dataclasses.field(default_factory=Counter)
    example: dict[tuple[str, str, str], str] = dataclasses.field(default_factory=dict)

    def take(self, name: str, reader: Audience, view: JobView, session: Session) -> None:
        """Judge one paper."""
        shown, said = boxes_of(view, reader)
        self.papers += 1
        if not session.job.standing:
            # A paper of danger holds that danger's boxes alone, and would make the means look better.
            self.boxes[reader].append(len(shown))
        page = PAPERS[reader](view)
        text = text_form((page,))
        if reader == "shop" and len(text.splitlines()) > SCREEN:
            self.too_long.append(f"{name}: screen")
        if reader == "technician" and lines_taken(front(page)) > TWO_CLOSE:
            self.too_long.append(name)
        asked = asked_of(view, session, reader)
        work = view.actions[0].repair if view.actions else view.decision.decision or "none"
        found = [(self.missing, each) for each in asked.missing(shown, said)]
        found += [(self.strange, each) for each in asked.strange(shown, said)]
        found += [(self.strange, text[:60]) for text in words_out_of_place(view, reader)]
        found += [(self.missing, what) for what in left_out_of_danger(view, session)]
        found += [(self.strange, text[:60]) for text in words_against_danger(view, session)]
        found += [(self.strange, what[:60]) for what in words_without_sense(view, session, reader, text)]
        if reader == "technician":
            found += [(self.strange, what[:60]) for what in works_without_an_end(page.blocks, view)]
        if reader == "customer":
            found += [(self.strange, text[:60]) for text in words_against_the_job(view, session, page)]
        for count, what in found:
            key = (reader, what, work)
            count[key] += 1
            self.example.setdefault(key, name)

    def means(self) -> dict[str, float]:
        """Mean boxes by reader, on papers without danger."""
        return {reader: statistics.fmean(counts) for reader, counts in self.boxes.items()}


def calls(every: int) -> list[WorkedCall]:
    """Each so-manieth of the shipped worked calls."""
    knowledge = load_knowledge(files("faults"))
    found = [
        call for name in FILES for call in read_calls(name, (files("faults") / "calls" / name).read_bytes(), knowledge)
    ]
    return found[::every]


def each_danger(models: Models) -> list[tuple[str, str]]:
    """The dangers, each with the answer that reports it."""
    reporting = [answer for answer in models.knowledge.checks[DANGER_CHECK].answers if answer.reports]
    return [(str(answer.reports), answer.id) for answer in reporting]


def outcomes(
    models: Models, call: WorkedCall, dangers: Sequence[tuple[str, str]] = ()
) -> Iterator[tuple[str, Session]]:
    """The call as it was decided, and what may have come of it since; only what this job can come to.

    Each of `dangers` was there from the first, was found safe since, or is told of once all is decided.
    """
    facts = {"danger_now": "none", **call.facts}
    decided = run_call(models, dataclasses.replace(call, facts=facts)).session
    yield "decided", decided
    act = decided.conclude()
    if act.repair is not None:
        done = Event("repaired", AT, about=act.repair, value="done")
        for result in ("helped", "not_helped"):
            yield result, _after(decided, done, Event("verified", AT, about=act.repair, value=result))
        yield "could not", _after(decided, Event("repaired", AT, about=act.repair, value="could_not", reason="x"))
        yield "put off", _after(decided, Event("deferred", AT, about=act.repair, text="saturday"))
    yield "handed on", _after(decided, Event("handed_on", AT, value="send_technician"))
    for danger, answer in dangers:
        told = run_call(models, dataclasses.replace(call, facts={**facts, DANGER_CHECK: answer})).session
        yield danger, told
        safe = Event(
            "danger_cleared", AT, about=danger, value=CLEARED_BY[models.knowledge.dangers[danger].kind], text="x"
        )
        yield f"{danger}, found safe", _after(told, Event("made_safe", AT, about=DANGER_CHECK, value=danger), safe)
        yield f"{danger} beside", _after(decided, Event("danger_reported", AT, about=danger))


def _after(session: Session, *events: Event) -> Session:
    return Session(session.models, [*session.events, *events])


def count(languages: Sequence[str] = ("en", "es"), every: int = 1) -> Count:
    """Judge the papers of the worked calls in these languages."""
    found, chosen = Count(), calls(every)
    for language in languages:
        use_language(language)
        models = Models(load_knowledge(files("faults"), language))
        known = each_danger(models)
        for number, call in enumerate(chosen):
            # Two dangers a call: in three calls each of them is met.
            some = [known[(number * DANGERS_A_CALL + more) % len(known)] for more in range(DANGERS_A_CALL)]
            for outcome, session in outcomes(models, call, some):
                for reader in get_args(Audience):
                    view = view_for(session, DATE, reader)
                    found.take(f"{language}: {call.name}, {outcome}", reader, view, session)
    use_language("en")
    return found


def main() -> int:
    """Judge and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--languages", default="en,es")
    asked = parser.parse_args()
    found = count(asked.languages.split(","), asked.every)
    sys.stdout.write(f"papers {found.papers}\n")
    for title, kinds in (("missing", found.missing), ("not belonging", found.strange)):
        sys.stdout.write(f"{title} {kinds.total()}\n")
        for key, times in kinds.most_common():
            sys.stdout.write(f"  {times:5} {' | '.join(key)} ({found.example[key]})\n")
    sys.stdout.write(f"longer than a screen, or than two pages: {len(found.too_long)} {found.too_long[:5]}\n")
    means = found.means()
    for reader, mean in means.items():
        sys.stdout.write(f"mean boxes {reader}: {mean:.2f} (at most {MOST[reader]})\n")
    wrong = found.missing.total() + found.strange.total() + len(found.too_long)
    wrong += sum(mean > MOST[reader] for reader, mean in means.items())
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
