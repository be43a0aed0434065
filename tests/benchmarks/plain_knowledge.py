"""The shipped YAML read by code of its own, apart from the loader and the engine's compiling: what an oracle needs."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import cast

import yaml

FAULTS = Path(__file__).parents[2] / "faults"
Hypothesis = frozenset[str]
Form = Mapping[str, object]
"""One entry as the file has it, every value as text."""

SHARES = {"always": 1.0, "nearly always": 0.95, "usually": 0.8, "often": 0.6, "sometimes": 0.3, "seldom": 0.1}
SHARES |= {"hardly ever": 0.02, "never": 0.0}
FACTORS = {"twice": 2.0, "as usual": 1.0, "half": 1 / 2, "a third": 1 / 3, "a quarter": 1 / 4, "a fifth": 1 / 5}
FACTORS |= {"a tenth": 1 / 10}


class Item:
    """A check or derived finding: its answers from usual to most striking, and how often each is usual."""

    def __init__(self, form: Form) -> None:
        usual = {answer: float(share) / 100 for answer, share in _group(form["usual"]).items()}
        # A choice lists its answers; a number's run in the order of `usual`.
        order = list(cast("Mapping[str, object]", form.get("answers") or usual))
        self.answers = order
        self.usual = [usual[answer] for answer in order]


LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
"""It leaves every word as text: yes, no and none are ordinary words in these files."""


@cache
def _entries(*names: str) -> list[Form]:
    found: list[Form] = []
    for path in sorted(p for name in names for p in FAULTS.glob(name)):
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=LOADER)
        found += data if isinstance(data, list) else [data]
    return found


def _group(value: object) -> Mapping[str, str]:
    return cast("Mapping[str, str]", value or {})


def _nested(value: object) -> dict[str, Mapping[str, str]]:
    return dict(cast("Mapping[str, Mapping[str, str]]", value or {}))


@cache
def items() -> dict[str, Item]:
    """Every check and derived finding by its id."""
    found = {str(form["check"]): Item(form) for form in _entries("checks/*.yaml")}
    return found | {str(form["finding"]): Item(form) for form in _entries("findings.yaml")}


@cache
def causes() -> dict[str, Form]:
    """Every cause of the catalogue by its id."""
    return {str(form["cause"]): form for form in _entries("causes/*.yaml")}


@cache
def tree(name: str) -> Form:
    """One tree."""
    return next(form for form in _entries("trees/*.yaml") if form["tree"] == name)


def said_here(of_tree: Form, cause: str) -> Form:
    """What a tree says of a cause, of itself and in lines that it shares with others."""
    lines = _nested(of_tree.get("here"))
    return {check: said for names, line in lines.items() if cause in names.split(", ") for check, said in line.items()}


def shows(of_tree: str, cause: str, item: str) -> list[float] | None:
    """What a cause shows of an item behind this complaint; None where it says nothing of it."""
    here = said_here(tree(of_tree), cause)
    said = _nested(here).get(item) or _nested(causes()[cause].get("shows")).get(item)
    if said is None:
        return None
    known = items()[item]
    stated = {answer: SHARES[word] if word in SHARES else float(word) for answer, word in said.items()}
    rest = 1.0 - sum(stated.values())
    unsaid = sum(u for a, u in zip(known.answers, known.usual, strict=True) if a not in stated)
    return [
        stated.get(a, rest * u / unsaid if unsaid else 0.0) for a, u in zip(known.answers, known.usual, strict=True)
    ]


def factors(cause: str, item: str) -> list[float]:
    """By how much each answer of an item changes the odds of a cause, averaging 1 over the usual answers."""
    said = _nested(causes()[cause].get("likelier")).get(item, {})
    known = items()[item]
    raw = [_factor(said[a]) if a in said else 1.0 for a in known.answers]
    mean = sum(u * f for u, f in zip(known.usual, raw, strict=True))
    return [f / mean for f in raw]


def _factor(text: str) -> float:
    return FACTORS[text] if text in FACTORS else float(text.removesuffix(" times"))


def prior(of_tree: str) -> dict[Hypothesis, float]:
    """P(these causes) of every hypothesis of a tree; the empty set is a fault that the tree does not know.

    Of 100 calls, so many have each named pair, `any` of them one of the other pairs that can be, in proportion to how
    often their causes come together by chance; the rest have one fault, shared out as `of_100_calls`.
    """
    form = tree(of_tree)
    calls = {cause: float(share) for cause, share in _group(form["of_100_calls"]).items()}
    named = {frozenset(n.split(" + ")): float(s) for n, s in _group(form.get("two_faults")).items() if n != "any"}
    any_pair = float(_group(form.get("two_faults")).get("any", "0"))
    excluded = {
        frozenset((cause, cast(str, other)))
        for cause, entry in causes().items()
        for other in cast("list[object]", entry.get("not_with") or [])
    }
    known = [cause for cause in calls if cause != "something_else"]
    loose = {
        frozenset(pair): calls[pair[0]] * calls[pair[1]]
        for pair in itertools.combinations(known, 2)
        if frozenset(pair) not in excluded and frozenset(pair) not in named
    }
    pairs = dict(named)
    if any_pair > 0:
        pairs |= {pair: any_pair * chance / sum(loose.values()) for pair, chance in loose.items()}
    single = (100.0 - sum(pairs.values())) / sum(calls.values())
    found = {frozenset({cause}): calls[cause] * single for cause in known}
    found[frozenset()] = calls.get("something_else", 0.0) * single
    return {hypothesis: share / 100.0 for hypothesis, share in (found | pairs).items()}
