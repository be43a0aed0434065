"""Whatever one entry of a faults folder becomes: it is refused with place and advice, or the program works with it."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from engine.evaluation.calls import read_calls
from engine.evaluation.simulate import run_call
from engine.foundation.problems import KnowledgeError
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from engine.knowledge.required import NAMED
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.questions import question_for
from reports.card.document import card_document
from reports.card.unroll import unroll
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.project.test_faults_readme import CALLS, EXAMPLE
from tests.shipped import knowledge
from tests.variants import AT, DATE, Variant, drive, interview, load, outcome_of, part_of, shipped

pytestmark = pytest.mark.no_cover  # thousands of runs through branches that other tests take too: counting them is dear

ROOT = Path(__file__).parents[2]
ONE_IN = 48
"""All of them take three minutes: `python -m tests.benchmarks.every_entry`."""
PART = part_of(shipped().variants(), ONE_IN)


def renamed(kind: str, name: str) -> Knowledge:
    """The shipped knowledge with one entry renamed throughout."""
    return load(shipped().with_variant(Variant("renamed throughout", kind, name)))


def test_the_part_takes_every_kind_in_every_way() -> None:
    assert {(each.kind, each.way) for each in PART} == {(each.kind, each.way) for each in shipped().variants()}


@pytest.mark.e2e
@pytest.mark.parametrize("turn", range(4))
def test_an_entry_that_changes_is_refused_or_works(turn: int) -> None:
    wrong = {}
    for nth, variant in list(enumerate(PART))[turn::4]:
        if (came_of := outcome_of(variant, nth)) not in ("refused", "worked"):
            wrong[variant] = came_of
    assert wrong == {}


# --- the four runs that once went wrong -----------------------------------------------------------------------------


def test_a_danger_is_met_with_its_caution_whatever_that_is_called() -> None:
    session = Session(Models(renamed("caution", "tingle_keep_out")))
    session.record(Event("answered", AT, about="role", value="phone"))
    session.record(Event("answered", AT, about="danger_now", value="tingle"))
    told = question_for(session, session.next()).cautions
    assert ["keep everyone out of the water" in each.text for each in told if each.id == "tingle_keep_out_2"] == [True]


def test_no_chlorine_is_told_where_there_may_be_too_much_whatever_the_remedy_is_called() -> None:
    for known in (knowledge(), renamed("repair", "dilute_and_retest")):
        remedy = next(repair for repair in known.repairs.values() if repair.stops_dosing)
        papers = _papers_of_call(known, "superchlorinated three days running, test stays colourless")
        assert remedy.wording.customer in papers
        assert "Add no more. Keep everyone out" in papers
        assert "liquid chlorine" not in papers


def test_the_mix_of_acid_is_told_whatever_the_cleaning_is_called() -> None:
    for known in (knowledge(), renamed("repair", "acid_clean"), renamed("part", "cleaning_acid")):
        papers = _papers_of_call(known, "service reminder ignored since last season")
        assert "2 L of water first, then 200 mL of acid into it: 2.2 L of mix" in papers


def test_acid_work_that_does_not_say_so_is_refused_whatever_the_acid_is_called() -> None:
    files = shipped().with_variant(Variant("renamed throughout", "part", "cleaning_acid"))
    files["repairs.yaml"] = re.sub(rb"\n *- pours_acid(?=\n)", b"", files["repairs.yaml"])
    with pytest.raises(KnowledgeError) as error:
        load(files)
    assert {problem.what for problem in error.value.problems} == {
        "work that takes `cleaning_acid_2` has no act that `is: acid`"
    }


@pytest.mark.parametrize("reader", ["owner", "technician"])
def test_what_the_program_lets_people_do_is_refused_without_a_caution_for_each_of_them(reader: str) -> None:
    other = "technician" if reader == "owner" else "owner"
    files = dict(shipped().contents)
    # Acid is used at the bench and in the pool.
    for more in ("", ", swimmers_out"):
        both = f"[acid_never_with_chlorine, acid_into_water, splash_protection{more}]"
        assert f"cautions: {both}\n".encode() in files["hazards.yaml"]
        one = f"cautions: {{{other}: {both}}}\n"
        files["hazards.yaml"] = files["hazards.yaml"].replace(f"cautions: {both}\n".encode(), one.encode())
    with pytest.raises(KnowledgeError) as error:
        load(files)
    assert ["`acid`" in problem.what for problem in error.value.problems] == [True]


@pytest.mark.parametrize(
    "line", ["given: {free_chlorine: [high]}", "chlorine: too_much", "given: {owner_test: [high]}"]
)
def test_a_complaint_of_too_much_chlorine_sells_none(line: str) -> None:
    """A complaint of the senior technician's own, whose likeliest cause is one that stops no dose by itself."""
    tree = """
tree: {name}
opens: The pool smells of chlorine.
{line}
of_100_calls: {{cell_scaled: 90, something_else: 10}}
steps: {{free: {{choose: any}}}}
source: judgement
"""
    files = dict(shipped().contents)
    files["trees/plain.yaml"] = tree.format(name="plain", line="of_100_jobs: 1").encode()
    files["trees/too-much.yaml"] = tree.format(name="too-much", line=line).encode()
    models = Models(load(files))
    plain, too_much = (
        text_form(sheets(interview(models, "counter", name, "none"), DATE, annex=True))
        for name in ("plain", "too-much")
    )
    dose = models.knowledge.parts["chlorine_for_hand_dosing"].wording.customer
    assert "Test chlorine daily" in plain
    assert dose not in too_much
    assert "Test chlorine daily" not in too_much
    assert "Add no more" in too_much


def test_an_answer_means_the_same_in_every_language() -> None:
    spanish = load_knowledge(ROOT / "faults", "es")
    meant = [
        {(check.id, each.id): (each.means, each.reports) for check in known.checks.values() for each in check.answers}
        for known in (knowledge(), spanish)
    ]
    assert meant[0] == meant[1]
    assert set(knowledge().dangers) < {danger for _, danger in meant[0].values()}
    assert spanish.checks["danger_now"].wording != knowledge().checks["danger_now"].wording


def _papers_of_call(known: Knowledge, name: str) -> str:
    """The customer's handout and the shop's sheet of a worked call, on one line."""
    file = ROOT / "faults" / "calls" / "visible.yaml"
    call = next(call for call in read_calls(file.name, file.read_bytes(), known) if call.name == name)
    return " ".join(text_form(sheets(run_call(Models(known), call).session, DATE, annex=True)).split())


# --- the example of the manual ----------------------------------------------------------------------------------------


def test_the_manuals_example_carries_an_interview_a_danger_and_a_card_to_paper() -> None:
    example = load({name: text for name, text in EXAMPLE.items() if name != CALLS})
    for turn in range(3):
        assert len(drive(example, turn)) == 6
    models = Models(example)
    for role in ("counter", "phone", "field"):
        card = card_document(example, unroll(models, "low-salt", role), "Ninth Heron Pool Shop", DATE)
        assert text_form([card])


# --- ids in code ---------------------------------------------------------------------------------------------------

OLDER_FORMS = ROOT / "engine" / "knowledge" / "upgrade"
"""What turns older folders into the present form: by their ids, as they say nothing of themselves yet."""
HOMONYMS = {
    "alkalinity": "a key and a quantity of the computations",
    "cell": "a place of a cause, what a customer brings, what a repair renews, and a key of the computations",
    "cell_lead": "a place of a cause",
    "cleaning_acid": "what a part is",
    "closed_rooms": "a hazard",
    "combined_chlorine": "what a check tells",
    "cover": "the name of a command",
    "flow_sensor": "a place of a cause",
    "free_chlorine": "what a check tells, and a key of the computations",
    "hardness": "a key and a quantity of the computations",
    "heater": "a box of the picture of the plant",
    "hot_parts": "a hazard",
    "low_voltage_high_current": "a hazard",
    "months_since_clean": "what a check tells",
    "ph": "a key and a quantity of the computations",
    "power_pack": "a place of a cause",
    "pump": "a place of a cause",
    "salt": "a key of the computations, a group of the unit profile, a gauge and a blank on the sheet",
    "salt_added": "a key of the computations",
    "spent_acid": "an occasion for cautions",
    "stabiliser": "a key of the computations",
    "test_kit": "a place of a cause",
}
"""Words of the code that an entry happens to have as its id too: renaming the entry changes nothing."""


def test_code_speaks_of_no_entry_by_its_id_but_of_those_in_the_table() -> None:
    known = knowledge()
    kinds = (known.checks, known.causes, known.repairs, known.parts, known.cautions, known.acts, known.findings)
    ids = {name for kind in (*kinds, known.trees, known.units) for name in kind}
    found: dict[str, set[str]] = {}
    for folder in ("engine", "interview", "reports"):
        for path in set((ROOT / folder).rglob("*.py")) - set(OLDER_FORMS.rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in ids:
                    found.setdefault(node.value, set()).add(path.relative_to(ROOT).as_posix())
    named = set().union(*NAMED.values())
    assert {name: places for name, places in found.items() if name not in named | HOMONYMS.keys()} == {}
    assert HOMONYMS.keys() - found.keys() == set()
