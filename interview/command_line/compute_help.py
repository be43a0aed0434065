"""What `brinecall compute` says about its computations: each in a line, or one with its keys and an example."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.computations import GROUPS, Entry, example_of, shown_key
from engine.foundation.texts import say
from reports.phrases import sentence

Rows = Sequence[tuple[str, str]]


def all_rows() -> Iterator[tuple[str, Rows]]:
    """Every computation with what it is for, under a heading for what it is about."""
    for name, group in GROUPS.items():
        yield say(f"compute.groups.{name}"), [(entry.name, sentence(entry.meaning)) for entry in group]


def rows_of(entry: Entry) -> tuple[str, Rows]:
    """The keys of one computation with their units, under their heading."""
    return say("compute.keys"), [(shown_key(key), sentence(key.meaning)) for key in entry.keys]


def text_of(entry: Entry) -> str:
    """One computation: what it is for, how its keys are written, its verdicts, an example."""
    paragraphs = [sentence(entry.meaning), say("compute.brackets")]
    if entry.verdicts:
        paragraphs.append(
            sentence(say("compute.verdict", words=", ".join(entry.verdicts[:-1]), last=entry.verdicts[-1]))
        )
    example = f"brinecall compute {entry.name} {example_of(entry)}"
    return "\n\n".join([*paragraphs, f"{say('compute.example')}\n  {example}"])
