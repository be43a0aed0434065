"""Safety in the second form: work is made of hazardous acts, where it listed cautions in the first.

What the shipped entries say now is taken from the shipped folder: they carry the same ids.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

from engine.foundation.problems import Problem
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import told
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import ByReader, Caution, Check, HazardousAct, Knowledge, Repair, Who
from engine.knowledge.properties import READERS
from engine.knowledge.upgrade.properties_of_2 import LET_GO
from engine.knowledge.upgrade.text_edits import YamlText, written

HAZARDS_FILE = "hazards.yaml"
CAUTIONS_FILE = "cautions.yaml"
_OWN = "heeds_"
"""How the id of an act begins that carries a caution of the folder's own."""
_WHO: tuple[Who, ...] = ("owner", "technician", "electrician", "other_trade")


@dataclass
class Safety:
    """What the shipped folder says, which checks and dangers a folder has, and the acts that it needs of its own."""

    checks: frozenset[str]
    dangers: frozenset[str] = frozenset()
    """Those that its first question asks for."""
    shipped: Knowledge = field(default_factory=lambda: load_knowledge(files("faults")))
    own: dict[str, str] = field(default_factory=dict)
    """By the act's id, the caution that it carries."""

    def work(self, text: YamlText, kind: str, entry_id: str, entry: Any) -> Iterator[Problem]:
        """Note the edits by which a check or repair says what it is made of; give what could not be decided.

        A shipped entry is made of what it ships with, in the state of the plant that this demands, and of what carries
        those cautions beyond that somebody added.
        """
        if text.part(entry, "does") is not None:
            return
        known: Mapping[str, Check | Repair] = self.shipped.checks if kind == "check" else self.shipped.repairs
        shipped = known.get(entry_id)
        does = shipped.work.acts if shipped else ByReader()
        plant = shipped.plant if shipped else _word(text, entry, "plant")
        who = frozenset(_words(text, entry, "who"))
        doers = who | {"technician"} if kind == "repair" else frozenset({"owner", "technician"})
        let_go = LET_GO.get((kind, entry_id), ())
        listed = [name for name in _words(text, entry, "cautions") if name not in let_go]
        order = [*self.shipped.acts]
        extra = sorted(
            self._beyond(does, listed, plant, doers),
            key=lambda act: order.index(act.id) if act.id in order else len(order),
        )
        if shipped:
            extra = [act for act in extra if act.plant in ("any", plant)]
            self._state(text, entry, does, shipped.plant)
        for act in extra:
            if act.plant not in ("any", plant):
                at = text.part(entry, "plant") or (entry, entry)
                yield text.problem(at[1], *told("mistakes_rules.safety.other_state", act=act.id, state=act.plant))
        made_of = ByReader(*(_joined(does.to(reader), extra, reader, doers) for reader in READERS))
        if text.part(entry, "cautions") is not None:
            text.put(entry, "cautions", f"does: {_as_written(made_of)}")
        elif made_of != ByReader():
            text.add_before(entry, "source", f"does: {_as_written(made_of)}")
        waits = [name for name in (shipped.waits_for if shipped else ()) if name in self.checks]
        if waits:
            text.add_before(entry, "source", text.field(entry, "waits_for", waits))

    def _state(self, text: YamlText, entry: Any, does: ByReader, plant: str) -> None:
        """Note the edit that gives work the state of the plant that its acts demand."""
        found = text.part(entry, "plant")
        demanded = {self.shipped.acts[act].plant for reader in READERS for act in does.to(reader)} - {"any"}
        if found is not None and demanded and found[1].value not in demanded:
            text.replace(found[1], plant)

    def _beyond(self, does: ByReader, cautions: list[str], plant: str, doers: frozenset[str]) -> Iterator[HazardousAct]:
        """The acts that carry those cautions which these do not, first those that carry many."""
        carried = {name for reader in READERS for act in does.to(reader) for name in _carried(self.shipped.acts[act])}
        listed = {name: self.act_for(name, plant, doers) for name in cautions if name not in carried}
        for name, act in sorted(listed.items(), key=lambda item: -len(_carried(item[1]))):
            if name not in carried:
                carried |= _carried(act)
                yield act

    def act_for(self, caution: str, plant: str, doers: frozenset[str]) -> HazardousAct:
        """The act that brings a caution before work: of those that its doers may do, the one that says least else.

        One that tells it whole comes before one that tells it in a line.

        Args:
            caution: its id; where no shipped act carries it, an act of the folder's own does.
            plant: the state that the work demands.
            doers: who may do the work.
        """
        acts = [act for act in self.shipped.acts.values() if caution in _carried(act) and not doers.isdisjoint(act.who)]
        if acts:
            whole = {act.id: caution in (*act.cautions.owner, *act.cautions.technician) for act in acts}
            return min(acts, key=lambda act: (not whole[act.id], act.plant not in ("any", plant), len(_carried(act))))
        act = f"{_OWN}{caution}"
        self.own[act] = caution
        return HazardousAct(act, (), "any", _WHO, False, ByReader((caution,), (caution,)), ByReader())

    def keeps_off(self, check: str) -> Iterator[str]:
        """The answers of a shipped check that keep the plant off."""
        known = self.shipped.checks.get(check)
        yield from (answer.id for answer in (known.answers if known else ()) if answer.keeps_off)

    def named(self) -> set[str]:
        """The cautions that the folder's hazards.yaml and dangers.yaml name."""
        acts = {name for act in self.shipped.acts.values() for name in _carried(act)}
        return acts | {name for danger in self.dangers for name in self.shipped.dangers[danger].cautions}

    def hazards(self, name: str) -> tuple[bytes, list[Problem]]:
        """The text of hazards.yaml, and the acts in it that do not say yet what they bring.

        Args:
            name: the file's name, as messages give it.
        """
        text = files("faults").joinpath(HAZARDS_FILE).read_text(encoding="utf-8")
        problems = []
        for act, caution in self.own.items():
            text += f"\n- act: {act}\n"
            line = text.count("\n") + 1
            text += f"  brings: []\n  who: {written(list(_WHO), False)}\n  cautions: {written([caution], False)}\n"
            problems.append(Problem(name, line, 3, *told("mistakes_files.format.no_hazard", act=act)))
        return text.encode(), problems


def shorten(text: YamlText, caution: str, entry: Any, language: str) -> None:
    """Note the edit that gives a caution its line in short: the shipped one, or else its own first sentence."""
    if text.part(entry, "in_short") is not None:
        return
    known = _shipped_cautions(language).get(caution)
    if known is not None:
        said = {"customer": known.in_short.customer, "technician": known.in_short.technician}
    else:
        texts = {reader: _word(text, entry, reader) for reader in ("customer", "technician")}
        said = {reader: re.split(r"(?<=[.!?]) ", " ".join(whole.split()))[0] for reader, whole in texts.items()}
    if all(said.values()):
        text.add_before(entry, "source", text.field(entry, "in_short", said))


def add_cautions(text: YamlText, language: str, named: Iterable[str]) -> None:
    """Note the edit that puts those shipped cautions at the end that are named and that the file lacks."""
    place = files("faults").joinpath(*(() if language == ENGLISH else (LANGUAGES, language)), CAUTIONS_FILE)
    lacking = set(named) - {name for name, _ in text.entries("caution")}
    if not place.is_file() or not isinstance(text.root, yaml.SequenceNode) or text.root.flow_style:
        return
    shipped = YamlText.read(str(place), place.read_bytes())
    indent = " " * text.root.start_mark.column
    added = "" if text.text.endswith("\n") else "\n"
    for name, node in shipped.entries("caution"):
        if name in lacking:
            entry = f"- {shipped.text[node.start_mark.index : shipped.end(node)]}"
            added += "\n" + "".join(f"{indent}{line}\n" for line in entry.splitlines())
    text.edits.append((len(text.text), len(text.text), added.replace("\n", text.newline) if lacking else ""))


@cache
def _shipped_cautions(language: str) -> Mapping[str, Caution]:
    """The shipped cautions in a language; none where nothing ships in it."""
    place = files("faults")
    there = language == ENGLISH or place.joinpath(LANGUAGES, language).is_dir()
    return load_knowledge(place, language).cautions if there else {}


def _carried(act: HazardousAct) -> set[str]:
    return {name for reader in READERS for name in (*act.cautions.to(reader), *act.in_a_line.to(reader))}


def _joined(does: Iterable[str], extra: Iterable[HazardousAct], reader: str, doers: frozenset[str]) -> tuple[str, ...]:
    """The acts of a reader with those beyond that are theirs to do."""
    may = {"owner"} & doers if reader == "owner" else doers - {"owner"}
    return tuple(dict.fromkeys([*does, *(act.id for act in extra if not may.isdisjoint(act.who))]))


def _as_written(does: ByReader) -> str:
    both = {reader: list(does.to(reader)) for reader in READERS}
    if both["owner"] == both["technician"]:
        return written(both["owner"], True)
    return f"{{{', '.join(f'{reader}: {written(acts, True)}' for reader, acts in both.items() if acts)}}}"


def _word(text: YamlText, entry: Any, name: str) -> str:
    found = text.part(entry, name)
    return str(found[1].value) if found is not None and isinstance(found[1], yaml.ScalarNode) else ""


def _words(text: YamlText, entry: Any, name: str) -> list[str]:
    found = text.part(entry, name)
    nodes = found[1].value if found is not None and isinstance(found[1], yaml.SequenceNode) else []
    return [str(node.value) for node in nodes]
