"""Which cautions belong on which paper: rules of the trade as data, written without the code that decides.

A box stands where its reader does the act on this sheet, or where the danger was reported; nowhere else. Whoever doses
chlorine by hand is told of goggles, gloves and swimmers in boxes and of acid in a line; acid is spoken of only where
there is some. The tables stand in `paper_tables.py`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from engine.knowledge.model import Knowledge
from engine.session.outcome import outcome_of
from engine.session.session import Session
from reports.document import Audience
from reports.view.model import JobView
from tests.paper_tables import BENCH, CHECKS, DANGERS, DOSE, EXCESS, HOME, ISOLATED, OWNER, SHOCK, TECHNICIAN

HAND_DOSE_SAID = re.compile(r"liquid chlorine|cloro líquido", re.IGNORECASE)
ACID_SAID = re.compile(r"\bacids?\b|ácido", re.IGNORECASE)
GAS_HEATER_SAID = re.compile(r"gas heater|gas fitter|calentador(es)? (de|a) gas|instalador de gas", re.IGNORECASE)
ELECTRICIAN_SAID = re.compile(r"electrician|electricista", re.IGNORECASE)
BRING_SAID = re.compile(r"\b(bring|brings|fetch|traiga|traer|trae)\b", re.IGNORECASE)
SWITCH_ON_SAID = re.compile(r"(?<!not )\b(switch|turn)(ed)? (it |the unit |the pump )?on\b|\bencienda\b", re.IGNORECASE)
ACID_WORK = frozenset(
    {
        "acid_clean",
        "renew_pack_and_clean",
        "superchlorinate",
        "lower_ph",
        "lower_alkalinity",
        "live_with_hardness",
        "settle_flakes",
        "tend_new_plaster",
    }
)


@dataclass
class Belongs:
    """What a paper asks for: boxes, what is told in a box or a line, and what may stand beside these."""

    boxes: set[str] = field(default_factory=set)
    told: set[str] = field(default_factory=set)
    may: set[str] = field(default_factory=set)

    def add(self, notes: str, *, a_line_will_do: bool = False) -> None:
        """Add the cautions of these notes."""
        for note in notes.split():
            if note.endswith("?"):
                self.may.add(note[:-1])
            elif note.endswith("~") or a_line_will_do:
                self.told.add(note.rstrip("~"))
            else:
                self.boxes.add(note)

    def missing(self, boxes: set[str], lines: set[str]) -> set[str]:
        """What is asked for and does not stand."""
        return (self.boxes - boxes) | (self.told - boxes - lines)

    def strange(self, boxes: set[str], lines: set[str]) -> set[str]:
        """What stands and is not asked for."""
        return (boxes | lines) - self.boxes - self.told - self.may


def boxes_of(view: JobView, reader: Audience) -> tuple[set[str], set[str]]:
    """The cautions of a paper as they stand on it: in boxes, and in the line below them."""
    of = view.home if reader == "customer" else view
    return {line.caution for line in of.cautions}, {line.caution for line in of.in_a_line}


def asked_of(view: JobView, session: Session, reader: Audience) -> Belongs:
    """What the paper of a reader asks for, by what stands on it: work, danger, doses and what was seen."""
    belongs = Belongs()
    if session.job.standing:
        for report in session.job.standing:
            belongs.add(DANGERS[report.danger])
        return belongs
    if view.keep_away:
        belongs.add(SHOCK)
    {"customer": _customers, "shop": _shops, "technician": _technicians}[reader](belongs, view, session)
    return belongs


def _customers(belongs: Belongs, view: JobView, session: Session) -> None:
    work = view.home.work
    if work in HOME:
        belongs.add(HOME[work])
    if view.home.steps:
        belongs.add(OWNER[view.actions[0].repair])
    if dose_told(view):
        belongs.add(f"{DOSE} bleached_test?")
    if _too_much(view, session):
        belongs.add("bleached_test swimmers_out~")
    if cloudy(session) and not view.solved and not view.may_infect:
        belongs.add("floor_visible")
    if session.job.complaint == "supply-fault" and not view.solved:
        belongs.add("fuse_as_marked~")


def _shops(belongs: Belongs, view: JobView, _: Session) -> None:
    if view.decision.decision in ("bring_cell", "bring_pack") and not view.keep_away and not view.solved:
        belongs.add(BENCH[view.actions[0].repair])


def _technicians(belongs: Belongs, view: JobView, session: Session) -> None:
    for action in view.actions:
        belongs.add(TECHNICIAN[action.repair], a_line_will_do=action.when == "otherwise")
    for name in session.job.waiting:
        belongs.add(TECHNICIAN.get(name) or CHECKS.get(name, ""), a_line_will_do=True)
    for line in view.would_help:
        belongs.add(CHECKS.get(line.check, ""), a_line_will_do=True)
    if dose_told(view):
        belongs.add(f"{DOSE} bleached_test?")
    if cloudy(session) and not view.solved and not view.may_infect:
        belongs.add("floor_visible~")
    # What is cut short or contradicts itself asks for further looks, which the page names.
    if view.cut_short or view.conflict is not None:
        for notes in CHECKS.values():
            belongs.add(as_may(notes))
    if session.job.plant != "running":
        belongs.add(ISOLATED)


def as_may(notes: str) -> str:
    """The same cautions, none of them asked for."""
    return " ".join(note.rstrip("~?") + "?" for note in notes.split())


def dose_told(view: JobView) -> bool:
    """Whether the paper tells its reader to pour chlorine."""
    return any(HAND_DOSE_SAID.search(line) for line in view.advice.meanwhile)


def _too_much(view: JobView, session: Session) -> bool:
    first = view.actions[0] if view.actions else None
    thinned = first is not None and first.repair == "dilute_and_retest" and first.decision == view.decision.decision
    # A work against too much chlorine whose result is still awaited: nobody knows yet that it is down.
    concluded = outcome_of(session, None).conclusion
    against = {name for name, notes in OWNER.items() if notes.startswith(EXCESS)} | {"dilute_and_retest"}
    awaits = concluded.why == "unverified" and concluded.repair in against
    return not view.solved and (thinned or awaits or session.job.complaint == "too-much-chlorine")


def cloudy(session: Session) -> bool:
    """Whether somebody saw water through which the floor is not seen."""
    said = session.job.readings.get("water_look")
    return said is not None and said.value in ("cloudy", "green")


def words_out_of_place(view: JobView, reader: Audience) -> Iterator[str]:
    """Sentences on acid where there is none, and on gas heaters where none is spoken of."""
    if reader == "customer":
        told = [line.text for line in (*view.home.cautions, *view.home.in_a_line)]
        laws: tuple[str, ...] = ()
        notes = OWNER[view.actions[0].repair] if view.home.steps else ""
    else:
        told, laws = [line.text for line in (*view.cautions, *view.in_a_line)], view.advice.local_code
        notes = " ".join(TECHNICIAN[action.repair] for action in view.actions)
    done = {line.repair for line in view.done}
    acid = bool(done & ACID_WORK) or "acid_never" in notes or dose_told(view) or bool(view.danger)
    if not acid:
        yield from (text for text in (*told, *laws) if ACID_SAID.search(text))
    yield from (text for text in laws if GAS_HEATER_SAID.search(text))


def left_out_of_danger(view: JobView, session: Session) -> Iterator[str]:
    """What a paper owes to a danger: its own steps first as long as it stands, and what was found for ever."""
    record = " ".join(view.danger_record)
    for report in session.job.reports:
        named = session.knowledge.dangers[report.danger].wording
        if not any(words in record for words in (named.customer, named.technician)):
            yield f"the record of {report.danger}"
    if session.job.standing and not view.advice.first:
        yield "first steps"
    if session.job.standing and not session.job.closed and view.decision.decision != "make_safe":
        yield "make safe as the decision"


def words_against_danger(view: JobView, session: Session) -> Iterator[str]:
    """What no paper says while a danger stands: work, parts, to bring something, that there is none, others' words."""
    kinds = {session.knowledge.dangers[report.danger].kind for report in session.job.standing}
    if not kinds:
        return
    if view.actions or view.parts or view.home.steps:
        yield "work while a danger stands"
    if any(line.check == "danger_now" and line.said.startswith(("none", "nada", "ningun")) for line in view.found):
        yield "that no danger"
    told = [*view.advice.meanwhile, *view.advice.come_back, *view.advice.hands_off, *view.advice.local_code]
    told += [*view.decision.why, view.decision.text, view.decision.shop]
    against = [BRING_SAID, SWITCH_ON_SAID]
    against += [ELECTRICIAN_SAID] if kinds == {"gas"} else [ACID_SAID] if kinds == {"electric"} else []
    yield from (text for text in told if any(words.search(text) for words in against))


def unknown_entries(knowledge: Knowledge) -> Iterable[str]:
    """Repairs that no rule speaks of, and rules that speak of no repair or check."""
    yield from sorted(set(knowledge.repairs) ^ set(OWNER))
    yield from sorted(set(knowledge.repairs) ^ set(TECHNICIAN))
    yield from sorted(set(CHECKS) - set(knowledge.checks))
    yield from sorted(set(DANGERS) ^ set(knowledge.dangers))
