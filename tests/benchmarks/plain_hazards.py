"""What the shipped YAML says of hazards, dangers, checks and repairs, read apart from the loader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import takewhile
from typing import cast

import yaml

from tests.benchmarks.plain_knowledge import FAULTS, LOADER, SHARES, Form, said_here

SEEN_OFTEN_ENOUGH = SHARES["hardly ever"]
"""Nobody is asked what such a person hardly ever knows; faults/README.md says so of the word."""
READERS = ("owner", "technician")


@dataclass(frozen=True)
class HazardousAct:
    """One act of hazards.yaml: what it brings and demands, and the cautions of each reader."""

    id: str
    brings: tuple[str, ...]
    plant: str
    who: tuple[str, ...]
    energises: bool
    occasion: str
    cautions: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Work:
    """A check or a repair, as far as safety goes; `answers` and `reports` are a check's, `cures` a repair's."""

    id: str
    plant: str
    needs: str
    who: tuple[str, ...]
    acts: Mapping[str, tuple[HazardousAct, ...]]
    waits_for: tuple[str, ...]
    known: Mapping[str, float]
    keeps_off: frozenset[str]
    reports: Mapping[str, str]
    not_looked_for: frozenset[str]
    usual: Mapping[str, float]
    pointless_if: Mapping[str, tuple[str, ...]]
    cures: tuple[str, ...]
    amount_from: tuple[str, ...]
    ask_again: tuple[str, ...]
    swapped_back: bool

    def cautions(self, reader: str) -> frozenset[str]:
        """What this reader must have been shown before."""
        return frozenset(caution for act in self.acts[reader] for caution in act.cautions[reader])

    def energises(self, reader: str) -> bool:
        """Whether this reader switches something on in it."""
        return any(act.energises for act in self.acts[reader])


@dataclass(frozen=True)
class Danger:
    """One danger: its kind and its own cautions."""

    id: str
    kind: str
    cautions: tuple[str, ...]


@cache
def _entries(pattern: str) -> list[Form]:
    found: list[Form] = []
    for path in sorted(FAULTS.glob(pattern)):
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=LOADER)
        found += data if isinstance(data, list) else [data]
    return found


def _names(value: object) -> tuple[str, ...]:
    return tuple(cast("Sequence[str]", value or ()))


def _group(value: object) -> Mapping[str, object]:
    return cast("Mapping[str, object]", value or {})


def _by_reader(value: object) -> dict[str, tuple[str, ...]]:
    """One list for everybody, or one for each."""
    if isinstance(value, dict):
        return {reader: _names(value.get(reader)) for reader in READERS}
    return {reader: _names(value) for reader in READERS}


def _share(word: str) -> float:
    return SHARES[word] if word in SHARES else float(word)


@cache
def acts() -> Mapping[str, HazardousAct]:
    """Every act of hazards.yaml by its id."""
    return {
        str(form["act"]): HazardousAct(
            str(form["act"]),
            _names(form["brings"]),
            str(form.get("plant", "any")),
            _names(form.get("who")),
            form.get("energises") == "yes",
            str(form.get("is", "")),
            _by_reader(form.get("cautions")),
        )
        for form in _entries("hazards.yaml")
    }


def of_occasion(occasion: str, reader: str) -> frozenset[str]:
    """The cautions of what the program itself lets somebody do."""
    return frozenset(c for act in acts().values() if act.occasion == occasion for c in act.cautions[reader])


def _work(kind: str, form: Form) -> Work:
    answers = _group(form.get("answers"))
    told = {name: _group(words) for name, words in answers.items() if isinstance(words, dict)}
    usual = {name: float(str(share)) / 100 for name, share in _group(form.get("usual")).items()}
    return Work(
        str(form[kind]),
        str(form.get("plant", "any")),
        str(form.get("needs", "nothing")),
        _names(form.get("who")),
        {reader: tuple(acts()[name] for name in names) for reader, names in _by_reader(form.get("does")).items()},
        _names(form.get("waits_for")),
        {role: _share(str(word)) for role, word in _group(form.get("known")).items()},
        frozenset(name for name, words in told.items() if words.get("keeps_off") == "yes"),
        {name: str(words["reports"]) for name, words in told.items() if "reports" in words},
        frozenset(name for name, words in told.items() if words.get("means") == "not_looked_for"),
        usual,
        {about: _names(said) for about, said in _group(form.get("pointless_if")).items()},
        tuple(_group(form.get("cures"))),
        _names(form.get("amount_from")),
        _names(form.get("ask_again")),
        "swap_back" in form,
    )


@cache
def checks() -> Mapping[str, Work]:
    """Every check by its id."""
    return {str(form["check"]): _work("check", form) for form in _entries("checks/*.yaml")}


@cache
def figures() -> Mapping[str, tuple[str, ...]]:
    """The checks whose figures each kind of unit shows."""
    return {str(form["unit"]): _names(form.get("shows_numbers")) for form in _entries("units/*.yaml")}


@cache
def repairs() -> Mapping[str, Work]:
    """Every repair by its id."""
    return {str(form["repair"]): _work("repair", form) for form in _entries("repairs.yaml")}


@cache
def dangers() -> Mapping[str, Danger]:
    """Every danger by its id."""
    return {
        str(form["danger"]): Danger(str(form["danger"]), str(form["kind"]), _names(form.get("cautions")))
        for form in _entries("dangers.yaml")
    }


@cache
def said_of_danger(language: str) -> tuple[tuple[str, str], ...]:
    """What people say that reports a danger beyond doubt, each with the danger: one way of each entry of `words`."""
    where = "dangers.yaml" if language == "en" else f"languages/{language}/dangers.yaml"
    return tuple(
        (" ".join(word.split("/")[0].rstrip("*") for word in words.split()), str(form["danger"]))
        for form in _entries(where)
        for words in _names(form.get("words"))
    )


@cache
def steps_of(danger: str, reader: str, language: str) -> tuple[str, ...]:
    """The first steps of a danger, for the owner or the technician, in this language."""
    where = "dangers.yaml" if language == "en" else f"languages/{language}/dangers.yaml"
    form = next(form for form in _entries(where) if form["danger"] == danger)
    return _names(_group(form["steps"])["customer" if reader == "owner" else "technician"])


@cache
def switching_texts(which: str) -> frozenset[str]:
    """What is asked where the supply is to be switched `on` or `off`, in every language."""
    files = (FAULTS / "words/asking.yaml", *FAULTS.glob("languages/*/words/asking.yaml"))
    texts: set[str] = set()
    for path in files:
        # The file is in a form of its own; the lines of this one key are plain YAML.
        _, _, behind = path.read_text(encoding="utf-8").partition("\nswitch:\n")
        lines = list(takewhile(lambda line: line.startswith(" "), behind.splitlines()))
        switch = yaml.load("\n".join(lines), Loader=LOADER)
        texts |= {str(text) for text in _group(switch[which]).values()}
    return frozenset(texts)


@cache
def roles() -> Mapping[str, Form]:
    """Every role by its id."""
    return {str(form["role"]): form for form in _entries("roles.yaml")}


@cache
def shows_beyond_usual(cause: str, check: str, tree: str) -> frozenset[str]:
    """The answers of a check that a cause shows more often than other pools do, here or behind any complaint."""
    entry = next((form for form in _entries("causes/*.yaml") if form["cause"] == cause), {})
    here = next((form for form in _entries("trees/*.yaml") if form["tree"] == tree), {})
    said = [
        _group(_group(entry.get("shows")).get(check)),
        _group(said_here(here, cause).get(check)),
    ]
    usual = checks()[check].usual
    return frozenset(name for each in said for name, word in each.items() if _share(str(word)) > usual.get(name, 0.0))


@cache
def mends(repair: str, check: str, answer: str, tree: str) -> bool:
    """Whether a repair, done, takes away what this answer found."""
    return any(answer in shows_beyond_usual(cause, check, tree) for cause in repairs()[repair].cures)


@cache
def contexts() -> frozenset[str]:
    """Checks that ask how long ago or how old something is: what makes a cause likelier."""
    return frozenset(str(check) for form in _entries("causes/*.yaml") for check in _group(form.get("likelier")))
