"""How free lines are understood: `python tests/benchmarks/understanding.py [FILE...] [--json] [--misses]`.

Each line is said at the start of an interview by way of the pipe. At once: a stated fact is among what is understood,
with its answer. Offered: it is among what is offered for unclear words. Wrong: understood, and neither stated nor fair.
Without files: those of tests/spoken that only judge. The time of a line is told beside that of an empty one.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from engine.knowledge.model import DANGER_CHECK
from tests.spoken.measuring import FOLDER, Line, Outcome, lines_of, outcome, outcomes, speaking


def measured(found: Sequence[Outcome]) -> dict[str, Any]:
    """The figures of lines of one language: counts, and shares of a hundred."""
    stated = [(each, fact) for each in found for fact in each.line.facts.items()]
    hedged = [(each, fact) for each in found for fact in each.line.hedged.items()]
    dangers = [
        each for each, fact in (*stated, *hedged) if fact[0] == DANGER_CHECK and fact[1] not in ("none", "none_known")
    ]
    at_once = sum(each.is_taken(fact) for each, fact in stated)
    offered = sum(not each.is_taken(fact) and each.is_offered(fact) for each, fact in stated)
    wrong = sum(len(each.wrong) for each in found)
    times = sorted(each.seconds for each in found)
    return {
        "lines": len(found),
        "stated": len(stated),
        "at_once": _percent(at_once, len(stated)),
        "at_once_or_offered": _percent(at_once + offered, len(stated)),
        "wrong": wrong,
        "wrong_of_stated": _percent(wrong, len(stated)),
        "hedged": len(hedged),
        "hedged_taken": sum(each.is_taken(fact) for each, fact in hedged),
        "hedged_offered": sum(each.is_offered(fact) or each.danger_asked for each, fact in hedged),
        "dangers": len(dangers),
        "dangers_asked": sum(each.danger_asked for each in dangers),
        "offers_a_line": round(sum(len(each.offered) > 0 for each in found) / max(len(found), 1), 2),
        "ms_median": round(1e3 * statistics.median(times), 1),
        "ms_95": round(1e3 * times[int(0.95 * (len(times) - 1))], 1),
    }


def _percent(part: int, whole: int) -> float:
    return round(100 * part / whole, 1) if whole else 100.0


def misses(found: Sequence[Outcome]) -> list[str]:
    """What went otherwise than stated, a line each."""
    told = []
    for each in found:
        told += [
            f"{'offered' if each.is_offered(fact) else 'missed '} {fact[0]}={fact[1]}: {each.line.line}"
            for fact in each.line.facts.items()
            if not each.is_taken(fact)
        ]
        told += [f"wrong   {check}={value}: {each.line.line}" for check, value in each.wrong]
        for fact in each.line.hedged.items():
            if each.is_taken(fact):
                told.append(f"hedged, taken {fact[0]}: {each.line.line}")
    return told


def _told(done: int, count: int) -> None:
    """How far it is, where somebody looks."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{done} of {count}{'' if done < count else chr(10)}")


def main() -> int:
    """Measure the files and tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="*", type=Path, help="YAML files of lines")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--misses", action="store_true", help="name each miss")
    wish = parser.parse_args()
    lines = [line for path in wish.files or [FOLDER / "judge.yaml"] for line in lines_of(path)]
    found = outcomes(lines, lambda done: _told(done, len(lines)))
    languages = sorted({line.lang for line in lines})
    figures = {code: measured([each for each in found if each.line.lang == code]) for code in languages}
    with speaking("en"):
        empty = statistics.median(outcome(Line("")).seconds for _ in range(20))
    for row in figures.values():
        row["ms_empty"] = round(1e3 * empty, 1)
    if wish.json:
        sys.stdout.write(f"{json.dumps(figures, indent=2)}\n")
    else:
        for code, row in figures.items():
            sys.stdout.write(f"{code} {' '.join(f'{name} {value}' for name, value in row.items())}\n")
    if wish.misses:
        sys.stdout.writelines(f"{line}\n" for line in misses(found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
