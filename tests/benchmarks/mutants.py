"""What survives when the engine is broken on purpose: one small change at a time, and the tests run against each.

`python tests/benchmarks/mutants.py engine/strategy/decision.py tests/engine/strategy` changes every comparison (its
edge, and turned round), sum, product, condition, flag and number, and every `min`, `max`, `any`, `all` and `sum` of the
module, in a copy of the project, and prints what no test has noticed. Annotations and numbers under 0.00001 stay.
"""

from __future__ import annotations

import ast
import copy
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
EDGE = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
TURNED = {
    **{ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq},
    **{ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is},
}
SUMS = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "sum": "max"}
SMALLEST = 1e-5
LIMIT_S = 600


def changes(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes that may stand in the place of this one."""
    match node:
        case ast.Compare(ops=[op, *_]):
            for table in (EDGE, TURNED):
                if type(op) in table:
                    yield changed(node, ops=[table[type(op)](), *node.ops[1:]])
        case ast.BinOp(op=op) if type(op) in SUMS:
            yield changed(node, op=SUMS[type(op)]())
        case ast.BoolOp(op=op):
            yield changed(node, op=ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.If() | ast.IfExp() | ast.While():
            yield changed(node, test=ast.UnaryOp(ast.Not(), node.test))
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield ast.Constant(value + 1)
        case ast.Constant(value=float(value)) if abs(value) >= SMALLEST:
            yield ast.Constant(value * 1.5)
        case ast.Name(id=name, ctx=ast.Load()) if name in NAMES:
            yield ast.Name(NAMES[name], ast.Load())


def changed(node: ast.AST, **fields: object) -> ast.AST:
    """A copy of a node with other fields."""
    other = copy.copy(node)
    for name, value in fields.items():
        setattr(other, name, value)
    return other


def mutants(source: str) -> Iterator[tuple[int, str, str]]:
    """Each change of a module: its line, what it is, and the whole text of the changed module."""
    tree = ast.parse(source)
    for parent in ast.walk(tree):
        for field, held in ast.iter_fields(parent):
            if field in ("annotation", "returns"):
                continue
            for place, node in enumerate(held if isinstance(held, list) else [held]):
                for other in changes(node) if isinstance(node, ast.AST) else ():
                    put(parent, field, place, other)
                    was, now = (ast.unparse(ast.fix_missing_locations(each)).split("\n")[0] for each in (node, other))
                    yield getattr(node, "lineno", 0), f"{was}  ->  {now}", ast.unparse(ast.fix_missing_locations(tree))
                    put(parent, field, place, node)


def put(parent: ast.AST, field: str, place: int, node: ast.AST) -> None:
    """Set a node in its place."""
    held = getattr(parent, field)
    if isinstance(held, list):
        held[place] = node
    else:
        setattr(parent, field, node)


def survives(folder: Path, tests: list[str]) -> bool:
    """Whether no test notices; a change that never ends is noticed."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider", *tests]
    try:
        return subprocess.run(command, cwd=folder, capture_output=True, check=False, timeout=LIMIT_S).returncode == 0
    except subprocess.TimeoutExpired:
        return False


def main(module: str, *tests: str) -> int:
    """Try every change of a module; print what survives, and how many were tried."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "project"
        shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache"))
        target, source = folder / module, (ROOT / module).read_text(encoding="utf-8")
        if not survives(folder, list(tests)):
            sys.exit(f"the tests fail before anything is changed: {' '.join(tests)}")
        tried, left = 0, 0
        for line, what, text in mutants(source):
            target.write_text(text, encoding="utf-8")
            tried += 1
            if survives(folder, list(tests)):
                left += 1
                sys.stdout.write(f"{module}:{line}: {what}\n")
        sys.stdout.write(f"{module}: {tried} changes, {tried - left} noticed, {left} survived\n")
        return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
