"""A faults folder with one entry renamed, removed or emptied, and an interview driven through whatever is accepted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import unified_diff
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import YamlDocument, compose
from engine.knowledge import loader
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.questions import question_for
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets

AT, DATE = "2026-05-04T09:00:00Z", "2026-05-04"
ROLES: tuple[RoleId, ...] = ("counter", "phone", "field")
READERS: tuple[Audience, ...] = ("customer", "technician", "shop")
WAYS = ("renamed alone", "renamed throughout", "removed", "emptied")
MOST_ACTS = 60

USES: Mapping[str, Sequence[tuple[str, str, str]]] = {
    "check": (
        ("check", "pointless_if", "keys"),
        ("check", "waits_for", "list"),
        ("repair", "waits_for", "list"),
        ("finding", "from", "list"),
        ("finding", "assume", "keys"),
        ("finding", "replaces", "list"),
        ("cause", "shows", "keys"),
        ("cause", "likelier", "keys"),
        ("cause", "distrusts", "list"),
        ("repair", "ask_again", "list"),
        ("repair", "amount_from", "list"),
        ("unit", "shows_numbers", "list"),
        ("tree", "given", "keys"),
        ("tree", "here", "inner keys"),
        ("tree", "steps", "ask"),
    ),
    "finding": (("cause", "shows", "keys"), ("tree", "here", "inner keys")),
    "cause": (
        ("cause", "not_with", "list"),
        ("repair", "cures", "keys"),
        ("tree", "of_100_calls", "keys"),
        ("tree", "two_faults", "pairs"),
        ("tree", "here", "keys"),
    ),
    "repair": (("cause", "repairs", "list"), ("tree", "steps", "propose")),
    "part": (("repair", "parts", "keys"),),
    "limit": (),
    "caution": (
        ("act", "cautions", "by reader"),
        ("act", "in_a_line", "by reader"),
        ("danger", "cautions", "list"),
    ),
    "act": (("check", "does", "by reader"), ("repair", "does", "by reader")),
    "danger": (("check", "answers", "reports"),),
    "role": (),
    "unit": (),
    "tree": (),
}
"""By kind, where entries speak of its ids: the kind of the entry, the field, and how they stand there."""


@dataclass(frozen=True)
class Variant:
    """One entry of a folder, and what is done to it."""

    way: str
    kind: str
    id: str


@dataclass(frozen=True)
class Written:
    """A faults folder as it was written: the data of each file, and the kind of its entries."""

    contents: Mapping[str, bytes]
    data: Mapping[str, Any]
    kinds: Mapping[str, str]

    def variants(self) -> list[Variant]:
        """Every entry in every way."""
        return [Variant(way, kind, name) for kind, name in self._entries() for way in WAYS]

    def _entries(self) -> Iterator[tuple[str, str]]:
        for file, kind in self.kinds.items():
            yield from ((kind, entry[kind]) for entry in _listed(self.data[file]))

    def with_variant(self, variant: Variant) -> dict[str, bytes]:
        """The files with this one thing done."""
        changed = dict(self.contents)
        for file, kind in self.kinds.items():
            new = _done_to(self.data[file], kind, variant)
            if new is None:
                del changed[file]
            elif new != self.data[file]:
                changed[file] = yaml.dump(new, Dumper=_DUMPER, allow_unicode=True, sort_keys=False).encode()
        return changed


_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


def written(contents: Mapping[str, bytes]) -> Written:
    """A folder's files, read."""
    kinds = {
        file: kind.name
        for file in contents
        for where, kind in FILES.items()
        if file == where or (where.endswith("/") and file.startswith(where))
    }
    return Written(contents, {file: compose(file, contents[file])[0].data for file in kinds}, kinds)


@cache
def shipped() -> Written:
    """The faults folder that ships."""
    contents, problems = contents_of(Path(__file__).parents[1] / "faults")
    assert not problems
    return written(contents)


@cache
def _composed(file: str, content: bytes) -> tuple[YamlDocument, ...]:
    return compose(file, content)


def load(contents: Mapping[str, bytes]) -> Knowledge:
    """The knowledge of a folder's files; a file that was read before is not parsed again. Raises KnowledgeError."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(loader, "compose", _composed)
        return loader.knowledge_from("faults", contents)


def _listed(data: Any) -> list[dict[str, Any]]:
    return data if isinstance(data, list) else [data]


def _done_to(data: Any, kind: str, variant: Variant) -> Any:
    """A file's data with the variant's entry changed; None where the file goes with it."""
    changed = []
    for entry in _listed(data):
        mine = kind == variant.kind and entry[kind] == variant.id
        if mine and variant.way == "removed":
            continue
        if mine and variant.way == "emptied":
            changed.append({kind: variant.id})
            continue
        one = dict(entry)
        if mine:
            one[kind] = f"{variant.id}_2"
        if variant.way == "renamed throughout":
            for where, field, how in USES[variant.kind]:
                if where == kind and field in one:
                    one[field] = _renamed(one[field], how, variant.id)
        changed.append(one)
    if isinstance(data, list):
        return changed
    return changed[0] if changed else None


def _renamed(value: Any, how: str, old: str) -> Any:
    def new(name: str) -> str:
        return f"{old}_2" if name == old else name

    match how:
        case "list":
            return [new(name) for name in value]
        case "reports":
            told = {answer: words for answer, words in value.items() if isinstance(words, dict) and "reports" in words}
            return {**value, **{answer: {**words, how: new(words[how])} for answer, words in told.items()}}
        case "by reader":
            # One list for both, or one for each.
            each = value if isinstance(value, dict) else {"both": value}
            lists = {reader: [new(name) for name in names] for reader, names in each.items()}
            return lists if isinstance(value, dict) else lists["both"]
        case "keys":
            # A line may be that of several, a comma between them.
            return {", ".join(map(new, name.split(", "))): inside for name, inside in value.items()}
        case "inner keys":
            return {name: _renamed(inside, "keys", old) for name, inside in value.items()}
        case "pairs":
            return {re.sub(rf"(?<!\w){re.escape(old)}(?!\w)", f"{old}_2", name): share for name, share in value.items()}
        case _:
            return {name: {**step, **({how: new(step[how])} if how in step else {})} for name, step in value.items()}


# --- an interview through what was accepted -------------------------------------------------------------------------


def drive(knowledge: Knowledge, turn: int = 0) -> list[str]:
    """Interview in each tree and through each danger; the papers of all these interviews, three for each.

    Args:
        knowledge: what the interviews go by; its fingerprint stands on no paper here.
        turn: which role takes the first of them; the next takes the next, and so on.

    Raises: whatever the program raises.
    """
    models = Models(replace(knowledge, fingerprint="0123456789ab"))
    dangers = [answer.id for answer in knowledge.checks[DANGER_CHECK].answers[1:]]
    trees = list(knowledge.trees)
    calls = [(ROLES[(turn + nth) % 3], tree, "none") for nth, tree in enumerate(trees)]
    calls += [(ROLES[(turn + nth) % 3], trees[(turn + nth) % len(trees)], danger) for nth, danger in enumerate(dangers)]
    return [paper for call in calls for paper in _papers(interview(models, *call))]


def interview(models: Models, role: RoleId, tree: str, danger: str) -> Session:
    """One interview to its end: the complaint's answers as given, all others the most striking."""
    session = Session(models)
    for about, value in (("role", role), (DANGER_CHECK, danger), ("unit", "default"), ("complaint", tree)):
        session.record(Event("answered", AT, about=about, value=value))
    session.record(Event("answered", AT, about="brought", value="nothing"))
    for _ in range(MOST_ACTS):
        act = session.next()
        if act.kind == "conclude":
            return session
        assert question_for(session, act).text
        session.record(_outcome(session, act))
    raise AssertionError(f"{role}, {tree}, {danger}: no end after {MOST_ACTS} acts")


def _papers(session: Session) -> list[str]:
    return [text_form(sheets(session, DATE, reader)) for reader in READERS]


def _outcome(session: Session, act: Act) -> Event:
    match act.kind:
        case "isolate":
            return Event("made_safe", AT, about=act.about)
        case "make_safe":
            return Event("made_safe", AT, about=DANGER_CHECK)
        case "switch_on":
            return Event("switched_on", AT, about=act.about)
        case "perform":
            return Event("repaired", AT, about=act.repair or act.about, value="done")
        case "verify":
            return Event("verified", AT, about=act.about, value="helped")
        case _:
            return Event("answered", AT, about=act.about, value=_answer(session, act.about))


def _answer(session: Session, name: str) -> str | float:
    check = session.knowledge.checks[name]
    given = session.tree.given.get(name)
    if check.possible is not None:
        return sum(check.possible) / 2
    # One that reports a danger would end every interview there; those are driven one by one.
    return given[0] if given else [answer.id for answer in check.answers if answer.reports is None][-1]


# --- what came of it --------------------------------------------------------------------------------------------------


def outcome_of(variant: Variant, turn: int) -> str:
    """`refused` with places and advice, `worked` to every paper, or what went wrong instead.

    A renaming throughout must leave every paper as it was: people never read an id.
    """
    try:
        knowledge = load(shipped().with_variant(variant))
    except KnowledgeError as error:
        told = all(problem.line >= 1 and problem.what and problem.advice for problem in error.problems)
        return "refused" if error.problems and told else "refused without place or advice"
    papers = drive(knowledge, turn % 3)
    if variant.way == "renamed throughout" and papers != as_shipped(turn % 3):
        before, after = ("\n".join(each).splitlines() for each in (as_shipped(turn % 3), papers))
        return "\n".join(unified_diff(before, after, n=0, lineterm=""))
    return "worked"


@cache
def as_shipped(turn: int) -> list[str]:
    """The papers of the shipped folder."""
    return drive(load(shipped().contents), turn)


def part_of(variants: Sequence[Variant], one_in: int) -> list[Variant]:
    """One in so many of each kind and way, begun at another entry for each."""
    taken: list[Variant] = []
    groups: dict[tuple[str, str], list[Variant]] = {}
    for variant in variants:
        groups.setdefault((variant.way, variant.kind), []).append(variant)
    for nth, group in enumerate(groups.values()):
        taken += group[nth % min(one_in, len(group)) :: one_in]
    return taken
