"""The front end for programs: JSON lines, version 1, one question out and one reply in.

A reply is an object with one of these: `answer` (an id, its words, or a number with its unit); `dont_know`, `back`,
`done`, `finish`, `leave`, `list` with true; `cant` with the reason; `later` with when, or true; `note`, `say`, `ask`,
`tried`, `can` with text; `change` with a number or a name of the list; `record` with an object of what is recorded;
`why` with 1 (words) or 2 (figures).
"""

from __future__ import annotations

import json
import shlex
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TextIO

from engine.foundation.texts import say
from interview.frontends.bounded_line import read_line
from interview.messages import (
    CautionText,
    Control,
    Deferred,
    Given,
    Heard,
    HeardFact,
    HeardUnclear,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    Unable,
)
from interview.understanding.normalize import clean, too_long
from interview.understanding.replies import later, read, unable, unknown
from interview.understanding.results import AskReason, Help, Keys, Paper, Refusal
from reports.phrases import numbered

VERSION = 2
VERSIONS = (1, 2)
"""All that can be spoken: a line that names one is answered in it, and so is all after it."""
_TEXTS = ("say", "ask", "tried", "can")
_ASIDES: Mapping[str, Reply] = {
    "back": Control.BACK,
    "finish": Control.FINISH,
    "leave": Control.LEAVE,
    "list": Request("list"),
}
_KEYS = ("answer", "dont_know", "cant", "later", "done", "note", *_TEXTS, "change", "record", "why", *_ASIDES)
_WHY_WORDS, _WHY_FIGURES = 1, 2


class PipeFrontEnd:
    """Questions as JSON lines out, replies as JSON lines in. What needs no reply goes out with the next line."""

    def __init__(self, source: TextIO | None = None, target: TextIO | None = None) -> None:
        """Args: where replies come from and where questions go; by default standard input and output."""
        self._source = source or sys.stdin
        self._target = target or sys.stdout
        self._said: list[dict[str, object]] = []
        self._version = VERSION

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Write the question and read replies until one is good; the end of input is leaving."""
        goes_on = any(choice.id in ("found_safe", "safe_now") for choice in question.choices)
        if question.kind == "turned_out":
            # A program tells of it with `brinecall close`, once it is known.
            return Given(question.passes)
        if question.kind == "close" and not goes_on:
            # The sheet was the last line: a program closes by having read it, where nothing waits.
            return Given(question.passes or question.choices[0].id)
        said, self._said = self._said, []
        self._write(as_line(question) | ({"said": said} if said else {}))
        shown()
        doubted = ""
        while line := read_line(self._source):
            if not line.strip():
                continue
            self._version = _version_of(line, self._version)
            match _read_line(line, question, doubted):
                case _Why(level):
                    self._write(_reasons(question, level))
                case Refusal(message, keep):
                    doubted = keep
                    self._write({"error": message, "again": True})
                case reply:
                    return reply
        # Where a danger could be found safe, a program that says no more has read the sheet, too.
        return Given(question.passes or question.choices[0].id) if question.kind == "close" else Control.LEAVE

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Keep what is said for the next line that is written."""
        self._said.append({"text": text} | ({"cautions": _cautions(cautions)} if cautions else {}))

    def heard(self, heard: Heard) -> bool:
        """Write what was understood and what was not; a program is not asked back, it may say it again."""
        self._write(
            {
                "understood": [_answer(fact) for fact in heard.facts],
                "unclear": [_unclear(item, self._version) for item in heard.unclear],
            }
        )
        return False

    def show_sheet(self, sheet: Sheet) -> None:
        """Write the sheet as an object."""
        said, self._said = self._said, []
        self._write({"sheet": dict(sheet.data())} | ({"said": said} if said else {}))

    def _write(self, data: Mapping[str, object]) -> None:
        print(json.dumps({"v": self._version, **data}, ensure_ascii=False), file=self._target, flush=True)


def pipe_front_end() -> PipeFrontEnd:
    """A front end on standard input and output, which are UTF-8 here whatever this machine's code page is.

    Source: RFC 8259, section 8.1: between programs JSON is UTF-8, without a byte order mark, which a reader may skip.
    """
    for stream, encoding in ((sys.stdin, "utf-8-sig"), (sys.stdout, "utf-8")):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding=encoding, errors="replace")
    return PipeFrontEnd()


@dataclass(frozen=True)
class _Why:
    """A program asks why something is asked: in words, or in figures."""

    level: int


def as_line(question: Question) -> dict[str, object]:
    """The question as the plain data of one line."""
    named: dict[str, object] = {"ask": question.about}
    if question.kind == "perform":
        named = {"do": question.about}
    elif question.kind in ("confirm", "verify", "clear", "close"):
        named = {"ask": question.kind, "about": question.about}
    answers: dict[str, object] = {"answers": [{"id": choice.id, "text": choice.text} for choice in question.choices]}
    if question.measure is not None:
        answers = {"unit": question.measure.unit}
    return {
        **named,
        "text": question.text,
        "how": question.how,
        **answers,
        **({"details": _details(question)} if question.kind == "perform" or question.steps_first else {}),
        "cautions": _cautions(question.cautions),
        "ranked": [{"causes": list(item.causes), "probability": item.probability} for item in question.ranked],
    }


def _answer(fact: HeardFact) -> dict[str, object]:
    return {"ask": fact.check, "answer": fact.value}


def _unclear(item: HeardUnclear, version: int) -> dict[str, object]:
    """What may be meant by words: in version 1 the ids of the checks with a reason, from version 2 on each answer."""
    if version == 1:
        ids = list(dict.fromkeys(each.check for each in item.candidates))
        return {"text": item.text, "why": say("pipe.unclear"), "candidates": ids}
    return {"text": item.text, "candidates": [_answer(each) for each in item.candidates]}


def _details(question: Question) -> list[str]:
    """What is to be known before, the steps with their numbers, and the details."""
    return [*filter(None, (question.before_steps,)), *numbered(question.steps), *question.details]


def _cautions(cautions: tuple[CautionText, ...]) -> list[dict[str, str]]:
    return [{"id": caution.id, "signal": caution.signal, "text": caution.text} for caution in cautions]


def _version_of(line: str, spoken: int) -> int:
    """The version that a line names, where it is one that can be spoken; else the one that is."""
    try:
        named = json.loads(line)["v"]
    except (ValueError, RecursionError, KeyError, TypeError):
        return spoken
    return named if named in VERSIONS and not isinstance(named, bool) else spoken


def _read_line(line: str, question: Question, doubted: str) -> Reply | Refusal | _Why:
    """One line of JSON as a reply, as a wish for reasons, or what is wrong with it."""
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return Refusal(say("pipe.no_json"))
    if not isinstance(data, dict) or len(data.keys() - {"v"}) != 1:
        return Refusal(say("pipe.one_of", keys=", ".join(_KEYS)))
    if data.get("v", VERSION) not in VERSIONS:
        return Refusal(say("pipe.version", version=VERSION))
    key = next(name for name in data if name != "v")
    value = data[key]
    if isinstance(value, str) and (refused := too_long(value)):
        return Refusal(refused)
    if key == "why" and not isinstance(value, bool) and value in (_WHY_WORDS, _WHY_FIGURES):
        return _Why(value)
    if key in ("later", "change", "record"):
        return _at_length(key, value, question)
    if key in ("answer", "cant", "note", *_TEXTS):
        return _with_text(key, value, question, doubted)
    if key not in _KEYS:
        return Refusal(say("pipe.unknown_key", name=clean(str(key))[:40], keys=", ".join(_KEYS)))
    if value is not True:
        return Refusal(say("pipe.only_true", name=key))
    if key == "dont_know":
        return unknown(question)
    if key == "done":
        doing = question.kind in ("confirm", "perform")
        return Given("done", "done") if doing else Refusal(say("pipe.nothing_to_do"))
    return _ASIDES[key] if key in _ASIDES else Refusal(say("pipe.why"))


def _at_length(key: str, value: object, question: Question) -> Reply | Refusal:
    """`later`, with when or with true; `change`, with a number of the list or a name; `record`, with its fields."""
    if key == "later" and (value is True or isinstance(value, str)):
        return later("" if value is True else clean(str(value)), question)
    if key == "change" and not isinstance(value, bool) and isinstance(value, int | str) and clean(str(value)):
        return Request("change", clean(str(value)))
    if key == "record" and isinstance(value, dict) and value:
        fields = {clean(str(name)): field for name, field in value.items()}
        return _recorded(fields) if all(map(_is_field, fields.values())) else Refusal(say("pipe.record"))
    return Refusal(say(f"pipe.{key}"))


def _is_field(value: object) -> bool:
    return isinstance(value, str | int | float) and not isinstance(value, bool)


def _recorded(fields: Mapping[str, object]) -> Reply | Refusal:
    """What is recorded as the line that a person would type for it."""
    line = shlex.join(f"{name}={clean(str(value))}" for name, value in fields.items())
    refused = too_long(line)
    return Refusal(refused) if refused else Request("record", line)


def _reasons(question: Question, level: int) -> dict[str, object]:
    if level == _WHY_WORDS:
        return {"why": list(question.why), "how": question.how, "again": True}
    figures = question.figures() if question.figures is not None else ()
    return {"why": [line.strip() for line in figures], "again": True}


def _with_text(key: str, value: object, question: Question, doubted: str) -> Reply | Refusal:
    """The replies that carry text: an answer (a number may come as a number), a reason, a note."""
    fits = isinstance(value, str) or (
        key == "answer" and isinstance(value, int | float) and not isinstance(value, bool)
    )
    if not fits:
        return Refusal(say("pipe.text", name=key))
    typed = clean(str(value) if isinstance(value, str) else json.dumps(value))
    match key:
        case "answer":
            return _for_a_program(read(typed, question, doubted))
        case "cant":
            return _for_a_program(unable(typed, question)) if typed else Refusal(say("pipe.reason"))
        case _ if not typed:
            return Refusal(say("pipe.text", name=key))
        case "say" | "ask" | "tried" | "can":
            return Request(key, typed)
        case _:
            return Note(typed)


def _for_a_program(meant: Reply | Help | Keys | Paper | AskReason | Refusal) -> Reply | Refusal:
    """A program gets no help screens; where a reason is missing it says so in another line."""
    match meant:
        case Help() | Keys() | Paper():
            return Refusal(say("pipe.help"))
        case AskReason(choice) if choice:
            return Refusal(say("pipe.needs_words", choice=choice))
        case AskReason():
            return Refusal(say("pipe.needs_reason"))
        case Given() | Unable() | Deferred() | Note() | Control() | Request() | Refusal():
            return meant
