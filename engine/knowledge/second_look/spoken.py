"""Dangers in what texts tell people to do: acts of which the work is not made, and acts that nobody ever does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from engine.foundation.text_catalog import ENGLISH
from engine.knowledge.catalogue import Folder, work_of
from engine.knowledge.schema import HazardousActForm
from engine.knowledge.second_look.doubt import Doubt, to_tell
from engine.knowledge.second_look.work import acts_of, doers, instructions, is_whole, orders, told_of
from engine.knowledge.step_talk import ActWords, plain

_ANYBODY = ("owner", "technician")
"""A check is made by whoever is asked."""


def steps_tell_their_acts(folder: Folder, language: str = ENGLISH) -> Iterator[Doubt]:
    """Work whose steps tell of an act, in the words that the act lists under `steps_say`, is made of it, or of others
    with the same cautions, for each who reads the steps and does them.

    Right: `act: opens_pressure` with `steps_say: [undo* the unions]`; work that says so has `does: [opens_pressure]`.
    Wrong: the same where the work does not have it.
    """
    spoken = _Spoken(folder, language, by_anybody=True)
    for placed in work_of(folder):
        for reader, field, text in instructions(placed):
            if not is_whole(folder, placed):
                continue
            done = acts_of(folder, placed, reader)
            warned = {name for act in done for name in told_of(act, reader)}
            for act, words in spoken.looked_for_in(text):
                theirs = reader in doers(act.who)
                # What is left to others has steps for its owner too, such as to switch off until they come.
                at_hand = reader in doers(getattr(placed.form, "who", _ANYBODY))
                if act in done or (theirs and (not at_hand or set(told_of(act, reader)) <= warned)):
                    continue
                if said := words():
                    key = "steps" if theirs else "not_theirs"
                    saying = to_tell(f"second_look.safety.{key}", said=said, act=act.act, reader=reader)
                    yield Doubt(placed, (field,), saying, act.act, at_key=True)


def nobody_is_told_to(folder: Folder, language: str = ENGLISH) -> Iterator[Doubt]:
    """No text tells anybody to do what nobody ever does: an act with nobody under `who`.

    Right: `act: bridges_safety` with `who: []` and `steps_say: [bridge* the flow sensor]`; a step says `Never bridge
    the flow sensor`.
    Wrong: the same with a step that says `Bridge the flow sensor`.
    """
    spoken = _Spoken(folder, language, by_anybody=False)
    for placed, path, text in orders(folder):
        for act, words in spoken.looked_for_in(text):
            if said := words():
                saying = to_tell("second_look.safety.never", said=said, act=act.act)
                yield Doubt(placed, path, saying, act.act)


class _Spoken:
    """Acts that steps tell of, with the words by which they do."""

    def __init__(self, folder: Folder, language: str, by_anybody: bool) -> None:
        """Args: the entries, the code of their language, and whether acts are wanted that somebody may do or others."""
        forms = [placed.form for placed in folder.acts.values() if placed.form.steps_say]
        self._acts = [
            (act, ActWords(act.steps_say, language, forbidden_throughout=not by_anybody))
            for act in forms
            if bool(act.who) is by_anybody
        ]
        self._letters: dict[str, list[int]] = {}
        for at, (_, phrases) in enumerate(self._acts):
            for letters in phrases.letters():
                self._letters.setdefault(letters, []).append(at)

    def looked_for_in(self, text: str) -> Iterator[tuple[HazardousActForm, Callable[[], str]]]:
        """Each act of which the text may tell, and what finds by which words it does."""
        looked_at = plain(text)
        # A look for letters says of most acts that a text tells nothing of them.
        for at in sorted({at for letters, acts in self._letters.items() if letters in looked_at for at in acts}):
            act, phrases = self._acts[at]
            yield act, partial(phrases.told_in, looked_at)
