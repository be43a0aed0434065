"""Rules for safety: work says which hazardous acts it is made of, and each act says what it demands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.foundation.problems import Problem
from engine.foundation.texts import say, told
from engine.knowledge.catalogue import Folder, Placed, observables, work_of
from engine.knowledge.properties import HAZARD_KINDS, OCCASIONS, READERS, Occasion, PartUse, Reader
from engine.knowledge.rules.references import entries_are_there
from engine.knowledge.schema import CheckForm, ChoiceCheckForm, HazardousActForm, RepairForm

_Work = Placed[CheckForm] | Placed[RepairForm]
_ACT_OF_PART: Mapping[PartUse, Occasion] = {"cleaning_acid": "acid", "salt": "salting"}
"""What the program lets people do with a part, by what the part is."""


def acts_are_known(folder: Folder) -> Iterator[Problem]:
    """The acts that a check or repair is made of stand in hazards.yaml.

    Right: `does: [opens_pressure]`.
    Wrong: `does: [opens_presure]`.
    """
    for placed in work_of(folder):
        for reader, names in placed.form.does:
            for name in dict.fromkeys(names):
                if folder.lacks("act", name):
                    what = say("mistakes_rules.no_such.act", id=name)
                    yield placed.problem(_in_does(placed, reader, name), what, folder.advice(name, "act"))


def cautions_are_known(folder: Folder) -> Iterator[Problem]:
    """The cautions of an act stand in cautions.yaml.

    Right: `act: opens_pressure` with `cautions: [release_pressure]`.
    Wrong: `act: opens_pressure` with `cautions: [relese_pressure]`.
    """
    for placed in folder.acts.values():
        for field in ("cautions", "in_a_line"):
            named = {caution for _, names in getattr(placed.form, field) for caution in names}
            for caution in sorted(named):
                if folder.lacks("caution", caution):
                    what = say("mistakes_rules.no_such.caution", id=caution)
                    yield placed.problem((field,), what, folder.advice(caution, "caution"))


def work_waits_for_its_state(folder: Folder) -> Iterator[Problem]:
    """Work for which the plant is isolated is made of an act that `is: isolating`; an act that demands a state of the
    plant stands only in work that has it.

    Right: `plant: isolated` with `does: [works_isolated]`.
    Wrong: `plant: isolated` with `does: [opens_pressure]`.
    """
    for placed in work_of(folder):
        acts = _acts(folder, placed)
        isolating = any(act.occasion == "isolating" for act in acts)
        if placed.form.plant == "isolated" and not isolating and _whole(folder, placed):
            yield placed.problem(("plant",), *told("mistakes_rules.safety.not_isolated"))
        for act in acts:
            if act.plant not in ("any", placed.form.plant):
                saying = told("mistakes_rules.safety.other_state", act=act.act, state=act.plant)
                yield placed.problem(("plant",), *saying)


def acts_are_done_by_whom_they_may(folder: Folder) -> Iterator[Problem]:
    """Nobody is given an act that is not theirs: the owner only what owners may do, in a check or a repair.

    Right: `who: [owner]` with `does: [opens_pressure]`.
    Wrong: `who: [owner]` with `does: [opens_pack]`, which is for technicians.
    """
    for placed in work_of(folder):
        for reader in READERS:
            may = {"owner"} if reader == "owner" else {"technician", *getattr(placed.form, "who", ())}
            for act in _acts(folder, placed, reader):
                if may.isdisjoint(act.who):
                    saying = told("mistakes_rules.safety.not_theirs", act=act.act, who=", ".join(act.who))
                    yield placed.problem(("does",), *saying, at_key=True)


def what_is_waited_for_waits_for_nothing(folder: Folder) -> Iterator[Problem]:
    """What a check or repair waits for is another check, and that one waits for nothing itself.

    Right: `repair: acid_clean` with `waits_for: [cell_plates]`.
    Wrong: the same where `cell_plates` has `waits_for: [cell_current]`.
    """
    for placed in work_of(folder):
        yield from entries_are_there(folder, placed, "waits_for", "check", placed.form.waits_for)
        for index, check in enumerate(placed.form.waits_for):
            if check in folder.checks and folder.checks[check].form.waits_for:
                yield placed.problem(("waits_for", index), *told("mistakes_rules.safety.waits_itself", check=check))


def parts_come_with_their_acts(folder: Folder) -> Iterator[Problem]:
    """A repair that takes a part that `is: cleaning_acid` is made of an act that `is: acid`, and one that takes a part
    that `is: salt` of one that `is: salting`, for each who may do it.

    Right: `parts: {cleaning_acid: 0.2 L}` with `does: [works_isolated, pours_acid]`.
    Wrong: `parts: {cleaning_acid: 0.2 L}` with `does: [works_isolated]`.
    """
    for placed in folder.repairs.values():
        if not _whole(folder, placed):
            continue
        doers: list[Reader] = ["owner"] if "owner" in placed.form.who else []
        doers += ["technician"] if set(placed.form.who) - {"owner"} else []
        for part in placed.form.parts:
            use = folder.parts[part].form.is_ if part in folder.parts else None
            wanted = _ACT_OF_PART.get(use) if use is not None else None
            lacking = [r for r in doers if wanted not in {act.occasion for act in _acts(folder, placed, r)}]
            if wanted is not None and lacking:
                saying = told("mistakes_rules.safety.part", part=part, occasion=wanted)
                yield placed.problem(("parts", part), *saying, at_key=True)


def mains_work_says_so(folder: Folder) -> Iterator[Problem]:
    """A check or repair that needs mains work is made of an act that brings the hazard of the mains.

    Right: `needs: mains` with `does: {technician: [works_on_mains]}`.
    Wrong: `needs: mains` without `does`.
    """
    for placed in work_of(folder):
        brought = any("mains" in act.brings for act in _acts(folder, placed))
        if placed.form.needs == "mains" and not brought and _whole(folder, placed):
            yield placed.problem(("needs",), *told("mistakes_rules.safety.mains"))


def what_keeps_off_can_be_mended(folder: Folder) -> Iterator[Problem]:
    """An answer that `keeps_off` is shown by some cause beyond the usual: its repairs are what lifts it.

    Right: `burnt: {customer: Melted, technician: burnt, keeps_off: yes}`, and a cause shows `cell_lead: {burnt: 0.2}`.
    Wrong: the same where no cause shows it.
    """
    shown = {
        (check, answer)
        for placed in folder.causes.values()
        for check, answers in placed.form.shows.items()
        for answer in answers
    }
    shown |= {
        (check, answer)
        for placed in folder.trees.values()
        for shows in placed.form.here.values()
        for check, answers in shows.items()
        for answer in answers
    }
    for name, placed in observables(folder).items():
        if not isinstance(placed.form, ChoiceCheckForm) or not folder.is_whole("cause"):
            continue
        for answer, words in placed.form.answers.items():
            if words.keeps_off == "yes" and (name, answer) not in shown:
                saying = told("mistakes_rules.safety.never_mended", answer=answer)
                yield placed.problem(("answers", answer), *saying, at_key=True)


def every_hazard_and_occasion_is_an_act(folder: Folder) -> Iterator[Problem]:
    """Each kind of hazard is brought by some act, and each thing that the program itself lets people do is one, with a
    caution for each who may do it.

    Right: `act: switches_on` with `is: switching_on` and a caution for each reader.
    Wrong: no act with `is: switching_on`.
    """
    if not folder.is_whole("act"):
        return
    place = (f"{folder.name}/hazards.yaml", 1, 1)
    forms = [placed.form for placed in folder.acts.values()]
    for occasion in OCCASIONS:
        if not any(form.occasion == occasion and _warns_all(form) for form in forms):
            yield Problem(*place, *told("mistakes_rules.required.no_caution", occasion=occasion))
    for kind in HAZARD_KINDS:
        if not any(kind in form.brings for form in forms):
            yield Problem(*place, *told("mistakes_rules.required.no_hazard", hazard=kind))


def _warns_all(act: HazardousActForm) -> bool:
    """Whether whoever may do it has a caution: the owner, or whoever else it is a technician's work for."""
    readers: list[Reader] = ["owner"] if "owner" in act.who else []
    readers += ["technician"] if set(act.who) - {"owner"} else []
    return all(act.boxes_for(reader) for reader in readers)


def _acts(folder: Folder, placed: _Work, reader: Reader | None = None) -> list[HazardousActForm]:
    """The acts of a work that are known, for one reader or for all."""
    names = [name for who, names in placed.form.does if reader in (None, who) for name in names]
    return [folder.acts[name].form for name in dict.fromkeys(names) if name in folder.acts]


def _whole(folder: Folder, placed: _Work) -> bool:
    """Whether each act of a work is known; where not, the missing one may be the very act that is looked for."""
    return all(name in folder.acts for _, names in placed.form.does for name in names)


def _in_does(placed: _Work, reader: str, name: str) -> tuple[str | int, ...]:
    """The way to an act as it was written: one list for both readers, or one for each."""
    written: Any = placed.document.data
    for step in (*placed.base, "does"):
        written = written[step]
    if isinstance(written, list):
        return ("does", written.index(name))
    return ("does", reader, written[reader].index(name))
