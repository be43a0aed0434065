"""Worked calls: YAML text into frozen calls, or all that is wrong with them, each with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, cast

from engine.foundation.problems import KnowledgeError, Problem, advice_for
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path, YamlDocument, read_documents
from engine.knowledge.model import ROLES, SOMETHING_ELSE, Check, Knowledge, RoleId, frozen
from engine.knowledge.required import DEFAULT_UNIT

FIELDS: Final = ("call", "role", "complaint", "unit", "brought", "facts", "cannot", "cause", "note")
BROUGHT: Final = ("water_sample", "cell")


@dataclass(frozen=True)
class WorkedCall:
    """One call as it was: `facts` by check id, in the check's unit, and what was really wrong, for scoring only.

    `causes` is None where the call does not say, and empty where it was something the trees do not know.
    """

    name: str
    role: RoleId
    complaint: str
    unit: str
    brought: tuple[str, ...]
    facts: Mapping[str, str | float]
    cannot: tuple[str, ...]
    causes: tuple[str, ...] | None


@dataclass
class _Reader:
    """Reads one document, collecting what is wrong with it."""

    document: YamlDocument
    knowledge: Knowledge
    problems: list[Problem]

    def wrong(self, path: Path, what: str, advice: str, at_key: bool = False) -> None:
        self.problems.append(self.document.problem(path, what, advice, at_key))

    def word(self, data: Mapping[str, object], name: str, known: tuple[str, ...], default: str | None = None) -> str:
        """A field that names one of a few known things."""
        if name not in data:
            if default is not None:
                return default
            self.wrong((), *told("calls.lacks", name=name, known=", ".join(known)))
            return ""
        value = data[name]
        if value not in known:
            self.wrong((name,), say(f"calls.unknown.{name}", value=value), advice_for(str(value), known))
            return ""
        return str(value)

    def words(self, data: Mapping[str, object], name: str, known: tuple[str, ...]) -> tuple[str, ...]:
        """A field that names several known things, or one."""
        value = data.get(name, [])
        items = value if isinstance(value, list) else [value]
        for index, item in enumerate(items):
            path: Path = (name, index) if isinstance(value, list) else (name,)
            if item not in known:
                self.wrong(path, say("calls.not_here", value=item), advice_for(str(item), known))
        return tuple(str(item) for item in items if item in known)

    def facts(self, data: Mapping[str, object]) -> dict[str, str | float]:
        """The facts, each a known check with an answer it can have."""
        facts = data.get("facts") or {}
        if not isinstance(facts, dict):
            self.wrong(("facts",), *told("calls.no_facts"))
            return {}
        return {name: fact for name, value in facts.items() if (fact := self.fact(name, value)) is not None}

    def fact(self, name: str, value: object) -> str | float | None:
        check = self.knowledge.checks.get(name)
        if check is None:
            advice = advice_for(name, self.knowledge.checks, "check")
            self.wrong(("facts", name), say("calls.no_check", name=name), advice, at_key=True)
            return None
        return self.number(check, value) if check.is_number else self.choice(check, value)

    def number(self, check: Check, value: object) -> float | None:
        path = ("facts", check.id)
        if not isinstance(value, int | float):
            self.wrong(path, *told("calls.no_number", value=value, check=check.id, unit=check.unit))
            return None
        assert check.possible is not None, check.id
        low, high = check.possible
        if not low <= value <= high:
            limits = {"value": f"{value:g}", "low": f"{low:g}", "high": f"{high:g}"}
            self.wrong(path, *told("calls.cannot_be", check=check.id, unit=check.unit, **limits))
            return None
        return float(value)

    def choice(self, check: Check, value: object) -> str | None:
        known = [answer.id for answer in check.answers]
        if not check.meant(value):
            what = say("calls.no_answer", value=value, check=check.id)
            self.wrong(("facts", check.id), what, advice_for(str(value), known))
            return None
        return str(value)


def read_calls(
    file: str, content: bytes, knowledge: Knowledge, instead: Mapping[str, str] | None = None
) -> tuple[WorkedCall, ...]:
    """A worked call names a role, a complaint, and checks with answers or readings that they can have.

    Right: `facts: {cell_plates: white_scale, tested_salt: 3100}`.
    Wrong: `facts: {cell_plates: white_scales, tested_salt: a lot}`.

    Args:
        file: the file's name, as messages give it.
        content: its bytes.
        instead: `role`, `complaint` or `unit` that win over what each call says.

    Raises:
        KnowledgeError: with every problem of the file.
    """
    problems: list[Problem] = []
    calls = tuple(
        _read(_Reader(document, knowledge, problems), number, instead or {})
        for number, document in enumerate(read_documents(file, content), start=1)
        if document.data is not None
    )
    if problems:
        raise KnowledgeError(problems)
    return calls


def _read(reader: _Reader, number: int, instead: Mapping[str, str]) -> WorkedCall:
    data = reader.document.data
    if not isinstance(data, dict):
        reader.wrong((), *told("calls.no_call"))
        data = {}
    data = {**data, **instead}
    for name in data:
        if name not in FIELDS:
            reader.wrong((name,), say("calls.no_field", name=name), advice_for(name, FIELDS), at_key=True)
    knowledge = reader.knowledge
    role = reader.word(data, "role", ROLES)
    facts = reader.facts(data)
    brought = reader.words(data, "brought", BROUGHT) if "brought" in data else _inferred(facts, knowledge)
    named = reader.words(data, "cause", (*knowledge.causes, SOMETHING_ELSE))
    return WorkedCall(
        name=str(data.get("call", say("calls.nameless", number=number))),
        role=cast(RoleId, role),
        complaint=reader.word(data, "complaint", tuple(knowledge.trees)),
        unit=reader.word(data, "unit", tuple(knowledge.units), default=DEFAULT_UNIT),
        brought=brought if role == "counter" else (),
        facts=frozen(facts),
        cannot=reader.words(data, "cannot", tuple(knowledge.checks)),
        causes=tuple(cause for cause in named if cause != SOMETHING_ELSE) if "cause" in data else None,
    )


def _inferred(facts: Mapping[str, str | float], knowledge: Knowledge) -> tuple[str, ...]:
    """What a customer must have brought for these facts to be known at the counter."""
    shown = {knowledge.checks[name].brought for name in facts}
    return tuple(thing for thing in BROUGHT if thing in shown)
