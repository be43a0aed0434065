"""Edits of a YAML text at the places of its parts; whatever is not edited stays as it was, letter by letter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import yaml

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.yaml_reader import compose, read_document

Value = str | Mapping[str, str] | list[str]
"""What is written after a name: a text as it is to be read, such by name, or a list of them."""


def written(value: Value, flow: bool) -> str:
    """A value on one line, quoted where it must be; `flow` where it stands inside brackets or braces."""
    if isinstance(value, list):
        return f"[{', '.join(written(item, True) for item in value)}]"
    if isinstance(value, str):
        return value if _reads_as_itself(value, flow) else _quoted(value)
    return f"{{{', '.join(f'{name}: {written(part, True)}' for name, part in value.items())}}}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _reads_as_itself(text: str, flow: bool) -> bool:
    try:
        held = f"{{a: {text}}}" if flow else f"a: {text}"
        return (
            read_document("", held.encode()).data == {"a": text}
            and read_document("", f"[{text}]".encode()).data == [text]
            if flow
            else read_document("", held.encode()).data == {"a": text}
        )
    except KnowledgeError:
        return False


@dataclass
class YamlText:
    """A YAML text with its parts, and the edits that are to be made to it."""

    file: str
    text: str
    root: Any
    edits: list[tuple[int, int, str]] = field(default_factory=list)

    @classmethod
    def read(cls, file: str, content: bytes) -> YamlText:
        """Read a file. Raises KnowledgeError where it cannot be read to its end."""
        compose(file, content)
        text = content.decode("utf-8-sig")
        return cls(file, text, yaml.compose(text, Loader=yaml.SafeLoader))

    def entries(self, kind: str) -> Iterator[tuple[str, Any]]:
        """The entries of a kind, each with its id, whether the file holds one or a list of them."""
        nodes = self.root.value if isinstance(self.root, yaml.SequenceNode) else [self.root]
        for node in nodes:
            found = self.part(node, kind)
            if found is not None and isinstance(found[1], yaml.ScalarNode):
                yield found[1].value, node

    def part(self, node: Any, *path: str) -> tuple[Any, Any] | None:
        """The name and the value at a path inside a group; None where there is none."""
        found = None
        for name in path:
            pairs = node.value if isinstance(node, yaml.MappingNode) else ()
            found = next(((key, value) for key, value in pairs if key.value == name), None)
            if found is None:
                return None
            node = found[1]
        return found

    def end(self, node: Any) -> int:
        """Where a part's own text ends: at its last word, before comments that follow."""
        if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
            last = node.value[-1]
            return self.end(last[1] if isinstance(last, tuple) else last)
        start = int(node.start_mark.index)
        return start + len(self.text[start : node.end_mark.index].rstrip())

    def replace(self, node: Any, new: str) -> None:
        """Put another text in the place of a part."""
        self.edits.append((node.start_mark.index, self.end(node), new))

    def replace_below(self, key: Any, node: Any, lines: list[str]) -> None:
        """Put lines below a name in the place of its value; a comment behind the name, or behind `>-`, stays."""
        colon = self.text.index(":", key.end_mark.index) + 1
        end = self.end(node)
        head = self.text[colon : node.start_mark.index]
        if node.style in ("|", ">"):
            head += self.text[node.start_mark.index : end].split("\n")[0]
        comment = head[head.index("#") :].split("\n")[0].rstrip() if "#" in head else ""
        indent = " " * (key.start_mark.column + 2)
        below = "".join(f"{self.newline}{indent}{line}" for line in lines)
        self.edits.append((colon, end, f" {comment}{below}" if comment else below))

    def put(self, node: Any, name: str, line: str) -> None:
        """Put a field on one line in the place of another; a comment behind it, or behind its name, stays."""
        found = self.part(node, name)
        if found is None:
            return
        key, value = found
        start, end = key.start_mark.index, self.end(value)
        head = self.text[start : value.start_mark.index]
        comment = f"   {head[head.index('#') :].splitlines()[0].rstrip()}" if "#" in head else ""
        self.edits.append((start, end, f"{line}{comment}"))

    def add_before(self, node: Any, name: str, lines: str) -> None:
        """Put a field before the field of this name, or at the end of the group where it has none of it."""
        found = self.part(node, name)
        if found is None:
            self.add_after(node, node.value[-1][0].value, lines)
            return
        start = found[0].start_mark.index
        between = ", " if node.flow_style else self.newline + " " * found[0].start_mark.column
        self.edits.append((start, start, f"{lines}{between}"))

    def add_after(self, node: Any, name: str, lines: str) -> None:
        """Put a field after the field of this name, behind whatever comment stands on its last line."""
        found = self.part(node, name)
        if found is None:
            return
        key, value = found
        end = self.end(value)
        if node.flow_style:
            self.edits.append((end, end, f", {lines}"))
            return
        at = self.text.find("\n", end)
        at = len(self.text) if at < 0 else at - (self.text[at - 1] == "\r")
        self.edits.append((at, at, self.newline + " " * key.start_mark.column + lines))

    def take_out(self, paths: set[tuple[str, ...]]) -> None:
        """Take the fields at these paths out, with their names; a group of which nothing is left goes as a whole."""
        self._take_out(self.root, (), paths)

    def _take_out(self, node: Any, path: tuple[str, ...], paths: set[tuple[str, ...]]) -> bool:
        """Take out what lies in one group; returns whether nothing of it is left, which is the caller's to take out."""
        if path in paths:
            return True
        if not isinstance(node, yaml.MappingNode):
            return False
        before = list(self.edits)
        gone = [pair for pair in node.value if self._take_out(pair[1], (*path, pair[0].value), paths)]
        if len(gone) == len(node.value) and path:
            self.edits = before
            return True
        for key, value in gone:
            self.take_out_field(node, key, value)
        return False

    def take_out_field(self, node: Any, key: Any, value: Any) -> None:
        """Take one field out of a group, with its name."""
        start, end = key.start_mark.index, self.end(value)
        if node.flow_style:
            others = [pair for pair in node.value if pair[0].start_mark.index > start]
            end = others[0][0].start_mark.index if others else end
            start = start if others else self.text.rindex(",", 0, start)
        else:
            start = self.text.rfind("\n", 0, start) + 1
            line_end = self.text.find("\n", end)
            end = len(self.text) if line_end < 0 else line_end + 1
        # Where two neighbours go, their ranges meet; no other edit is left inside of what goes.
        met = [edit for edit in self.edits if edit[2] == "" and edit[0] < end and start < edit[1]]
        start, end = min([start, *(edit[0] for edit in met)]), max([end, *(edit[1] for edit in met)])
        self.edits = [edit for edit in self.edits if not start <= edit[0] < end]
        self.edits.append((start, end, ""))

    def field(self, node: Any, name: str, value: Value) -> str:
        """A field as it is written into a group: on one line, or below each other where it says two things."""
        if node.flow_style or not isinstance(value, Mapping):
            return f"{name}: {written(value, bool(node.flow_style))}"
        indent = self.newline + " " * (node.value[0][0].start_mark.column + 2)
        return f"{name}:" + "".join(f"{indent}{part}: {written(text, False)}" for part, text in value.items())

    def problem(self, node: Any, what: str, advice: str) -> Problem:
        """A problem with a part, at its place in the text as it was."""
        return Problem(self.file, node.start_mark.line + 1, node.start_mark.column + 1, what, advice)

    def moved(self, problem: Problem) -> Problem:
        """A problem at its place in the text as it is after the edits."""
        lines = self.text.splitlines(keepends=True)
        old = sum(map(len, lines[: problem.line - 1])) + problem.column - 1
        before = [edit for edit in self.edits if edit[0] < old]
        at = old + sum(len(new) - (min(end, old) - start) for start, end, new in before)
        above = self.edited()[:at]
        line, column = above.count("\n") + 1, at - (above.rfind("\n") + 1) + 1
        return replace(problem, line=line, column=column)

    @property
    def newline(self) -> str:
        """How the file ends its lines."""
        return "\r\n" if "\r\n" in self.text else "\n"

    def edited(self) -> str:
        """The text with all edits made."""
        text = self.text
        placed = sorted(enumerate(self.edits), key=lambda item: (item[1][0], item[1][1], item[0]), reverse=True)
        for _, (start, end, new) in placed:
            text = text[:start] + new + text[end:]
        return text

    def edited_as(self, content: bytes) -> bytes:
        """The edited text as it goes into its file, whose content this is: with the byte order mark that it has."""
        mark = b"\xef\xbb\xbf"
        return (mark if content.startswith(mark) else b"") + self.edited().encode()
