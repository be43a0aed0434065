"""Calls that only judge: `python tests/benchmarks/judging.py [--misses]`.

72 invented calls over all the complaints, written from scenes outward by people who had not read what the causes say,
half of them tidy (all facts together point to the cause) and half messy. No number of the knowledge is chosen by them.
Beside each call stands which decisions are fair, and which cautions its papers must not lack.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

sys.path.insert(0, str(Path(__file__).parents[2]))

from engine.evaluation.calls import WorkedCall, read_calls
from engine.evaluation.scoring import score
from interview.commands.try_calls import call_as_json
from tests.shipped import knowledge, models

FOLDER = Path(__file__).parents[1] / "judging"
MEASURES = ("first", "exact", "top3", "fair", "cautioned")


@dataclass(frozen=True)
class Judged:
    """One call: what was tried and what is thought of it. `missing` are cautions that a paper lacks, by the paper."""

    call: WorkedCall
    kind: str
    found: Mapping[str, Any]
    fair_decisions: Sequence[str]
    missing: tuple[str, ...]

    @property
    def fair(self) -> bool:
        """Whether the decision is one that a fair veteran would accept."""
        return self.found["decision"] in self.fair_decisions

    def good(self, measure: str) -> bool:
        """Whether the call is right by one of MEASURES."""
        own = {"fair": self.fair, "cautioned": not self.missing}
        return own[measure] if measure in own else bool(self.found[measure])


def expected() -> Mapping[str, Any]:
    """By call: its kind, the fair decisions, the cautions that each paper must have."""
    found: dict[str, Any] = {}
    for path in sorted(FOLDER.glob("*-expected.yaml")):
        found |= yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def calls() -> list[WorkedCall]:
    """The calls, in their order."""
    paths = sorted(path for path in FOLDER.glob("*.yaml") if not path.stem.endswith("-expected"))
    return [call for path in paths for call in read_calls(path.name, path.read_bytes(), knowledge())]


def judged() -> Iterator[Judged]:
    """Each call tried and judged."""
    wanted = expected()
    for call in calls():
        found, want = call_as_json(score(models(), call), knowledge()), wanted[call.name]
        missing = tuple(
            f"{paper}: {caution}"
            for paper, cautions in want["cautions"].items()
            for caution in cautions
            if caution not in found["papers"][paper]
        )
        yield Judged(call, want["kind"], found, want["fair"], missing)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print how many of 100 are right by each measure, by kind, and the misses where they are wanted."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--misses", action="store_true", help="name each call that is wrong, and how")
    wish = parser.parse_args(arguments)
    tried = list(judged())
    for kind in ("tidy", "messy"):
        own = [each for each in tried if each.kind == kind]
        told = (f"{name} {100 * sum(each.good(name) for each in own) / len(own):.0f}" for name in MEASURES)
        sys.stdout.write(f"{kind:6}{len(own)} calls, of 100: {', '.join(told)}\n")
    for each in tried if wish.misses else ():
        wrong = [name for name in MEASURES if not each.good(name)]
        if wrong:
            first = [
                f"{'+'.join(r['causes']) or 'something else'} {r['probability']:.2f}" for r in each.found["ranked"][:3]
            ]
            sys.stdout.write(
                f"\n{each.kind} {each.call.complaint} {each.call.role}: {each.call.name}\n"
                f"  wrong: {', '.join(wrong)}; expected {each.found['expected']}, found {', '.join(first)}\n"
                f"  decided {each.found['decision']}, fair {each.fair_decisions}; missing {each.missing}\n"
                f"  asked {each.found['asked']}\n"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
