"""Typed text into a reply to a question, or a reason why it is none; pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import say
from engine.quantities.quantity import figure, unit_shown
from engine.quantities.unit_systems import show_in, unit_asked_in
from interview.messages import Choice, Control, Deferred, Given, Note, Question, Reply, Request, Unable
from interview.understanding.keywords import all_commands, behind, command_words
from interview.understanding.matching import begins, each_begins, whole_first_words, without_articles, words_of
from interview.understanding.normalize import clean, one_of, shortened
from interview.understanding.results import AskReason, Help, Keys, Paper, Refusal

_PARTING = ":,;-"
"""What may stand between a command and what is typed behind it."""

_REQUESTS: tuple[Literal["say", "ask", "change", "tried", "can", "record", "for"], ...] = (
    *("say", "ask", "change", "tried", "can", "record", "for"),
)


def is_consent(text: str) -> bool:
    """Whether the text says that a caution has been read and will be minded."""
    plain = without_accents(clean(text)).rstrip(".!")
    return any(plain in command_words(name) for name in ("ok", "done", "understood"))


def is_back(text: str) -> bool:
    """Whether the text says to go back."""
    return without_accents(clean(text)) in command_words("back")


def read(text: str, question: Question, doubted: str = "") -> Reply | Help | Keys | Paper | AskReason | Refusal:
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
    if (told := _told_with(typed, question)) is not None:
        return told
    command = _command(typed, plain, question)
    if command is not None:
        return command
    if question.alarm is not None and (alarm := question.alarm(typed, True)) is not None:
        # Danger comes before whatever else the line says.
        return alarm
    if _is_done(plain, question):
        return Given("done", typed)
    if not typed:
        return Refusal(_asked_for(question))
    meant: Reply | AskReason | Refusal
    if question.measure is not None:
        # Late: what reads numbers is loaded with the first number: the first question has none.
        from interview.understanding.numbers import number_in

        meant = number_in(typed, question.measure, again=bool(doubted) and typed == doubted)
    else:
        meant = _choice(typed, plain, question)
    return _else_said(typed, question, meant) if isinstance(meant, Refusal) else meant


def _else_said(typed: str, question: Question, refused: Refusal) -> Reply | Refusal:
    """What a line that is no answer says of danger, or besides."""
    if question.alarm is not None and (alarm := question.alarm(typed, False)) is not None:
        return alarm
    if refused.stray and question.says_more is not None:
        return question.says_more(typed) or refused
    return refused


def unknown(question: Question) -> Reply | Refusal:
    """That the person does not know, where that is a reply."""
    return Control.UNKNOWN if question.unknown else _not_here("unknown", question)


def later(rest: str, question: Question) -> Reply | Refusal:
    """This question later, with when it will be; or another one by its name."""
    if other := behind("ask", rest, _PARTING):
        return Request("later", other)
    return Deferred(rest) if question.may_wait else _not_here("later", question)


def unable(reason: str, question: Question) -> Reply | AskReason | Refusal:
    """That the person cannot, where that is a reply; it takes a reason."""
    if not question.may_fail:
        return _not_here("cannot", question)
    return Unable(reason) if reason else AskReason()


def _told_with(typed: str, question: Question) -> Given | None:
    """A choice by its id with the words that go with it behind a colon: `electrician: renewed the bonding wire`."""
    name, _, words = typed.partition(":")
    choice = next((c for c in question.choices if c.tells and c.id == name.strip().casefold()), None)
    return None if choice is None or not words.strip() else Given(choice.id, words.strip())


def _is_done(plain: str, question: Question) -> bool:
    """Whether a switching step, or danger made safe, is said to be done: in a word, never by an empty line."""
    if question.kind != "confirm":
        return False
    # Said of people out of danger, `ok` may only mean that it was heard.
    makes_safe = any(choice.id == "not_done" for choice in question.choices)
    return plain.rstrip(".!") in command_words("done") | (frozenset() if makes_safe else command_words("ok"))


def at_once(question: Question) -> str:
    """The figures that answer by themselves: none where a slip could do harm, or where more may stand behind one."""
    if not question.harmless or question.free or len(question.choices) > 9:
        return ""
    return "".join(str(number) for number, _ in enumerate(question.choices, start=1))


def slip(typed: str, question: Question) -> str:
    """What was meant by a line that is no reply, as a slip in a command or an answer; empty where nothing near is."""
    # Late: nothing of it is needed before somebody slips.
    from interview.understanding.slips import meant_by, mended

    plain, commands = clean(typed), all_commands()
    answers = [word for choice in question.choices for word in (choice.text, choice.id.replace("_", " "))]
    single = [word for text in answers for word in set(words_of(text))]
    only = [word for word in single if sum(each_begins(word, f"{c.id} {c.text}") for c in question.choices) == 1]
    return meant_by(plain, (*answers, *dict.fromkeys(only), *commands)) or mended(plain, commands)


def value_of(value: str | float, question: Question) -> str:
    """The answer as understood, to be shown back: a choice's words or the number with its unit."""
    if isinstance(value, str):
        return next((choice.text for choice in question.choices if choice.id == value), value)
    return show_in(value, question.measure.unit) if question.measure is not None else figure(value)


def _command(typed: str, plain: str, question: Question) -> Reply | Help | Keys | Paper | AskReason | Refusal | None:
    bare = plain.rstrip(".!")
    if plain in command_words("why"):
        return Help()
    if plain in command_words("keys"):
        return Keys()
    for name, annex in (("sheet", False), ("annex", True)):
        if bare in command_words(name):
            return Paper(annex) if question.kind == "close" else Refusal(say("answering.sheet_at_the_end"))
    if bare in command_words("list"):
        return Request("list")
    for name, aside in (("back", Control.BACK), ("finish", Control.FINISH), ("leave", Control.LEAVE)):
        if bare in command_words(name):
            return aside
    if bare in command_words("unknown"):
        return unknown(question)
    # Where the whole trouble may be told, such words may begin it: `can't get any chlorine`.
    told = question.free and question.kind == "set_up"
    if (rest := behind("later", typed, _PARTING)) is not None and not (told and rest):
        return later(rest, question)
    straight = typed.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    # A hyphen stands last in a set of signs.
    if (rest := behind("cannot", straight, f".{_PARTING}")) is not None and not (told and rest):
        return unable(rest, question)
    if (rest := behind("note", straight, _PARTING)) is not None:
        return Note(rest) if rest else Refusal(say("answering.what_note"))
    return _request(typed)


def _request(typed: str) -> Request | Refusal | None:
    """`say`, `ask`, `change`, `tried` or `can`, and what it is about."""
    for act in _REQUESTS:
        rest = behind(act, typed)
        if rest is not None:
            return Request(act, rest.strip()) if rest.strip() else Refusal(say(f"answering.what.{act}"))
    return None


def _not_here(word: str, question: Question) -> Refusal:
    """That a word is no answer to this question, and what is one."""
    return Refusal(say(f"answering.not_here.{word}", asked=_asked_for(question)))


def _asked_for(question: Question) -> str:
    """What would be an answer, in one sentence."""
    if question.measure is not None:
        return say("answering.asked.number", unit=unit_shown(unit_asked_in(question.measure.unit)))
    return say("answering.asked.choice", most=len(question.choices))


def _picked(choice: Choice, typed: str) -> Reply | AskReason:
    if choice.tells:
        return AskReason(choice.id, choice.tells)
    return AskReason() if choice.needs_reason else Given(choice.id, typed)


def _choice(typed: str, plain: str, question: Question) -> Reply | AskReason | Refusal:
    choices = question.choices
    if numbered := re.fullmatch(r"([0-9]{1,9})[.)]?", plain):
        place = int(numbered[1])
        if 1 <= place <= len(choices):
            return _picked(choices[place - 1], typed)
        return Refusal(say("answering.no_such_number", number=place, asked=_asked_for(question)))
    for found in (
        [choice for choice in choices if without_articles(plain) == without_articles(choice.text)],
        [choice for choice in choices if whole_first_words(plain, choice.text)],
        [choice for choice in choices if begins(plain, choice.id) or begins(plain, choice.text)],
        [choice for choice in choices if each_begins(plain, f"{choice.id} {choice.text}")],
    ):
        if len(meant := _barest(found, plain)) == 1:
            return _picked(meant[0], typed)
        if found:
            named = one_of([f"{choices.index(choice) + 1} ({choice.text})" for choice in found], most=3)
            return Refusal(say("answering.several", typed=shortened(typed), choices=named))
    return Refusal(say("answering.none", typed=shortened(typed), asked=_asked_for(question)), stray=True)


def _barest(found: Sequence[Choice], plain: str) -> Sequence[Choice]:
    """The choice that ends in what is typed and says nothing the others do not say too; where none does, all of them.

    `water sample` is "A water sample" and not "A water sample and the cell".
    """
    said = {choice.id: words_of(choice.text) for choice in found}
    typed = words_of(plain)
    barest = [
        c for c in found if said[c.id][-len(typed) :] == typed and all(set(said[c.id]) <= set(w) for w in said.values())
    ]
    return barest if len(barest) == 1 else found
