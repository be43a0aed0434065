"""No sentence that a person reads stands in the code: a text there could not be said in another language."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
HELD = ("interview/**/*.py", "engine/**/*.py")
SPELLINGS = ROOT / "engine" / "quantities" / "units.py"
"""How people spell units, which is read and never said."""
MODULES = sorted({path for pattern in HELD for path in ROOT.glob(pattern)} - {SPELLINGS})
ONE_SENTENCE = {"engine/foundation/text_catalog.py": ["the words file that tells this mistake is broken here"]}
"""What must stand in the code: words that are broken cannot say that they are."""
WORD = re.compile(r"(?<![\w{<-])[A-Za-z][a-z']+(?![\w}(:=])")
RAISED_AT_PROGRAMMERS = {"AssertionError", "LookupError", "ValueError", "RuntimeError"}


def sentences(source: str) -> Iterator[tuple[int, str]]:
    """Line and text of every string of three words or more with spaces between them, docstrings left out."""
    tree = ast.parse(source)
    left_out: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            left_out.add(id(node.value))
        error = node.exc if isinstance(node, ast.Raise) else None
        if isinstance(error, ast.Call) and ast.unparse(error.func) in RAISED_AT_PROGRAMMERS:
            left_out |= {id(part) for part in ast.walk(error)}
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "re.compile":
            left_out |= {id(part) for part in ast.walk(node)}  # a pattern is read, not said
    for node in ast.walk(tree):
        if id(node) in left_out or not isinstance(node, ast.Constant | ast.JoinedStr):
            continue
        if isinstance(node, ast.JoinedStr):
            text = "".join(str(part.value) if isinstance(part, ast.Constant) else "\0" for part in node.values)
        else:
            text = node.value if isinstance(node.value, str) else ""
        if " " in text.strip() and len(WORD.findall(text)) >= 3:
            yield node.lineno, text


def test_no_sentence_stands_in_the_code() -> None:
    found = {
        path.relative_to(ROOT).as_posix(): [text for _, text in sentences(path.read_text(encoding="utf-8"))]
        for path in MODULES
    }
    assert {name: texts for name, texts in found.items() if texts} == ONE_SENTENCE


def test_a_sentence_in_code_is_found() -> None:
    source = (
        '''"""A docstring of some words."""\nsay(f"There is {danger} here now")\nx = "Left as it was."\ny = "a.b.c"\n'''
    )
    assert {line for line, _ in sentences(source)} == {2, 3}
