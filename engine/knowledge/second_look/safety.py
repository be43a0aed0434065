"""Dangers: work, parts and cautions after which somebody could be hurt unwarned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.knowledge.catalogue import Folder
from engine.knowledge.model import SIGNALS, Signal
from engine.knowledge.properties import READERS, HazardKind, Occasion
from engine.knowledge.second_look.doubt import Doubt, to_tell
from engine.knowledge.second_look.work import acts_of, doers, is_whole, told_of

LEAST: Mapping[HazardKind, Signal] = {
    "mains": "WARNING",
    "low_voltage_high_current": "WARNING",
    "stored_pressure": "WARNING",
    "chlorine_gas": "WARNING",
    "hydrogen": "WARNING",
    "acid": "WARNING",
    "strong_chlorine": "CAUTION",
    "drowning_and_entrapment": "WARNING",
    "lifting_and_slips": "CAUTION",
    "hot_parts": "CAUTION",
    "closed_rooms": "WARNING",
    "spoilt_equipment": "NOTICE",
}
"""The signal word that the gravest caution of an act has at least, by the hazards that it brings.

DANGER is for what kills or maims if it happens, WARNING for what could, CAUTION for lesser injuries, NOTICE for things
alone: ANSI Z535.6, from memory. Which word a hazard here deserves is judgement.
"""
LEAST_OF: Mapping[Occasion, Signal] = dict.fromkeys(("danger", "gas", "isolating", "mains", "acid"), "DANGER")
"""The same of acts that are something which the program itself lets people do: judgement."""
_CURRENT: tuple[HazardKind, ...] = ("low_voltage_high_current",)


def everybody_is_warned(folder: Folder) -> Iterator[Doubt]:
    """An act has a caution, as a box or in a line, for each who may do it.

    Right: `act: opens_pressure` with `who: [owner, technician]` and `cautions: [release_pressure]`.
    Wrong: the same with `cautions: {technician: [release_pressure]}`.
    """
    for placed in folder.acts.values():
        for reader in doers(placed.form.who):
            if not told_of(placed.form, reader):
                saying = to_tell("second_look.safety.unwarned", act=placed.form.act, reader=reader)
                yield Doubt(placed, ("act",), saying, reader)


def cautions_are_grave_enough(folder: Folder) -> Iterator[Doubt]:
    """The gravest caution of an act has the signal word that its hazards deserve: DANGER before WARNING before CAUTION
    before NOTICE, which is for things alone.

    Right: `act: works_isolated` with `brings: [mains]` and a caution with `signal: DANGER`.
    Wrong: the same with `signal: NOTICE` alone.
    """
    for placed in folder.acts.values():
        form = placed.form
        least = [LEAST[hazard] for hazard in form.brings]
        least += [LEAST_OF[form.occasion]] if form.occasion is not None and form.occasion in LEAST_OF else []
        wanted = min(least, key=SIGNALS.index)
        for reader in doers(form.who):
            signals = [folder.cautions[name].form.signal for name in told_of(form, reader) if name in folder.cautions]
            gravest = min(signals, key=SIGNALS.index, default=wanted)
            if SIGNALS.index(gravest) > SIGNALS.index(wanted):
                fields = {"act": form.act, "reader": reader, "gravest": gravest, "wanted": wanted}
                yield Doubt(placed, ("brings",), to_tell("second_look.safety.too_mild", **fields), reader, at_key=True)


def dangers_have_grave_cautions(folder: Folder) -> Iterator[Doubt]:
    """What is told where a danger is reported has the signal word DANGER or WARNING.

    Right: `danger: tingle` with `cautions: [tingle_keep_out]`, whose signal word is DANGER.
    Wrong: the same where its signal word is CAUTION.
    """
    for placed in folder.dangers.values():
        for index, name in enumerate(placed.form.cautions):
            caution = folder.cautions.get(name)
            if caution is not None and caution.form.signal not in ("DANGER", "WARNING"):
                saying = to_tell("second_look.safety.mild_danger", caution=name, signal=caution.form.signal)
                yield Doubt(placed, ("cautions", index), saying, name)


def a_notice_warns_of_no_injury(folder: Folder) -> Iterator[Doubt]:
    """A caution with the signal word NOTICE stands only in acts that can spoil equipment.

    Right: `caution: no_scraping` with `signal: NOTICE`, in an act with `brings: [spoilt_equipment]`.
    Wrong: `caution: release_pressure` with `signal: NOTICE`, in an act with `brings: [stored_pressure]`.
    """
    for name, placed in folder.cautions.items():
        acts = [
            act.form for act in folder.acts.values() if any(name in told_of(act.form, reader) for reader in READERS)
        ]
        hurting = [act.act for act in acts if "spoilt_equipment" not in act.brings]
        if placed.form.signal == "NOTICE" and hurting:
            yield Doubt(placed, ("signal",), to_tell("second_look.safety.only_a_notice", act=hurting[0]))


def parts_bring_their_hazards(folder: Folder) -> Iterator[Doubt]:
    """A repair that takes a part is made of acts that bring what handling this part brings, for each who does it.

    Right: `part: union_oring` with `brings: [stored_pressure]`, and its repair has `does: [opens_pressure]`.
    Wrong: the same where the repair has no `does`.
    """
    for placed in folder.repairs.values():
        if not is_whole(folder, placed):
            continue
        for part in placed.form.parts:
            wanted = folder.parts[part].form.brings if part in folder.parts else []
            for reader in doers(placed.form.who):
                brought = {hazard for act in acts_of(folder, placed, reader) for hazard in act.brings}
                for hazard in wanted:
                    if hazard not in brought:
                        saying = to_tell("second_look.safety.part", part=part, hazard=hazard, reader=reader)
                        yield Doubt(placed, ("parts", part), saying, f"{part} {reader}", at_key=True)


def owners_touch_no_current(folder: Folder) -> Iterator[Doubt]:
    """An owner is given no act that is a licensed electrician's by its own cautions, nor one at the cell's live leads,
    and no work that needs a meter or the mains.

    Right: `act: opens_pack` with `who: [technician, electrician]`.
    Wrong: `act: opens_pack` with `who: [owner, technician]`.
    """
    licensed = {c for act in folder.acts.values() if act.form.occasion == "mains" for c in act.form.cautions.technician}
    for placed in folder.acts.values():
        form = placed.form
        boxes = {*form.cautions.owner, *form.cautions.technician}
        if "owner" in form.who and (licensed & boxes or set(_CURRENT) & set(form.brings)):
            yield Doubt(placed, ("who",), to_tell("second_look.safety.owner_act", act=form.act), at_key=True)
    for repair in folder.repairs.values():
        if "owner" in repair.form.who and repair.form.needs in ("meter", "mains"):
            saying = to_tell("second_look.safety.owner_meter", needs=repair.form.needs)
            yield Doubt(repair, ("needs",), saying)
