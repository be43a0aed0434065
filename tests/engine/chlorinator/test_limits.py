"""Values outside a formula: what they are called and what to do instead is worded, whoever refuses them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from engine.chlorinator.limits import RangeError, require_between, require_ph
from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said

ENGINE = Path(__file__).parents[3] / "engine"
MODULES = [path for name in ("chlorinator", "computations") for path in sorted((ENGINE / name).glob("*.py"))]
NAMED_FIRST = {"require_between", "require_above_zero", "require_not_negative", "require_whole"}


def calls() -> Iterator[tuple[str, ast.Call]]:
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield ast.unparse(node.func), node


def literals(nodes: list[ast.expr]) -> set[str]:
    return {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def test_everything_that_is_refused_has_a_name() -> None:
    names = literals([node.args[0] for function, node in calls() if function in NAMED_FIRST])
    sizes = {
        str(keyword.arg) for function, node in calls() if function == "_require_sizes" for keyword in node.keywords
    }
    asked = names | sizes
    assert len(asked) > 40
    assert asked <= said("limits.names").keys()


def test_all_advice_is_worded() -> None:
    given = literals(
        [node.args[5] for function, node in calls() if function == "require_between" and len(node.args) > 5]
    )
    given |= literals([keyword.value for _, node in calls() for keyword in node.keywords if keyword.arg == "instead"])
    given |= literals([node.args[2] for function, node in calls() if function == "_require_strength"])
    assert given == set(said("limits.instead"))


@pytest.mark.parametrize(
    ("code", "wrong", "instead"),
    [
        ("en", "temperature 51 °C is outside 0 to 50 °C", "check the temperature"),
        (
            "es",
            "temperatura 51 °C está fuera del intervalo en que es válida la fórmula, de 0 a 50 °C",
            "revise este valor (temperatura)",
        ),
    ],
)
def test_it_is_said_in_the_language_in_use(code: str, wrong: str, instead: str) -> None:
    use_language(code)
    try:
        with pytest.raises(RangeError) as caught:
            require_between("temperature", 51, 0, 50, "°C")
    finally:
        use_language("en")
    assert caught.value.wrong.startswith(wrong)
    assert caught.value.instead.startswith(instead)


def test_what_no_meter_shows_is_told_from_what_the_formula_does_not_cover() -> None:
    """The pH scale runs from 0 to 14 in any textbook."""
    with pytest.raises(RangeError, match="measure the pH again"):
        require_ph(15, 6, 9)
    with pytest.raises(RangeError, match="small doses"):
        require_ph(5, 6, 9)
