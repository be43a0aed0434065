"""How the engine grows with the knowledge: `python -m tests.benchmarks.growth [--times 1 3 10] [--jobs N]`.

One tree grows (`grown.py`): so many times its causes, checks, repairs and named pairs. Each size is measured in a
process of its own: importing the engine bare, loading, compiling the tree, a belief, a next step (what each check is
worth, and what would be done with no further question) of drawn jobs, and the peak of memory. Beside it: pyAgrum's
posterior on the same numbers where it can hold the network, and the exponent of the growth from the size before.
Times are processor milliseconds, medians over all positions met; `first` is the first of a process.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

TREE = "no-output"
MOST_QUESTIONS = 10
AGRUM_UPTO = 5_000
"""pyAgrum is asked up to so many hypotheses: its network is filled number by number, which takes minutes beyond."""
TOLD = (
    ("causes", "{:.0f}"), ("checks", "{:.0f}"), ("hypotheses", "{:.0f}"), ("imports", "{:.0f} ms"),
    ("load", "{:.0f} ms"), ("compile", "{:.1f} ms"), ("belief", "{:.2f} ms"), ("pyagrum", "{:.2f} ms"),
    ("next step", "{:.1f} ms"),
    ("next step, 95th percentile", "{:.1f} ms"), ("next step, first", "{:.0f} ms"), ("appraise", "{:.1f} ms"),
    ("conclude", "{:.1f} ms"), ("peak", "{:.0f} MB"),
)  # fmt: skip
Given = TypeVar("Given")


def clocked(times: list[float], work: Callable[[], Given]) -> Given:
    """Do it, and note the processor milliseconds."""
    begun = time.process_time()
    given = work()
    times.append(1000.0 * (time.process_time() - begun))
    return given


def measured(folder: Path, jobs: int) -> dict[str, float]:
    """The figures of one folder, in this process, which must have imported nothing of the engine yet."""
    times: dict[str, list[float]] = {
        name: [] for name in ("imports", "load", "compile", "appraise", "conclude", "belief")
    }
    clocked(times["imports"], _import)
    from engine.session.models import load_models

    models = clocked(times["load"], lambda: load_models(folder, "en"))
    tree = clocked(times["compile"], lambda: models.tree(TREE))
    found = [_lead(models, seed, times) for seed in range(jobs)]
    steps = [one + two for one, two in zip(times["appraise"], times["conclude"], strict=True)]
    figures = {name: statistics.median(values) for name, values in times.items()}
    figures |= {"next step": statistics.median(steps), "next step, first": steps[0]}
    figures["next step, 95th percentile"] = statistics.quantiles(steps, n=20)[-1]
    figures |= {"causes": len(tree.causes), "checks": len(models.knowledge.checks), "hypotheses": len(tree.prior)}
    figures["peak"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    if len(tree.prior) <= AGRUM_UPTO:
        figures["pyagrum"] = _agrum_ms(tree, found)
    return figures


def _import() -> None:
    import engine.session.models  # noqa: F401


def _lead(models: Any, seed: int, times: Mapping[str, list[float]]) -> Any:
    """Lead one drawn job by what is best asked, and measure at each position; what was found by then."""
    import numpy as np

    from engine.evaluation.calls import WorkedCall
    from engine.evaluation.simulate import opening_of
    from engine.knowledge.model import ROLES, frozen
    from engine.proving.drawn import Drawing, answering
    from engine.session.journal import Event
    from engine.session.session import Session

    call = WorkedCall(str(seed), ROLES[seed % 3], TREE, "default", (), frozen({}), (), ())
    rng = np.random.default_rng(seed)
    model = models.tree(TREE)
    answer = answering(models, Drawing(TREE), rng, int(rng.choice(len(model.prior), p=model.prior)))
    session = Session(models)
    for event in opening_of(models, call):
        session.record(event)
    for _ in range(MOST_QUESTIONS):
        clocked(times["belief"], lambda: session.belief)
        seen = clocked(times["appraise"], session.appraise)
        clocked(times["conclude"], session.conclude)
        name = seen[0].check
        said = answer(session, name)
        session.record(
            Event("dont_know", "", about=name) if said is None else Event("answered", "", about=name, value=said)
        )
    return session.evidence


def _agrum_ms(tree: Any, jobs: Sequence[Any]) -> float:
    """The median of pyAgrum's posterior on the same prior and the rows that spoke, by variable elimination."""
    import numpy as np
    import pyagrum as gum

    from engine.inference.belief import posterior

    times: list[float] = []
    for found in jobs:
        net = gum.BayesNet()
        net.add(gum.LabelizedVariable("h", "", len(tree.prior)))
        net.cpt("h").fillWith(tree.prior.tolist())
        for item in found:
            table = tree.tables[item.id]
            net.add(gum.LabelizedVariable(item.id, "", len(table)))
            net.addArc("h", item.id)
            net.cpt(item.id).fillWith((table / table.sum(axis=0)).T.ravel().tolist())
        engine = gum.VariableElimination(net)
        engine.setEvidence({item.id: list(item.weights) for item in found})

        def solve(engine: Any = engine) -> Any:
            engine.makeInference()
            return engine.posterior("h").tolist()

        theirs = np.array(clocked(times, solve))
        given = [item for item in found if item.id not in tree.given]
        if len(given) == len(found):
            assert np.abs(theirs - posterior(tree, found)).max() < 1e-12
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, nargs="+", default=[1, 3, 10])
    parser.add_argument("--jobs", type=int, default=9)
    parser.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    wanted = parser.parse_args()
    if wanted.folder is not None:
        sys.stdout.write(json.dumps(measured(wanted.folder, wanted.jobs)))
        return
    with tempfile.TemporaryDirectory() as place:
        columns = [_in_a_process(Path(place) / f"x{times}", times, wanted.jobs) for times in wanted.times]
    for name, form in TOLD:
        line = f"{name:28}"
        for k, column in enumerate(columns):
            line += f"{form.format(column[name]) if name in column else '-':>14}"
            if k and name in column and name in columns[k - 1]:
                grown = math.log(column[name] / columns[k - 1][name]) / math.log(wanted.times[k] / wanted.times[k - 1])
                line += f" ({grown:+.1f})"
        sys.stdout.write(line + "\n")


def _in_a_process(folder: Path, times: int, jobs: int) -> dict[str, float]:
    from tests.benchmarks.grown import grow

    command = [sys.executable, "-m", "tests.benchmarks.growth", "--folder", str(grow(folder, times, TREE))]
    done = subprocess.run([*command, "--jobs", str(jobs)], capture_output=True, text=True, check=True, cwd=ROOT)
    return dict(json.loads(done.stdout))


if __name__ == "__main__":
    main()
