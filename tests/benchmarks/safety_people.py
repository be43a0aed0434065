"""People under the search: what they reply at random, in replies, in typed lines or in JSON lines."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import StringIO
from typing import Protocol

from engine.knowledge.properties import DECISIONS
from interview.frontends.json_lines import PipeFrontEnd
from interview.frontends.layout import Line
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer
from interview.messages import (
    CautionText,
    Control,
    Deferred,
    FrontEnd,
    Given,
    Heard,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    Unable,
    nothing_more,
)
from interview.understanding.replies import is_consent
from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.safety_plant import DANGER_QUESTION
from tests.benchmarks.safety_watch import Watch
from tests.interview.people import PaperSheet

FACTS = ("plates white", "salt test 4100", "no chlorine, pump running", "cell lead burnt, fuse blown", "voltage 7.9",
         "breaker tripped again", "plates bent, salt test 3", "nothing of sense", "la bomba no arranca")  # fmt: skip
WHENS = ("", "tomorrow")
REASONS = ("seized", "no meter")


class Policy(Protocol):
    """How somebody replies."""

    def __call__(self, question: Question) -> Reply:
        """The reply to this question."""
        ...


def dull(question: Question) -> Reply:
    """What brings every interview to its end: nothing is known, everything is done and helps, and it is closed."""
    choices = [choice.id for choice in question.choices]
    if question.about in ("which", "danger"):
        return Given(choices[-1])
    if question.kind == "ask" and question.about == DANGER_QUESTION:
        return Given("none")
    if question.kind == "ask":
        return Control.UNKNOWN
    if question.kind == "clear":
        return Given("not_yet")
    return Given("close" if question.kind == "close" else choices[0])


class Anybody:
    """Replies at random, in every way there is, until `patience` is used up; then dully."""

    def __init__(self, rng: random.Random, patience: int, language: str = "en") -> None:
        self.rng, self.left, self.language = rng, patience, language
        self.danger = rng.choice((0.02, 0.02, 0.15))
        """How often danger is told of; where it is rare, the interview goes on for long."""
        self.aside = rng.choice((0.05, 0.2, 0.5))
        """How often something else than an answer is said."""
        self.striking = rng.random()
        self.said_danger = ""
        self._told: tuple[Reply, str] = (Control.LEAVE, "")

    def __call__(self, question: Question) -> Reply:
        """A reply of any kind that may be given here."""
        self.said_danger, self._told = "", (Control.LEAVE, "")
        if self.left <= 0:
            return dull(question)
        self.left -= 1
        reply = self._aside(question) if self.rng.random() < self.aside else self._answer(question)
        if reply is self._told[0]:
            self.said_danger = self._told[1]
        return reply

    def _aside(self, question: Question) -> Reply:
        options: list[Reply] = [
            Control.BACK,
            Note("gate code 12"),
            Control.FINISH,
            Control.LEAVE,
            *[self._request()] * 5,
        ]
        options += [Control.UNKNOWN] * (2 * bool(question.unknown)) + [Unable(self.rng.choice(REASONS))] * (
            2 * question.may_fail
        )
        options += [Deferred(self.rng.choice(WHENS))] * (2 * question.may_wait)
        return self.rng.choice(options)

    def _request(self) -> Request | Note:
        rng, checks, repairs = self.rng, list(plain.checks()), list(plain.repairs())
        kind = rng.choice(("say", "say", "ask", "ask", "list", "change", "tried", "can", "later", "danger"))
        if kind == "danger" and rng.random() < self.danger * 5:
            said, danger = rng.choice(plain.said_of_danger(self.language))
            told = rng.choice((Request("say", said), Request("say", f"{said}, 4100 ppm"), Note(f"they say: {said}")))
            self._told = (told, danger)
            return told
        texts = {
            "ask": rng.choice((*checks, *checks, "role", "unit", "complaint")),
            "change": rng.choice((str(rng.randint(1, 8)), rng.choice(checks), "complaint", "role", DANGER_QUESTION)),
            "tried": rng.choice(repairs).replace("_", " "),
            "can": rng.choice(("tools", "meter", "kit", rng.choice(checks), rng.choice(repairs))),
            "later": rng.choice(checks),
        }
        if kind == "list":
            return Request("list")
        if kind in texts:
            return Request(kind, texts[kind])  # type: ignore[arg-type]
        return Request("say", rng.choice(FACTS))

    def _answer(self, question: Question) -> Reply:
        rng = self.rng
        if question.measure is not None:
            low, high = question.measure.possible
            near = [max(low, min(high, end)) for end in question.measure.plausible]
            return Given(round(rng.uniform(*rng.choice(([low, high], near))), 2))
        choices = [choice.id for choice in question.choices if not choice.needs_reason]
        if question.kind == "close":
            choices += ["together"] * (3 * ("together" in choices)) + ["found_safe"] * (3 * ("found_safe" in choices))
            # Who only closes sees little of what comes after.
            choices += ["keep"] * ("keep" in choices)
        if question.kind == "ask" and question.about in plain.checks():
            check = plain.checks()[question.about]
            if question.about == DANGER_QUESTION or check.reports:
                told = [name for name in choices if name in check.reports]
                choices = told if rng.random() < self.danger else [name for name in choices if name not in told]
            if check.keeps_off and rng.random() < self.striking / 2:
                choices = sorted(check.keeps_off)
            elif question.about == DANGER_QUESTION and rng.random() < 0.8:
                choices = choices[:1]
        if question.kind in ("confirm", "perform") and rng.random() < 0.7:
            choices = choices[:1]
        return Given(rng.choice(choices))


@dataclass
class Listed:
    """Replies from a list; at its end, what is called gives the next."""

    replies: list[Reply]
    then: Callable[[Question], Reply]

    def __call__(self, question: Question) -> Reply:
        """The next reply."""
        return self.replies.pop(0) if self.replies else self.then(question)


class Watched:
    """A front end that shows everything to the watch first; the reply comes straight, by typing or as JSON."""

    def __init__(self, watch: Watch, policy: Policy, wanted: Callable[[], Sequence[str]]) -> None:
        self.watch, self.policy, self.wanted = watch, policy, wanted

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Hold the laws, then reply."""
        shown()
        self.watch.put(question, question.about in self.wanted())
        reply = self.policy(question)
        self._noted(question, reply)
        return reply

    def _noted(self, question: Question, reply: Reply, consents: bool = True) -> None:
        self.watch.reply(question, reply, consents)
        if isinstance(reply, Note) or (isinstance(reply, Request) and reply.act == "say"):
            self.watch.said_danger = getattr(self.policy, "said_danger", "")

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Nothing is to be done."""

    def heard(self, _: Heard) -> bool:
        """Such a person may be asked back."""
        return True

    def show_sheet(self, sheet: Sheet) -> None:
        """The sheet can be made at any moment."""
        assert sheet.headline()


@dataclass
class AnySheet(PaperSheet):
    """A sheet that says only what is decided; where work goes on, that it is done here."""

    def decision(self) -> str:
        """What the session decides."""
        about = self.session.next().about
        return about if about in DECISIONS else "repair_here"


def as_typed(reply: Reply, question: Question) -> str:
    """A reply as a person types it."""
    match reply:
        case Given(value) if question.measure is not None:
            return f"{value} {question.measure.unit}"
        case Given(value):
            return str(value)
        case Unable(reason):
            return f"can't: {reason}"
        case Deferred(when):
            return f"later {when}".strip()
        case Note(text):
            return f"note {text}"
        case Request("say", text):
            return text
        case Request(act, text):
            return f"{act} {text}".strip()
        case Control():
            return {Control.UNKNOWN: "don't know", Control.BACK: "back", Control.FINISH: "finish"}.get(reply, "leave")


class Typed(Watched):
    """Types its replies on plain lines: what is no answer there is typed once more, as something else."""

    def __init__(self, watch: Watch, policy: Policy, wanted: Callable[[], Sequence[str]]) -> None:
        super().__init__(watch, policy, wanted)
        self.width, self.height = 80, None
        self.question: Question | None = None
        self.consented = False
        self.rng = random.Random(len(watch.noted))
        self.lines: FrontEnd = LineFrontEnd(self)

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Hold the laws, then type until there is a reply."""
        self.watch.put(question, question.about in self.wanted())
        self.question, self.consented = question, False
        reply = self.lines.put(question, shown)
        self._noted(question, reply, self.consented)
        return reply

    def write(self, _: Sequence[Line]) -> None:
        """Nothing is read here: the watch has the question."""

    by_key = False

    def page(self, _: Sequence[Line]) -> None:
        """Nothing is read here."""

    def forget_keys(self) -> None:
        """No key is hit ahead."""

    def read(self, prompt: str, shown: Callable[[], None] = nothing_more, offer: Offer = NOTHING_OFFERED, /) -> str:  # noqa: ARG002
        """A line: mostly the reply, sometimes a consent, an empty line or a wish for help."""
        assert self.question is not None
        shown()
        odd = self.rng.random()
        line = as_typed(self.policy(self.question), self.question)
        if odd < 0.4:
            line = "ok" if odd < 0.35 else ("" if odd < 0.37 else "?")
        self.consented |= is_consent(line)
        return f"{line}\n"


class Piped(Watched):
    """Replies as a program does, in JSON lines."""

    def __init__(self, watch: Watch, policy: Policy, wanted: Callable[[], Sequence[str]]) -> None:
        super().__init__(watch, policy, wanted)
        self.question: Question | None = None
        self.pipe: FrontEnd = PipeFrontEnd(self, StringIO())  # type: ignore[arg-type]

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Hold the laws, then write lines until there is a reply."""
        self.watch.put(question, question.about in self.wanted())
        self.question = question
        reply = self.pipe.put(question, shown)
        self._noted(question, reply)
        return reply

    def heard(self, heard: Heard) -> bool:
        """A program is not asked back."""
        return self.pipe.heard(heard)

    def readline(self, _: int = -1) -> str:
        """One reply as JSON."""
        assert self.question is not None
        return json.dumps(self._data(self.policy(self.question), self.question)) + "\n"

    @staticmethod
    def _data(reply: Reply, question: Question) -> dict[str, object]:
        match reply:
            case Given(value):
                tells = any(choice.id == value and choice.tells for choice in question.choices)
                return {"answer": f"{value}: renewed and tested" if tells else value}
            case Unable(reason):
                return {"cant": reason}
            case Deferred(when):
                return {"later": when or True}
            case Note(text):
                return {"note": text}
            case Request(act, text):
                return {act: text or True}
            case Control():
                return {reply.name.lower() if reply is not Control.UNKNOWN else "dont_know": True}
