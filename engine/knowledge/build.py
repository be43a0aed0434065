"""The checked entries of a faults folder made into the frozen model; whatever arrives here is free of problems."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from engine.knowledge.catalogue import Folder
from engine.knowledge.model import (
    Answer,
    Band,
    Cause,
    Caution,
    Check,
    Decision,
    Finding,
    Knowledge,
    Limit,
    Part,
    PartNeed,
    Repair,
    Role,
    RoleId,
    Step,
    Steps,
    Tree,
    UnitProfile,
    Wording,
    frozen,
)
from engine.knowledge.schema import (
    CauseForm,
    CautionForm,
    CheckForm,
    ChoiceCheckForm,
    FindingForm,
    Form,
    NamedForm,
    NumberCheckForm,
    PartForm,
    RepairForm,
    RoleForm,
    SomeWordsForm,
    StepForm,
    TreeForm,
    UnitForm,
    WordsForm,
    profile_values,
)

ANY_PAIR = "any"
"""The line of `two_faults` that speaks of all pairs not named."""


def build(folder: Folder, fingerprint: str) -> Knowledge:
    """The model of a folder in which no rule found a problem."""
    return Knowledge(
        # The commonest complaint is offered first; equally common ones in the order of their files.
        trees=frozen(
            {
                entry_id: _tree(placed.form)
                for entry_id, placed in sorted(folder.trees.items(), key=lambda item: -item[1].form.of_100_jobs)
            }
        ),
        causes=frozen({entry_id: _cause(placed.form) for entry_id, placed in folder.causes.items()}),
        checks=frozen({entry_id: _check(placed.form) for entry_id, placed in folder.checks.items()}),
        findings=frozen({entry_id: _finding(placed.form) for entry_id, placed in folder.findings.items()}),
        repairs=frozen({entry_id: _repair(placed.form) for entry_id, placed in folder.repairs.items()}),
        parts=frozen({entry_id: _part(placed.form) for entry_id, placed in folder.parts.items()}),
        cautions=frozen({entry_id: _caution(placed.form) for entry_id, placed in folder.cautions.items()}),
        roles=frozen({placed.form.role: _role(placed.form) for placed in folder.roles.values()}),
        units=frozen({entry_id: _unit(placed.form) for entry_id, placed in folder.units.items()}),
        fingerprint=fingerprint,
    )


def pair_of(name: str) -> tuple[str, str] | None:
    """The two causes of a line of `two_faults`, such as `salt_low + cell_scaled`; None where there are not two."""
    parts = [part.strip() for part in name.split("+")]
    return (parts[0], parts[1]) if len(parts) == 2 and all(parts) else None


def _words(form: WordsForm | SomeWordsForm | NamedForm) -> Wording:
    return Wording(form.customer.strip(), form.technician.strip())


def _by_role(form: Form) -> Mapping[RoleId, float]:
    return frozen(cast("dict[RoleId, float]", dict(form)))


def _of_1(hundredths: Mapping[str, float]) -> Mapping[str, float]:
    return frozen({entry_id: share / 100 for entry_id, share in hundredths.items()})


def _nested(shares: Mapping[str, Mapping[str, float]]) -> Mapping[str, Mapping[str, float]]:
    return frozen({entry_id: frozen(answers) for entry_id, answers in shares.items()})


def _band_answers(usual: Mapping[str, float], words: Mapping[str, WordsForm]) -> tuple[Answer, ...]:
    """The bands as answers, in the order of `usual`; a band without wording goes by its id."""
    plain = {band: Wording(band.replace("_", " "), band.replace("_", " ")) for band in usual}
    return tuple(Answer(band, _words(words[band]) if band in words else plain[band]) for band in usual)


def _bands(limits: Mapping[str, Limit | None]) -> tuple[Band, ...]:
    return tuple(Band(entry_id, under) for entry_id, under in limits.items())


def _check(form: CheckForm) -> Check:
    number = form if isinstance(form, NumberCheckForm) else None
    answers: tuple[Answer, ...] = ()
    if isinstance(form, ChoiceCheckForm):
        answers = tuple(
            Answer(entry_id, _words(words), tuple(words.names), words.means) for entry_id, words in form.answers.items()
        )
    return Check(
        id=form.check,
        wording=_words(form),
        how=_words(form.how),
        names=tuple(form.names),
        answers=answers if number is None else _band_answers(number.usual, number.band_words),
        usual=_of_1(form.usual),
        minutes=_by_role(form.minutes),
        known=_by_role(form.known),
        needs=form.needs,
        plant=form.plant,
        source=form.source,
        unit=None if number is None else number.answer_in,
        possible=None if number is None else number.possible,
        error=None if number is None else number.error,
        bands=() if number is None else _bands(number.bands),
        brought=form.brought,
        cautions=tuple(form.cautions),
        pointless_if=frozen({check: tuple(answers) for check, answers in form.pointless_if.items()}),
        tells=None if number is None else number.tells,
        should_be=None if number is None else number.should_be,
    )


def _finding(form: FindingForm) -> Finding:
    return Finding(
        id=form.finding,
        wording=_words(form),
        inputs=tuple(form.from_),
        assume=frozen(form.assume),
        replaces=tuple(form.replaces),
        answers=_band_answers(form.usual, form.band_words),
        bands=_bands(form.bands),
        usual=_of_1(form.usual),
        source=form.source,
    )


def _cause(form: CauseForm) -> Cause:
    return Cause(
        id=form.cause,
        wording=_words(form),
        names=tuple(form.names),
        shows=_nested(form.shows),
        likelier=_nested(form.likelier),
        repairs=tuple(form.repairs),
        not_with=tuple(form.not_with),
        source=form.source,
        place=form.place,
        bleaches_test=form.bleaches_test == "yes",
    )


def _repair(form: RepairForm) -> Repair:
    return Repair(
        id=form.repair,
        wording=_words(form),
        before_steps=_words(form.before_steps),
        steps=Steps(*(tuple(step.strip() for step in steps) for steps in (form.steps.customer, form.steps.technician))),
        done_when=_words(form.done_when),
        cures=frozen(form.cures),
        who=tuple(form.who),
        plant=form.plant,
        needs=form.needs,
        minutes=form.minutes,
        parts=tuple(PartNeed(part, amount) for part, amount in form.parts.items()),
        result_shows=form.result_shows,
        ask_again=tuple(form.ask_again),
        cautions=tuple(form.cautions),
        decision=frozen(cast("dict[RoleId, Decision]", dict(form.decision))),
        source=form.source,
        swap_back=form.swap_back,
        amount_from=tuple(form.amount_from),
        stops_dosing=form.stops_dosing == "yes",
        tests_anew=form.tests_anew == "yes",
        works_out=tuple(form.works_out),
        renews=form.renews,
    )


def _part(form: PartForm) -> Part:
    return Part(form.part, _words(form), form.price, form.in_van == "yes", form.before_ordering.strip(), form.is_)


def _caution(form: CautionForm) -> Caution:
    return Caution(form.caution, form.signal, _words(form), form.source, tuple(form.told_for))


def _role(form: RoleForm) -> Role:
    return Role(form.role, _words(form), tuple(form.can_use), form.limit, frozen(dict(form.minutes)))


def _unit(form: UnitForm) -> UnitProfile:
    return UnitProfile(
        id=form.unit,
        wording=_words(form),
        values=frozen(profile_values(form)),
        reports=frozen(form.reports),
        shows_numbers=tuple(form.shows_numbers),
        source=form.source,
    )


def _step(entry_id: str, form: StepForm) -> Step:
    return Step(id=entry_id, ask=form.ask, then=frozen(form.then), otherwise=form.else_, propose=form.propose)


def _tree(form: TreeForm) -> Tree:
    pairs = {pair: share / 100 for name, share in form.two_faults.items() if (pair := pair_of(name)) is not None}
    return Tree(
        id=form.tree,
        wording=_words(form.opens),
        names=tuple(form.names),
        given=frozen({check: tuple(answers) for check, answers in form.given.items()}),
        singles=_of_1(form.of_100_calls),
        pairs=frozen(pairs),
        any_pair=form.two_faults.get(ANY_PAIR, 0.0) / 100,
        here=frozen({cause: _nested(shows) for cause, shows in form.here.items()}),
        steps=frozen({entry_id: _step(entry_id, step) for entry_id, step in form.steps.items()}),
        source=form.source,
        mains=form.mains == "yes",
        stops_dosing=form.stops_dosing == "yes",
    )
