"""Rules for dangers: their first steps, their own cautions, and the answers and words that report them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.knowledge.catalogue import Folder
from engine.knowledge.model import DANGER_CHECK
from engine.knowledge.rules.checks import NO_DANGER
from engine.knowledge.rules.references import entries_are_there, entry_is_there
from engine.knowledge.schema import ChoiceCheckForm, DangerForm

MOST_STEPS = 6
"""More is not read out to somebody who stands beside a danger: judgement."""
_PHRASE = re.compile(r"[^\W\d_]+[*]?(?:/[^\W\d_]+[*]?)*(?: [^\W\d_]+[*]?(?:/[^\W\d_]+[*]?)*)*")


def dangers_have_few_steps(folder: Folder) -> Iterator[Problem]:
    """The first steps of a danger are six at most.

    Right: `steps: [Get everyone out of the water., Touch no metal.]`.
    Wrong: a list of seven steps.
    """
    for placed in folder.dangers.values():
        for reader, steps in placed.form.steps:
            if len(steps) > MOST_STEPS:
                saying = told("mistakes_rules.dangers.many_steps", count=len(steps), most=MOST_STEPS, reader=reader)
                yield placed.problem(("steps",), *saying, at_key=True)


def cautions_of_dangers_are_known(folder: Folder) -> Iterator[Problem]:
    """The cautions of a danger stand in cautions.yaml.

    Right: `cautions: [tingle_keep_out]` where cautions.yaml has it.
    Wrong: `cautions: [tingle]`.
    """
    for placed in folder.dangers.values():
        yield from entries_are_there(folder, placed, "cautions", "caution", placed.form.cautions)


def reported_dangers_are_known(folder: Folder) -> Iterator[Problem]:
    """`reports` names a danger of dangers.yaml.

    Right: `reports: tingle` where dangers.yaml has it.
    Wrong: `reports: tingling`.
    """
    for placed in folder.checks.values():
        if not isinstance(placed.form, ChoiceCheckForm):
            continue
        for answer, words in placed.form.answers.items():
            if words.reports is not None:
                yield from entry_is_there(folder, placed, ("answers", answer, "reports"), "danger", words.reports)


def the_first_question_reports(folder: Folder) -> Iterator[Problem]:
    """Each answer of the check `danger_now` but `none` says under `reports` which danger it is, or is `not_looked_for`.

    Right: `tingle: {customer: Somebody felt a tingle, technician: tingle, reports: tingle}`.
    Wrong: `tingle: Somebody felt a tingle`.
    """
    placed = folder.checks.get(DANGER_CHECK)
    if placed is None or not isinstance(placed.form, ChoiceCheckForm):
        return
    dangers = ", ".join(f"`{danger}`" for danger in folder.declared["danger"])
    for answer, words in placed.form.answers.items():
        mild = words.means == "not_looked_for"
        if answer != NO_DANGER and words.reports is None and not mild:
            saying = told("mistakes_rules.dangers.no_report", answer=answer, dangers=dangers)
            yield placed.problem(("answers", answer), *saying, at_key=True)
        elif words.reports is not None and (mild or answer == NO_DANGER):
            saying = told("mistakes_rules.dangers.both", answer=answer)
            yield placed.problem(("answers", answer), *saying, at_key=True)


def every_danger_is_asked_for(folder: Folder) -> Iterator[Problem]:
    """Each danger is reported by one answer of the check `danger_now`.

    Right: a danger `tingle` and the answer `tingle: {customer: ..., technician: ..., reports: tingle}`.
    Wrong: a danger `tingle` that no answer of `danger_now` reports.
    """
    placed = folder.checks.get(DANGER_CHECK)
    if placed is None or not isinstance(placed.form, ChoiceCheckForm):
        return
    reported = [words.reports for words in placed.form.answers.values()]
    for name, danger in folder.dangers.items():
        if (count := reported.count(name)) != 1:
            key = "unasked" if count == 0 else "asked_twice"
            saying = told(f"mistakes_rules.dangers.{key}", check=DANGER_CHECK, danger=name)
            yield danger.problem(("danger",), *saying)


def current_leaks_where_it_is_electric(folder: Folder) -> Iterator[Problem]:
    """Only a danger of the kind `electric` has `current_may_leak`.

    Right: `kind: electric` with `current_may_leak: yes`.
    Wrong: `kind: gas` with `current_may_leak: yes`.
    """
    for placed in folder.dangers.values():
        if placed.form.kind != "electric" and placed.form.current_may_leak == "yes":
            yield placed.problem(("current_may_leak",), *told("mistakes_rules.dangers.no_current"), at_key=True)


def words_of_dangers_are_words(folder: Folder) -> Iterator[Problem]:
    """`words`, `perhaps` and `not_words` hold words, parted by spaces or `/`, each with `*` for any ending.

    Right: `words: [got a shock, eye* sting*/burn*]`.
    Wrong: `words: [got a shock!, eyes: they sting]`.
    """
    for placed in folder.dangers.values():
        for field, phrases in _phrases(placed.form):
            for index, phrase in enumerate(phrases):
                if not _PHRASE.fullmatch(" ".join(phrase.split())):
                    saying = told("mistakes_rules.dangers.no_words", phrase=phrase)
                    yield placed.problem((field, index), *saying)


def _phrases(form: DangerForm) -> Iterator[tuple[str, list[str]]]:
    yield from (("words", form.words), ("perhaps", form.perhaps), ("not_words", form.not_words))
