"""Answers of a cause written into its file: one line under `shows` and who said so in `source`; all else stays."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from engine.knowledge.upgrade.text_edits import YamlText, written

_CAUSE, _SHOWS, _SOURCE, _SAYS = "cause", "shows", "source", "says"


def with_answers(file: str, content: bytes, cause: str, said: Mapping[str, Mapping[str, float]], source: str) -> bytes:
    """A file of causes in which one cause shows answers as said; comments and all other lines stay as they were.

    Args:
        file: its name, as messages give it.
        content: its bytes.
        cause: the id of the cause, which stands in this file.
        said: by check or finding, how often which answer shows, shares above 0 and below 1.
        source: what is added to the cause's source, in a line.

    Raises:
        KnowledgeError: where the file cannot be read.
        LookupError: where the cause is not in it.
    """
    text = YamlText.read(file, content)
    entry = next((node for name, node in text.entries(_CAUSE) if name == cause), None)
    if entry is None:
        raise LookupError(cause)
    _put_answers(text, entry, said)
    found = text.part(entry, _SOURCE)
    if found is not None and isinstance(found[1].value, list):
        # What was said with who and when has the new line behind what it says.
        says = text.part(entry, _SOURCE, _SAYS)
        if says is not None:
            together = f"{' '.join(str(says[1].value).split())}; {source}"
            text.put(found[1], _SAYS, f"{_SAYS}: {written(together, bool(found[1].flow_style))}")
    elif found is not None:
        together = f"{' '.join(str(found[1].value).split())}; {source}"
        text.put(entry, _SOURCE, f"{_SOURCE}: {written(together, False)}")
    return text.edited_as(content)


def _put_answers(text: YamlText, entry: Any, said: Mapping[str, Mapping[str, float]]) -> None:
    lines = {item: f"{item}: {_group(answers)}" for item, answers in said.items()}
    shows = text.part(entry, _SHOWS)
    if shows is None:
        indent = text.newline + " " * (entry.value[0][0].start_mark.column + 2)
        below = f"{_SHOWS}:{indent.join(['', *lines.values()])}"
        text.add_before(entry, "likelier" if text.part(entry, "likelier") else "repairs", below)
        return
    new = [item for item in lines if text.part(entry, _SHOWS, item) is None]
    for item, line in lines.items():
        if item not in new:
            text.put(shows[1], item, line)
    group = shows[1]
    if not new:
        return
    if not group.value:
        text.replace(group, "{" + ", ".join(lines[item] for item in new) + "}")
        return
    between = ", " if group.flow_style else text.newline + " " * group.value[0][0].start_mark.column
    text.add_after(group, group.value[-1][0].value, between.join(lines[item] for item in new))


def _group(answers: Mapping[str, float]) -> str:
    """Answers in braces, the shares in few figures; certain ones by their words, as the folder wants them."""
    ends = {0.0: "never", 1.0: "always"}
    return "{" + ", ".join(f"{name}: {ends.get(share, f'{share:.3g}')}" for name, share in answers.items()) + "}"
