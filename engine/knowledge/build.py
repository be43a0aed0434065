"""The checked entries of a faults folder made into the frozen model; whatever arrives here is free of problems."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar, get_args

from engine.chlorinator.dose_limits import DoseLimits
from engine.knowledge import model, schema
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.hazards import cautions_of
from engine.knowledge.model import (
    Answer,
    ByReader,
    HazardousAct,
    HazardousWork,
    Knowledge,
    PartNeed,
    Steps,
    Wording,
    frozen,
)
from engine.knowledge.properties import READERS

ANY_PAIR = "any"
"""The line of `two_faults` that speaks of all pairs not named."""

Record = TypeVar("Record")


def build(folder: Folder, fingerprint: str, others: Mapping[str, Folder] = frozen({})) -> Knowledge:
    """The model of a folder in which no rule found a problem.

    Args: `others`, the folder in other languages by their codes, for the words by which danger is spoken of.
    """
    # The commonest complaint is offered first; equally common ones in the order of their files.
    acts = _all(model.HazardousAct, folder.acts)
    checks, repairs = _all(model.Check, folder.checks), _all(model.Repair, folder.repairs)
    trees = dict(sorted(folder.trees.items(), key=lambda item: -item[1].form.of_100_jobs))
    return Knowledge(
        trees=_all(model.Tree, trees),
        causes=frozen({name: _reckoned(c) for name, c in _all(model.Cause, folder.causes).items()}),
        checks=frozen({i: replace(c, work=_work(folder.checks[i].form.does, acts)) for i, c in checks.items()}),
        findings=_all(model.Finding, folder.findings),
        repairs=frozen({i: replace(r, work=_work(folder.repairs[i].form.does, acts)) for i, r in repairs.items()}),
        parts=_all(model.Part, folder.parts),
        cautions=_all(model.Caution, folder.cautions),
        acts=acts,
        dangers=_all(model.Danger, folder.dangers),
        dangers_elsewhere=frozen({code: _all(model.Danger, other.dangers) for code, other in others.items()}),
        roles=frozen(
            {placed.form.role: _record(model.Role, placed.form, name) for name, placed in folder.roles.items()}
        ),
        units=_all(model.UnitProfile, folder.units),
        limits=limits_of(folder),
        fingerprint=fingerprint,
    )


def limits_of(folder: Folder) -> DoseLimits:
    """The limits of doses, of a folder that sets each of them and no other."""
    return DoseLimits(**{name: placed.form.is_ for name, placed in folder.limits.items()})


def pair_of(name: str) -> tuple[str, str] | None:
    """The two causes of a line of `two_faults`, such as `salt_low + cell_scaled`; None where there are not two."""
    parts = [part.strip() for part in name.split("+")]
    return (parts[0], parts[1]) if len(parts) == 2 and all(parts) else None


def _all(kind: type[Record], entries: Mapping[str, Placed[schema.Form]]) -> Mapping[str, Record]:
    return frozen({name: _record(kind, placed.form, name) for name, placed in entries.items()})


def _record(kind: type[Record], form: schema.Form, id: str) -> Record:
    """A record of a form: what is its own, and as it is written whatever has the same name in both."""
    own = {"id": id, **_own(form)}
    names: set[str] = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    same = (names & type(form).model_fields.keys()) - own.keys()
    return kind(**own, **{name: _frozen(getattr(form, name)) for name in same})


def _reckoned(cause: model.Cause) -> model.Cause:
    """A cause with what it shows, and apart from that what it leaves as usual on purpose."""
    shows = frozen({item: answers for item, answers in cause.shows.items() if answers})
    return replace(cause, shows=shows, as_usual=tuple(item for item in cause.shows if item not in shows))


def _own(form: schema.Form) -> dict[str, Any]:
    """The fields of a form's record that have another name there, or hold something else than the form does."""
    own: dict[str, Any] = {
        name: getattr(form, name) == "yes"
        for name, field in type(form).model_fields.items()
        if get_args(field.annotation) == get_args(schema.YesNo)
    }
    if isinstance(form, schema.NamedForm | schema.WordsForm):
        own["wording"] = _wording(form)
    if isinstance(form, schema.CheckForm | schema.FindingForm):
        own["usual"] = _of_1(form.usual)
    if isinstance(form, schema.NumberCheckForm | schema.FindingForm):
        own["bands"] = tuple(model.Band(band, under) for band, under in form.bands.items())
        own["answers"] = _band_answers(form.usual, form.band_words)
    match form:
        case schema.NumberCheckForm():
            own["unit"] = form.answer_in
        case schema.ChoiceCheckForm():
            own["answers"] = tuple(_record(Answer, words, answer) for answer, words in form.answers.items())
        case schema.FindingForm():
            own["inputs"] = tuple(form.from_)
        case schema.RepairForm():
            own["parts"] = tuple(PartNeed(part, amount) for part, amount in form.parts.items())
        case schema.PartForm():
            own |= {"before_ordering": form.before_ordering.strip(), "use": form.is_}
        case schema.UnitForm():
            own["values"] = frozen(schema.profile_values(form))
        case schema.StepForm():
            own["otherwise"] = form.else_
        case schema.TreeForm():
            own |= _of_a_tree(form)
    return own


def _of_a_tree(form: schema.TreeForm) -> dict[str, Any]:
    return {
        "wording": _wording(form.opens),
        "singles": _of_1(form.of_100_calls),
        "pairs": frozen({pair: share / 100 for name, share in form.two_faults.items() if (pair := pair_of(name))}),
        "any_pair": form.two_faults.get(ANY_PAIR, 0.0) / 100,
        "steps": frozen({name: _record(model.Step, step, name) for name, step in form.steps.items()}),
    }


def _work(form: schema.ByReaderForm, acts: Mapping[str, HazardousAct]) -> HazardousWork:
    """What work demands that is made of these acts; a caution told whole is not told in a line as well."""
    does = ByReader(tuple(form.owner), tuple(form.technician))
    boxes, lines = [], []
    for reader in READERS:
        own = [acts[name] for name in does.to(reader)]
        boxes.append(cautions_of(own, reader))
        told = dict.fromkeys(caution for act in own for caution in act.in_a_line.to(reader))
        lines.append(tuple(caution for caution in told if caution not in boxes[-1]))
    energised = frozenset(reader for reader in READERS if any(acts[name].energises for name in does.to(reader)))
    return HazardousWork(does, ByReader(*boxes), ByReader(*lines), energised)


def _band_answers(usual: Mapping[str, float], words: Mapping[str, schema.WordsForm]) -> tuple[Answer, ...]:
    """The bands as answers, in the order of `usual`; a band without wording goes by its id."""
    plain = {band: Wording(band.replace("_", " "), band.replace("_", " ")) for band in usual}
    return tuple(Answer(band, _wording(words[band]) if band in words else plain[band]) for band in usual)


def _of_1(hundredths: Mapping[str, float]) -> Mapping[str, float]:
    return frozen({entry_id: share / 100 for entry_id, share in hundredths.items()})


def _wording(form: schema.WordsForm | schema.SomeWordsForm | schema.NamedForm) -> Wording:
    return Wording(form.customer.strip(), form.technician.strip())


def _frozen(value: Any) -> Any:
    """What a form holds, as a record holds it: nothing in it can be changed, all the way down."""
    match value:
        case schema.WordsForm() | schema.SomeWordsForm():
            return _wording(value)
        case schema.StepsForm():
            return Steps(*(tuple(step.strip() for step in steps) for steps in (value.customer, value.technician)))
        case schema.ByReaderForm():
            return ByReader(tuple(value.owner), tuple(value.technician))
        case schema.Form() | dict():
            return frozen({name: _frozen(part) for name, part in dict(value).items()})
        case list():
            return tuple(value)
        case _:
            return value
