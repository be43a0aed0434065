"""Hostile folders: `python tests/benchmarks/hostile_folders.py [--folders N] [--seed N]`.

A small folder with a language, phrases, words and worked calls, and another that lies over it: one of all their files
is changed at random, and everything that reads a whole folder does so. Each must end in findings with a place, or in
none; a traceback, more than five seconds, a message that steers a terminal, or a place outside the file is a failure.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from engine.evaluation.look_over import look_over  # noqa: E402
from engine.foundation.problems import KnowledgeError, Problem  # noqa: E402
from engine.foundation.text_catalog import use_language  # noqa: E402
from engine.knowledge.bundle import BundleError, folders_of  # noqa: E402
from engine.knowledge.changes import changes, entries_of  # noqa: E402
from engine.knowledge.mentions import mentions_of, read_stack  # noqa: E402
from tests.benchmarks.hostile import Count, mutated, steers  # noqa: E402

GOOD = ROOT / "tests" / "examples" / "good"
OWN: Mapping[str, str] = {
    "chain/languages/es/parts.yaml": "- part: salt\n  of: abcdefgh\n  customer: Sal\n  technician: Sal\n",
    "chain/languages/es/repairs.yaml": (
        "- repair: mix_salt\n  of: abcdefgh\n  customer: Deje que la bomba mezcle la sal\n  technician: Circular\n"
        "  steps: [Deje la bomba un día y pruebe otra vez.]\n"
    ),
    "chain/languages/es/said/mine.yaml": "cell_plates:\n  clean: [brillante]\n",
    "chain/languages/es/words/opening.yaml": 'noted: "Anotado."\n',
    "chain/said/mine.yaml": "cell_plates:\n  clean: [shiny, no scale/crust]\n  never: [plates of food]\n",
    "chain/words/opening.yaml": 'noted: "Noted here."\n',
    "shop/format.yaml": "version: 2\n",
    "shop/overlay.yaml": "overlay: shop\nover: ../chain\nof: 0123456789ab\nremove: {unit: [tells_little]}\n",
    "shop/parts.yaml": "- part: salt\n  customer: Our salt\n  most: 400 kg\n- part: dummy_spool\n  in_van: yes\n",
    "shop/causes/mine.yaml": "- cause: cell_scaled\n  shows: {current_gap: {low: 0.7}}\n  likelier:\n",
}


def folders(chance: random.Random, most: int) -> Count:
    """Two folders over each other with one file changed: looked through, compared, searched and packed."""
    count = Count("folders")
    with tempfile.TemporaryDirectory(prefix="brinecall-") as name:
        place = Path(name)
        shutil.copytree(GOOD, place / "chain")
        for file, text in OWN.items():
            (place / file).parent.mkdir(parents=True, exist_ok=True)
            (place / file).write_text(text, encoding="utf-8")
        every = sorted(place.rglob("*.yaml"))
        while count.tried < most:
            path = chance.choice(every)
            whole = path.read_bytes()
            text = mutated(chance, whole.decode())
            with count.one(f"{path.relative_to(place)}: {text[:200]!r}") as wrong:
                path.write_bytes(text.encode("utf-8", errors="surrogatepass"))
                wrong += [each for read in (_looked_over, _compared, _searched, _packed) for each in read(place)]
            path.write_bytes(whole)
    return count


def _looked_over(place: Path) -> list[str]:
    return [each for folder in ("chain", "shop") for each in _amiss(look_over(place / folder).found)]


def _amiss(problems: tuple[Problem, ...]) -> list[str]:
    """What is wrong with how problems are told: in lines that steer, or at places that are none."""
    wrong = []
    for problem in problems[:200]:
        if steers(str(problem)) or len(str(problem)) > 2000:
            wrong.append(f"a message steers or is too long: {str(problem)[:200]!r}")
        path = Path(problem.file)
        lines = path.read_bytes().count(b"\n") + 1 if path.is_file() else 1
        if not (1 <= problem.line <= lines + 1 and problem.column >= 1):
            wrong.append(f"no such place: {str(problem)[:200]!r}")
    return wrong


def _without_mistakes(work: Callable[[], object]) -> list[str]:
    """What is wrong with a refusal; none where there was none."""
    try:
        work()
    except KnowledgeError as error:
        return _amiss(error.problems)
    except BundleError as error:
        return ["a message steers"] if steers(str(error)) else []
    return []


def _compared(place: Path) -> list[str]:
    return _without_mistakes(lambda: changes(entries_of(place / "chain"), entries_of(place / "shop")))


def _searched(place: Path) -> list[str]:
    def search() -> None:
        for _, written in read_stack(place / "shop"):
            for kind, name in (("part", "salt"), ("check", "cell_plates"), ("unit", "tells_little")):
                mentions_of(written, kind, name)

    return _without_mistakes(search)


def _packed(place: Path) -> list[str]:
    return _without_mistakes(lambda: folders_of(place / "shop"))


def main() -> int:
    """Try so many, and print how many failed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folders", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    use_language("en")
    return 1 if folders(random.Random(wanted.seed), wanted.folders).told() else 0


if __name__ == "__main__":
    sys.exit(main())
