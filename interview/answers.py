"""Typed text into a reply to a question, or a reason why it is none; pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engine.loading.phrases import say
from interview.frontend import Aside, Cannot, Choice, Given, Later, Measure, Note, Question, Reply, Request
from interview.plainwords import without_accents
from reports.text import cleaned

__all__ = ["AskReason", "Help", "Keys", "Refusal", "clean", "is_consent", "number_in", "read", "value_of"]

_HELP = frozenset({"?", "why"})
_KEYS = frozenset({"help", "keys"})
_BACK = frozenset({"back", "<"})
_UNKNOWN = frozenset({"dk", "don't know", "dont know", "do not know", "i don't know", "not sure", "no idea"})
_FINISH = frozenset({"finish", "finish now"})
_LEAVE = frozenset({"leave", "quit", "exit"})
_CANNOT = re.compile(r"(?:can't|cant|cannot|can not)\b[\s:,;.-]*(.*)", re.IGNORECASE)
_LATER = re.compile(r"later\b[\s:,;-]*(.*)", re.IGNORECASE)
_LATER_OTHER = re.compile(r"ask\b[\s:,;-]*(.+)", re.IGNORECASE)
_NOTE = re.compile(r"note\b[\s:,;-]*(.*)", re.IGNORECASE)
_REQUESTS: Mapping[str, Literal["say", "ask", "change", "tried", "can"]] = {
    "say": "say",
    "ask": "ask",
    "change": "change",
    "tried": "tried",
    "can": "can",
}
_CONSENT = frozenset({"ok", "okay", "yes", "y", "done", "understood"})
_DONE = frozenset({"yes", "y", "done"})
"""Said of people out of danger, `ok` may only mean that it was heard."""
_WORD = re.compile(r"[^\W_]+")
_LONGEST = 2000


@dataclass(frozen=True)
class Help:
    """The person asks why this is asked and how it is done."""


@dataclass(frozen=True)
class Keys:
    """The person asks what can be typed."""


@dataclass(frozen=True)
class AskReason:
    """It cannot be done, and the reason is still to be said."""


@dataclass(frozen=True)
class Refusal:
    """Why the text is no reply.

    `keep` is set where the same text once more would be taken as it stands, `stray`
    where the text does not even look like an answer.
    """

    message: str
    keep: str = ""
    stray: bool = False


def clean(text: str) -> str:
    """Typed text on one line, without characters that cannot be shown or stored, at most 2000 characters."""
    return cleaned(text)[:_LONGEST].strip()


def is_consent(text: str) -> bool:
    """Whether the text says that a caution has been read and will be minded."""
    return clean(text).casefold().rstrip(".!") in _CONSENT


def read(text: str, question: Question, doubted: str = "") -> Reply | Help | Keys | AskReason | Refusal:
    """What the typed text means as a reply to this question.

    Args:
        text: what was typed.
        question: what was asked.
        doubted: the text that was asked back just before as hardly meant; typed again it is taken as it stands.
    """
    typed = clean(text)
    plain = without_accents(typed).replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    exact = next(
        (c for c in question.choices if plain in (c.id, c.id.replace("_", " "), without_accents(c.text))), None
    )
    if exact is not None:
        return _picked(exact, typed)
    command = _command(typed, plain, question)
    if command is not None:
        return command
    if _is_done(plain, question):
        return Given("done", typed)
    if not typed:
        return Refusal(_asked_for(question))
    meant: Reply | AskReason | Refusal
    if question.measure is not None:
        meant = number_in(typed, question.measure, again=bool(doubted) and typed == doubted)
    else:
        meant = _choice(typed, plain, question)
    stray = isinstance(meant, Refusal) and meant.stray
    return Request("say", typed) if stray and question.says_more is not None and question.says_more(typed) else meant


def _is_done(plain: str, question: Question) -> bool:
    """Whether a switching step, or danger made safe, is said to be done: in a word, never by an empty line."""
    if question.kind != "confirm":
        return False
    makes_safe = any(choice.id == "not_done" for choice in question.choices)
    return plain.rstrip(".!") in (_DONE if makes_safe else _CONSENT - {"understood"})


def value_of(value: str | float, question: Question) -> str:
    """The answer as understood, to be shown back: a choice's words or the number with its unit."""
    if isinstance(value, str):
        return next((choice.text for choice in question.choices if choice.id == value), value)
    from engine.quantities import show_quantity

    return show_quantity(value, question.measure.unit) if question.measure is not None else f"{value:g}"


def _command(typed: str, plain: str, question: Question) -> Reply | Help | Keys | AskReason | Refusal | None:
    bare = plain.rstrip(".!")
    if plain in _HELP:
        return Help()
    if plain in _KEYS:
        return Keys()
    if bare == "list":
        return Request("list")
    if bare in _BACK:
        return Aside.BACK
    if bare in _FINISH:
        return Aside.FINISH
    if bare in _LEAVE:
        return Aside.LEAVE
    if bare in _UNKNOWN:
        return Aside.UNKNOWN if question.unknown else Refusal(f"Here that is no answer. {_asked_for(question)}")
    if found := _LATER.fullmatch(typed):
        return _later(found[1], question)
    straight = typed.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    if found := _CANNOT.fullmatch(straight):
        return _cannot(found[1], question)
    if found := _NOTE.fullmatch(straight):
        return Note(found[1]) if found[1] else Refusal("Type note and, on the same line, what to keep.")
    return _request(typed)


def _request(typed: str) -> Request | Refusal | None:
    """`say`, `ask`, `change`, `tried` or `can`, and what it is about."""
    word, _, rest = typed.partition(" ")
    act = _REQUESTS.get(word.casefold().rstrip(":"))
    if act is None:
        return None
    return Request(act, rest.strip()) if rest.strip() else Refusal(f"Type {act} and, on the same line, what.")


def _later(rest: str, question: Question) -> Reply | Refusal:
    """This question later, with when it will be; or another one by its name."""
    if other := _LATER_OTHER.fullmatch(rest):
        return Request("later", other[1])
    return Later(rest) if question.may_wait else Refusal(say("talk.later.not_this"))


def _cannot(reason: str, question: Question) -> Reply | AskReason | Refusal:
    if not question.may_fail:
        return Refusal(f"Here that is no answer. {_asked_for(question)}")
    return Cannot(reason) if reason else AskReason()


def _asked_for(question: Question) -> str:
    """What would be an answer, in one sentence."""
    if question.measure is not None:
        return f"Type a number in {question.measure.unit}, or ? for help."
    return f"Type a number from 1 to {len(question.choices)} or the first letters of an answer, or ? for help."


def _picked(choice: Choice, typed: str) -> Reply | AskReason:
    return AskReason() if choice.needs_reason else Given(choice.id, typed)


def _choice(typed: str, plain: str, question: Question) -> Reply | AskReason | Refusal:
    choices = question.choices
    if numbered := re.fullmatch(r"([0-9]{1,9})[.)]?", plain):
        place = int(numbered[1])
        if 1 <= place <= len(choices):
            return _picked(choices[place - 1], typed)
        return Refusal(f"There is no answer {place}. {_asked_for(question)}")
    for fits in (_whole_first_words, _begins, _has_words):
        found = [choice for choice in choices if fits(plain, choice)]
        if len(found) == 1:
            return _picked(found[0], typed)
        if found:
            named = " or ".join(f"{choices.index(choice) + 1} ({choice.text})" for choice in found[:3])
            more = " or another" if len(found) > 3 else ""
            return Refusal(f'"{_short(typed)}" could be {named}{more}. Type the number.')
    return Refusal(f'"{_short(typed)}" is none of the answers. {_asked_for(question)}', stray=True)


def _words(text: str) -> list[str]:
    return _WORD.findall(without_accents(text))


def _whole_first_words(plain: str, choice: Choice) -> bool:
    """The typed words are the first whole words of the answer: `no` is "No, it is dark", not "Nothing"."""
    typed = _words(plain)
    return bool(typed) and typed == _words(choice.text)[: len(typed)]


def _begins(plain: str, choice: Choice) -> bool:
    typed = " ".join(_words(plain))
    return bool(typed) and any(" ".join(_words(said)).startswith(typed) for said in (choice.id, choice.text))


def _has_words(plain: str, choice: Choice) -> bool:
    """Each typed word begins a word of the answer."""
    words = _words(f"{choice.id} {choice.text}")
    typed = _words(plain)
    return bool(typed) and all(any(word.startswith(part) for word in words) for part in typed)


def number_in(typed: str, measure: Measure, again: bool) -> Reply | Refusal:
    """A typed number as a reply, asked back where it cannot be, or hardly can unless it is said `again`."""
    from engine.chlorinator.limits import RangeError
    from engine.quantities import QuantityError, show_quantity
    from interview.typedunits import read_typed

    how = ""
    try:
        if measure.by_conductivity and (meter := _by_conductivity(typed, measure)) is not None:
            value, how = meter
        else:
            value = read_typed(typed, measure.unit, measure.about, measure.possible).value
    except (QuantityError, RangeError) as error:
        message = str(error)
        return Refusal(message[:1].upper() + message[1:] + ".", stray=True)
    low, high = measure.possible
    if not low <= value <= high:
        side, limit = ("less", low) if value < low else ("more", high)
        shown = f"{show_quantity(value, measure.unit)} is {side} than {show_quantity(limit, measure.unit)}"
        return Refusal(f"{shown}, which cannot be.{_other_unit(typed, measure)}")
    usual_low, usual_high = measure.plausible
    # Nothing at all is a common and deliberate answer: no chlorine, no current, cleaned just now.
    if value != 0 and not usual_low <= value <= usual_high and not again:
        side = "low" if value < usual_low else "high"
        shown = f"{show_quantity(value, measure.unit)} is very {side}."
        return Refusal(f"{shown}{_other_unit(typed, measure)} Type it again to keep it.", keep=typed)
    return Given(value, how or typed, how)


def _by_conductivity(typed: str, measure: Measure) -> tuple[float, str] | None:
    """Salt from a meter that shows conductivity, and how it came; None where no conductivity was typed."""
    from engine.conductivity import meter_typed, salt_reading

    meter = meter_typed(typed)
    if meter is None:
        return None
    conductivity, temperature = meter
    reading = salt_reading(conductivity, measure.water_c if temperature is None else temperature)
    return float(reading.value), reading.by


def _other_unit(typed: str, measure: Measure) -> str:
    """Ask whether a bare number was meant in another unit, where in few others it would be likely."""
    from engine.quantities import UNIT_NAMES, convert

    if not re.fullmatch(r"[+-]?[0-9]+(?:[.,][0-9]+)?", typed):
        return ""
    bare = float(typed.replace(",", "."))
    low, high = measure.plausible
    fitting = []
    for unit in UNIT_NAMES:
        try:
            value = convert(bare, unit, measure.unit)
        except ValueError:
            continue
        if unit != measure.unit and low <= value <= high and value > 0:
            fitting.append(unit)
    return f" Did you mean {' or '.join(f'{typed} {unit}' for unit in fitting)}?" if 1 <= len(fitting) <= 3 else ""


def _short(text: str) -> str:
    return text if len(text) <= 30 else text[:27] + "..."
