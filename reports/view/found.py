"""What was found: the answers with who or what gave them, and the findings worked out from them."""

from __future__ import annotations

from dataclasses import replace

from engine.findings.readings import STAND_INS, band_weights, usual_middle
from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.inference.belief import Evidence
from engine.knowledge.computed import COMPUTED_FINDINGS
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, Check, Finding
from engine.quantities.quantity import figure
from engine.quantities.unit_systems import shown_in
from engine.session.journal import Event
from engine.treatment.chlorine import chlorine_range
from reports.view.case import JobCase
from reports.view.figures import figure_behind
from reports.view.known import KnownReadings
from reports.view.model import DerivedLine, FoundLine

_CLEAR_SHARE = 0.75
"""A band that holds less of the reading than this is named as a near thing: judgement."""


def found_lines(case: JobCase) -> tuple[FoundLine, ...]:
    """Every answer that was given and not taken back, in the order first given; as found and as left apart."""
    lines: dict[tuple[str, bool], FoundLine] = {}
    left = False
    for event in case.standing:
        if event.kind == "repaired" and event.value == "done":
            left = True
        check = case.check(event.about)
        if event.kind in ("answered", "corrected") and check is not None:
            lines[check.id, left] = _found(case, check, event, left)
    told = [_as_it_came_out(case, line) for line in lines.values()]
    # That there is none is no finding once one was told of.
    return tuple(line for line in told if not (case.job.no_danger_untrue and line.check == DANGER_CHECK))


def _as_it_came_out(case: JobCase, line: FoundLine) -> FoundLine:
    """A danger that was told of and found safe since says so: nobody takes it for one that stands."""
    over = line.check == DANGER_CHECK and case.job.reports and not case.job.standing
    return replace(line, said=say("view.found.found_safe", said=line.said)) if over else line


def to_read(case: JobCase) -> tuple[FoundLine, ...]:
    """What instruments or the unit show after the work that was decided, of which there is no reading yet."""
    chosen = case.repair(case.conclusion.repair)
    checks = (case.check(name) for name in (() if chosen is None else chosen.ask_again))
    open_ones = [check for check in checks if check is not None and check.id not in case.job.answers]
    asked = ((check, _limits(case, check)) for check in open_ones)
    return tuple(
        FoundLine(check.id, case.say(check.wording), "", "", "", "", "", "", False, limits)
        for check, limits in asked
        if limits
    )


def answer_said(case: JobCase, check: Check, value: str | float) -> str:
    """An answer in words: a number with its unit, or the words of a choice."""
    if not isinstance(value, str):
        return case.show(value, check.unit) if check.unit is not None else figure(value)
    return check.said(value, case.say)


def number_verdict(case: JobCase, check: Check, value: float) -> str:
    """How a number is judged: its band in words, with a word of doubt near a limit."""
    if check.error is None or not check.bands:
        return ""
    order = [answer.id for answer in check.answers]
    weights = band_weights(check.bands, order, case.unit, value, check.error.of(value))
    best = max(range(len(order)), key=lambda place: weights[place])
    words = case.say(check.answers[best].wording)
    return words if weights[best] >= _CLEAR_SHARE else say("view.found.near_limit", verdict=words)


def derived_said(case: JobCase, finding: Finding, evidence: Evidence) -> str:
    """What a derived finding says: its likeliest answer in words, with a word of doubt where another is near."""
    best = max(range(len(finding.answers)), key=lambda place: evidence.weights[place])
    words = case.say(finding.answers[best].wording)
    clear = evidence.weights[best] >= _CLEAR_SHARE * sum(evidence.weights)
    return words if clear else say("view.found.not_clear", verdict=words)


def derived_lines(case: JobCase) -> tuple[DerivedLine, ...]:
    """Each finding worked out from readings, with those readings and what was taken as usual."""
    lines = []
    for evidence in case.judged.evidence:
        finding = case.knowledge.findings.get(evidence.id)
        if finding is None:
            continue
        readings = tuple(_reading(case, check) for check in evidence.readings)
        assumed = tuple(_assumed(case, finding, check) for check in _taken_as_usual(finding, evidence))
        figure = figure_behind(finding, KnownReadings(case.numbers, case.knowledge, case.unit, case.units))
        said = derived_said(case, finding, evidence)
        lines.append(DerivedLine(finding.id, case.say(finding.wording), said, figure, readings, assumed))
    return tuple(lines)


def _found(case: JobCase, check: Check, event: Event, left: bool) -> FoundLine:
    value = event.value if isinstance(event.value, str) else float(event.value or 0.0)
    said = answer_said(case, check, value)
    typed = cleaned(event.text)
    unit_says = (
        shown_in(case.unit.reports.get(value, ""), case.units)
        if check.id == REPORT_CHECK and isinstance(value, str)
        else ""
    )
    return FoundLine(
        check=check.id,
        asked=case.say(check.wording),
        said=said,
        verdict="" if isinstance(value, str) else number_verdict(case, check, value),
        given_by=_given_by(case, check, event),
        typed="" if isinstance(value, str) or typed in ("", said, f"{value:g}") else typed,
        unit_says="" if case.job.unit_assumed else unit_says,
        counted_in="" if left else _counted_in(case, check),
        left=left,
        limits=_limits(case, check),
    )


def _limits(case: JobCase, check: Check) -> str:
    """What an instrument or the unit should show: the band that is as it should be, else the usual one."""
    read = check.needs in ("kit", "meter") or check.id in case.unit.shows_numbers or check.should_be is not None
    names = [band.id for band in check.bands]
    right = check.should_be or check.answers[0].id
    if not read or right not in names:
        return ""
    ends = [None, *(None if band.under is None else band.under.value(case.unit) for band in check.bands)]
    place = names.index(right)
    if check.tells == "free_chlorine":
        # As all else on the sheet has it: no less than the stabiliser asks for.
        asked = chlorine_range(KnownReadings(case.numbers, case.knowledge, case.unit, case.units))
        ends[place] = ends[place] if asked is None else asked[0]
    low, high = ("" if end is None else answer_said(case, check, end) for end in ends[place : place + 2])
    if low and low == high:
        return say("view.found.limits.just", high=high)
    if low and high:
        return say("view.found.limits.between", low=low, high=high)
    return say("view.found.limits.under", high=high) if high else say("view.found.limits.from", low=low)


def _given_by(case: JobCase, check: Check, event: Event) -> str:
    if event.by and event.by != "memory":
        return cleaned(event.by)
    return say(f"view.found.by.{_giver(case, check, event)}")


def _giver(case: JobCase, check: Check, event: Event) -> str:
    """Who or what gave an answer, by the keys of their words: that depends on who took the job, whoever reads of it."""
    role = case.job.role or "counter"
    if event.by:
        return "memory"
    if check.id in case.unit.shows_numbers:
        return "unit"
    if role == "field":
        return check.needs
    if role == "counter" and check.brought in case.job.brought:
        return "tested_here" if check.needs == "kit" else "seen_here"
    return "customer_at_pool" if role == "phone" else "customer"


def _counted_in(case: JobCase, check: Check) -> str:
    """The derived finding that speaks in a reading's place, if one does."""
    for evidence in case.judged.evidence:
        finding = case.knowledge.findings.get(evidence.id)
        if finding is not None and check.id in finding.replaces and check.id in evidence.readings:
            return case.say(finding.wording)
    return ""


def _taken_as_usual(finding: Finding, evidence: Evidence) -> list[str]:
    """The inputs whose usual spread stood in, as neither they nor what stands in for them was read."""
    used = COMPUTED_FINDINGS[finding.id]
    missing = [check for check in (*used.spreads, *used.mixtures) if check not in evidence.readings]
    return [check for check in missing if check in finding.assume and STAND_INS.get(check) not in evidence.readings]


def _reading(case: JobCase, name: str) -> str:
    check = case.knowledge.checks[name]
    return _named(case.short(check), answer_said(case, check, case.judged.job.answers[name].reading.value))


def _assumed(case: JobCase, finding: Finding, name: str) -> str:
    check, usual = case.knowledge.checks[name], usual_middle(finding, case.unit, name)
    return _named(case.short(check), answer_said(case, check, usual))


def _named(name: str, said: str) -> str:
    """A reading behind its name, which is not said twice: `pH 7.5` and not `pH pH 7.5`."""
    return said if said.startswith(f"{name} ") else say("view.found.named", name=name, value=said)
