"""Doubts about checks and unit profiles: answers, minutes and figures that nobody would expect."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.knowledge.catalogue import Folder, observables
from engine.knowledge.schema import ChoiceCheckForm, profile_values
from engine.knowledge.second_look.doubt import Doubt, to_tell

MOST_MINUTES = 60
"""A check takes an hour at most: judgement."""
SELDOM = 0.1
PLAUSIBLE: Mapping[str, tuple[float, float]] = {
    "salt.stop": (200, 30_000),
    "salt.low": (500, 33_000),
    "salt.ideal": (1000, 36_000),
    "salt.high": (1500, 45_000),
    "lockout": (0, 20),
    "rated.current": (0.5, 60),
    "rated.voltage": (2, 48),
    "rated.salt": (1000, 36_000),
    "rated.temperature": (10, 35),
    "rated.chlorine": (1, 200),
    "gaps": (1, 40),
    "electrode_hours": (1000, 30_000),
}
"""What a unit of a household's pool has: judgement."""


def answers_differ_in_words(folder: Folder) -> Iterator[Doubt]:
    """No two answers of a check have the same words for one reader.

    Right: `answers: {dry: It is dry, drips: It drips}`.
    Wrong: `answers: {dry: It drips, drips: It drips}`.
    """
    for check, placed in observables(folder).items():
        words = placed.form.answers if isinstance(placed.form, ChoiceCheckForm) else placed.form.band_words  # type: ignore[union-attr]
        field = "answers" if isinstance(placed.form, ChoiceCheckForm) else "band_words"
        for reader in ("customer", "technician"):
            seen: dict[str, str] = {}
            for answer, said in words.items():
                other = seen.setdefault(" ".join(str(getattr(said, reader)).lower().split()), answer)
                if other != answer:
                    fields = {"answer": answer, "other": other, "reader": reader, "check": check}
                    saying = to_tell("second_look.checks.same_words", **fields)
                    yield Doubt(placed, (field, answer), saying, answer)


def somebody_can_answer(folder: Folder) -> Iterator[Doubt]:
    """Some role can answer a check more often than seldom, or the record of the pool does.

    Right: `known: {counter: never, phone: seldom, field: usually}`.
    Wrong: `known: {counter: never, phone: never, field: never}`.
    """
    for placed in folder.checks.values():
        known = [share for _, share in placed.form.known]
        if max(known) <= SELDOM and not placed.form.from_record:
            yield Doubt(placed, ("known",), to_tell("second_look.checks.nobody"), at_key=True)


def the_usual_answer_comes_first(folder: Folder) -> Iterator[Doubt]:
    """`usual` begins with the answer that most pools give: answers run from the most normal to the most abnormal.

    Right: `usual: {dry: 97, drips: 3}`.
    Wrong: `usual: {dry: 3, drips: 97}`.
    """
    for check, placed in observables(folder).items():
        usual = placed.form.usual
        first, most = next(iter(usual)), max(usual, key=lambda answer: usual[answer])
        if usual[most] > usual[first]:
            saying = to_tell("second_look.checks.not_usual", first=first, most=most, check=check)
            yield Doubt(placed, ("usual",), saying, at_key=True)


def checks_take_minutes(folder: Folder) -> Iterator[Doubt]:
    """A check takes an hour at most.

    Right: `minutes: {counter: 2, phone: 10, field: 8}`.
    Wrong: `minutes: {counter: 2, phone: 300, field: 8}`.
    """
    for placed in folder.checks.values():
        for role, minutes in placed.form.minutes:
            if minutes > MOST_MINUTES:
                saying = to_tell("second_look.checks.long", minutes=f"{minutes:g}", most=MOST_MINUTES)
                yield Doubt(placed, ("minutes", role), saying, role)


def what_takes_a_meter_is_not_known_afar(folder: Folder) -> Iterator[Doubt]:
    """A check that needs a meter or the mains is seldom known on the phone or at the counter.

    Right: `needs: meter` with `known: {counter: never, phone: never, field: usually}`.
    Wrong: `needs: meter` with `known: {counter: never, phone: usually, field: usually}`.
    """
    for placed in folder.checks.values():
        known = placed.form.known
        for role, share in (("counter", known.counter), ("phone", known.phone)):
            afar = placed.form.brought is None or role == "phone"
            if placed.form.needs in ("meter", "mains") and share > 0.3 and afar:
                saying = to_tell("second_look.checks.meter", needs=placed.form.needs, role=role)
                yield Doubt(placed, ("known", role), saying, role)


def units_are_plausible(folder: Folder) -> Iterator[Doubt]:
    """The figures of a unit profile are those of a household's unit.

    Right: `rated: {current: 19, ...}`.
    Wrong: `rated: {current: 190, ...}`.
    """
    for placed in folder.units.values():
        for name, value in profile_values(placed.form).items():
            low, high = PLAUSIBLE[name]
            if not low <= value <= high:
                saying = to_tell(
                    "second_look.checks.unit", name=name, value=f"{value:g}", low=f"{low:g}", high=f"{high:g}"
                )
                yield Doubt(placed, tuple(name.split(".")), saying, name)


def a_unit_makes_what_its_current_can(folder: Folder) -> Iterator[Doubt]:
    """The chlorine of a unit profile is what its rated current makes in its gaps, within a factor of two: 1.32 g of
    chlorine for each ampere, hour and gap, by Faraday's law.

    Right: `rated: {current: 19, chlorine: 20, ...}` with `gaps: 1`.
    Wrong: `rated: {current: 19, chlorine: 200, ...}` with `gaps: 1`.
    """
    for placed in folder.units.values():
        rated = placed.form.rated
        most = GRAMS_PER_AMPERE_HOUR * rated.current * placed.form.gaps
        if not most / 2 <= rated.chlorine <= most * 1.1:
            saying = to_tell("second_look.checks.faraday", chlorine=f"{rated.chlorine:g}", most=f"{most:.3g}")
            yield Doubt(placed, ("rated", "chlorine"), saying)


GRAMS_PER_AMPERE_HOUR = 70.906 / (2 * 96485.332) * 3600
"""Chlorine by Faraday's law, g for each ampere and hour of one gap: molar mass 70.906 g/mol, two electrons (IUPAC)."""
