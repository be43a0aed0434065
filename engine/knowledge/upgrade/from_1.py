"""From the first form to the second: steps become lists, their end and amounts have fields of their own."""

from __future__ import annotations

import re
from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from engine.foundation.problems import Problem
from engine.foundation.text_catalog import ENGLISH
from engine.foundation.texts import told
from engine.knowledge.number_words import RefusedError, read_amount
from engine.knowledge.upgrade.properties_of_2 import ADDED, COMPUTED, MEANINGS, REPORTS, STRONG
from engine.knowledge.upgrade.safety_of_2 import Safety, add_cautions, shorten
from engine.knowledge.upgrade.text_edits import YamlText, written

Ends = dict[str, frozenset[str] | None]
"""By repair, which readers are told when it is done; None where it has no steps."""

_READERS = ("customer", "technician")
_LATEST: Mapping[str, str] = {
    "repair": "source",
    "cause": "source",
    "check": "source",
    "tree": "source",
}
"""The field before which what is added stands; at the end of an entry that has none."""


@dataclass(frozen=True)
class RepairText:
    """A repair's running text taken apart."""

    before: str
    steps: tuple[str, ...]
    done: str


def parted(text: str, done_when: str) -> RepairText:
    """A running text parted into what stands before step 1, the steps without numbers, and when it is done.

    A number counts as a step's only where it is the next in order and begins a sentence; a text without numbers is one
    step. Args: the text; the words by which its language begins the end, `Done when` in English (empty: unknown).
    """
    running = " ".join(text.split())
    body, _, done = running.partition(f"{done_when} ") if done_when else (running, "", "")
    places: list[tuple[int, int]] = []
    for match in re.finditer(r"(?:(?<=^)|(?<=[.!?:] ))([0-9]{1,2})\. ", body):
        if int(match[1]) == len(places) + 1:
            places.append(match.span())
    if not places:
        return RepairText("", (body.strip(),) if body.strip() else (), done.strip())
    ends = [start for start, _ in places[1:]] + [len(body)]
    steps = tuple(body[end:stop].strip() for (_, end), stop in zip(places, ends, strict=True))
    return RepairText(body[: places[0][0]].strip(), steps, done.strip())


def upgrade_entries(
    text: YamlText, kind: str, done_when: str, ends: Ends, safety: Safety, language: str
) -> Iterator[Problem]:
    """Note the edits that bring the entries of a file into the second form; give what could not be decided.

    Args:
        text: the file.
        kind: the kind of its entries, such as `repair`.
        done_when: the words by which its language begins the end of a repair.
        ends: by repair, the readers that are told in English when it is done; filled in by the English file.
        safety: what the shipped folder says of hazards; filled in with the acts that the folder needs of its own.
        language: its language; but English it lays over the entries, and so holds nothing but texts.
    """
    translated = language != ENGLISH
    for entry_id, entry in text.entries(kind):
        if kind == "repair":
            told_end = yield from _steps(text, entry, done_when)
            if not translated:
                ends[entry_id] = told_end
            elif told_end is not None and ends.get(entry_id, told_end) != told_end:
                yield text.problem(entry, *told("mistakes_files.format.no_end", repair=entry_id))
            yield from _amounts(text, entry_id, entry)
        if kind == "caution":
            shorten(text, entry_id, entry, language)
        if translated:
            continue
        lines = [
            text.field(entry, name, value)
            for name, value in ADDED.get((kind, entry_id), {}).items()
            if text.part(entry, name) is None
        ]
        for line in lines:
            text.add_before(entry, _LATEST.get(kind, ""), line)
        if kind in ("check", "repair"):
            yield from safety.work(text, kind, entry_id, entry)
        if kind == "check":
            _said_of_answers(text, entry, "means", MEANINGS.get(entry_id, {}))
            _said_of_answers(text, entry, "reports", REPORTS.get(entry_id, {}))
            _said_of_answers(text, entry, "keeps_off", dict.fromkeys(safety.keeps_off(entry_id), "yes"))
    if kind == "caution":
        add_cautions(text, language, safety.named())


def _steps(text: YamlText, entry: Any, done_when: str) -> Generator[Problem, None, frozenset[str] | None]:
    """Steps into lists; returns the readers that are told when it is done, None where there are no steps."""
    found = text.part(entry, "steps")
    if found is None or isinstance(found[1], yaml.SequenceNode):
        return None
    key, value = found
    before: dict[str, str] = {}
    done: dict[str, str] = {}
    readers = [(key, value, "")]
    if isinstance(value, yaml.MappingNode):
        readers = [(name, told_to, name.value) for name, told_to in value.value if name.value in _READERS]
    for name, told_to, reader in readers:
        if not isinstance(told_to, yaml.ScalarNode):
            continue
        work = parted(told_to.value, done_when)
        if not work.steps:
            yield text.problem(told_to, *told("mistakes_form.no_steps"))
            continue
        in_braces = entry.flow_style or (bool(reader) and value.flow_style)
        if in_braces:
            text.replace(told_to, written(list(work.steps), True))
        else:
            text.replace_below(name, told_to, [f"- {written(step, False)}" for step in work.steps])
        before |= {reader: work.before} if work.before else {}
        done |= {reader: work.done} if work.done else {}
    if before:
        text.add_before(entry, "steps", text.field(entry, "before_steps", before.get("") or before))
    if done:
        text.add_after(entry, "steps", text.field(entry, "done_when", done.get("") or done))
    return frozenset(_READERS if "" in done else done)


def _amounts(text: YamlText, repair: str, entry: Any) -> Iterator[Problem]:
    found = text.part(entry, "parts")
    if found is None or not isinstance(found[1], yaml.MappingNode):
        return
    for part, amount in found[1].value:
        if not isinstance(amount, yaml.ScalarNode):
            continue
        said = " ".join(amount.value.split())
        computed = STRONG.get((repair, part.value)) or COMPUTED.get(part.value)
        if said == "as computed" and computed is not None:
            text.replace(amount, f"computed {computed}")
        else:
            try:
                read_amount(said)
            except RefusedError as error:
                yield text.problem(amount, error.what, error.advice)


def _said_of_answers(text: YamlText, entry: Any, name: str, said_of: Mapping[str, str]) -> None:
    """Give answers, by their ids, a field of this name."""
    for answer, meaning in said_of.items():
        found = text.part(entry, "answers", answer)
        if found is None or text.part(found[1], name) is not None:
            continue
        node = found[1]
        if isinstance(node, yaml.MappingNode):
            text.add_after(node, node.value[-1][0].value, f"{name}: {meaning}")
        elif isinstance(node, yaml.ScalarNode):
            said = " ".join(node.value.split())
            words = {"customer": said, "technician": said, name: meaning}
            text.replace(node, written(words, True))


def upgrade_words(text: YamlText) -> None:
    """Give the sentence that says when a repair is done its field: a folder may have words of its own."""
    found = text.part(text.root, "work", "done_when") if text.file.endswith("view.yaml") else None
    if found is not None and isinstance(found[1], yaml.ScalarNode) and "{what}" not in found[1].value:
        text.replace(found[1], written(f"{found[1].value.strip()} {{what}}", True))


def done_words(text: YamlText | None) -> str:
    """The words by which a language begins the end of a repair: empty where its folder has none of its own."""
    found = None if text is None else text.part(text.root, "work", "done_when")
    return "" if found is None else str(found[1].value).replace("{what}", "").strip()
