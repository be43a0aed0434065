"""Rules for derived findings: only what the program can compute, from checks that it is given."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.computed import COMPUTED_FINDINGS, Computed
from engine.knowledge.model import Assumption
from engine.knowledge.rules.references import entries_are_there
from engine.knowledge.schema import FindingForm


def _computed(folder: Folder) -> Iterator[tuple[Placed[FindingForm], Computed]]:
    for entry_id, placed in folder.findings.items():
        if entry_id in COMPUTED_FINDINGS:
            yield placed, COMPUTED_FINDINGS[entry_id]


def findings_can_be_computed(folder: Folder) -> Iterator[Problem]:
    """A derived finding is one of those that the program computes; a new one needs a programmer first.

    Right: `finding: salt_gap`.
    Wrong: `finding: plate_gap`.
    """
    for entry_id, placed in folder.findings.items():
        if entry_id not in COMPUTED_FINDINGS:
            what = say("mistakes_rules.findings.not_computed", id=entry_id)
            yield placed.problem(("finding",), what, advice_for(entry_id, COMPUTED_FINDINGS))


def finding_inputs_are_checks(folder: Folder) -> Iterator[Problem]:
    """`from` names checks.

    Right: `from: [unit_salt, tested_salt]`.
    Wrong: `from: [unit_salt, testd_salt]`.
    """
    for placed in folder.findings.values():
        yield from entries_are_there(folder, placed, "from", "check", placed.form.from_)


def assumed_and_replaced_are_inputs(folder: Folder) -> Iterator[Problem]:
    """`assume` and `replaces` speak of checks that stand in `from` too.

    Right: `from: [unit_salt, tested_salt]` with `replaces: [unit_salt]`.
    Wrong: `from: [unit_salt, tested_salt]` with `replaces: [unit_temp]`.
    """
    for placed in folder.findings.values():
        form = placed.form
        paths: list[tuple[Path, str, bool]] = [(("assume", check), check, True) for check in form.assume]
        paths += [(("replaces", index), check, False) for index, check in enumerate(form.replaces)]
        for path, check, at_key in paths:
            if check not in form.from_:
                yield placed.problem(path, *told("mistakes_rules.findings.not_in_from", check=check), at_key=at_key)


def findings_get_what_they_need(folder: Folder) -> Iterator[Problem]:
    """A finding lists every check, usual spread and band that its computation counts on.

    Right: `finding: salt_gap` with `from: [unit_salt, tested_salt]`.
    Wrong: `finding: salt_gap` with `from: [unit_salt]`.
    """
    for placed, computed in _computed(folder):
        form = placed.form
        for check in computed.reads:
            if check not in form.from_:
                saying = told("mistakes_rules.findings.reads_too", finding=form.finding, check=check)
                yield placed.problem(("from",), *saying, at_key=True)
        for check in (*computed.spreads, *computed.mixtures):
            if check not in form.assume:
                saying = told("mistakes_rules.findings.needs_spread", finding=form.finding, check=check)
                yield placed.problem(("assume",), *saying, at_key=True)
        for band in computed.bands:
            if band not in form.bands:
                saying = told("mistakes_rules.findings.gives_band", finding=form.finding, band=band)
                yield placed.problem(("bands",), *saying, at_key=True)


def spreads_have_their_kind(folder: Folder) -> Iterator[Problem]:
    """A spread is of the kind that the computation can use.

    Right: `assume: {nominal_voltage: {230: 80, 120: 20}}`.
    Wrong: `assume: {nominal_voltage: 230 give or take 50}`.
    """
    for placed, computed in _computed(folder):
        for check, spread in placed.form.assume.items():
            advice = _wrong_kind(computed, check, spread)
            if advice is not None:
                what = say("mistakes_rules.findings.wrong_spread", check=check)
                yield placed.problem(("assume", check), what, advice)


def _wrong_kind(computed: Computed, check: str, spread: Assumption) -> str | None:
    if check in computed.mixtures and spread.kind != "mixture":
        return say("mistakes_rules.findings.mixture")
    if check in computed.spreads and spread.kind == "mixture":
        return say("mistakes_rules.findings.spread")
    return None
