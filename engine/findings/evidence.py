"""From answers to findings: soft bands for numbers, and derived findings that replace the readings they come from."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.findings.readings import Readings, band_weights
from engine.findings.registry import DERIVATIONS
from engine.inference.belief import Evidence
from engine.knowledge.model import Check, Finding, Knowledge, UnitProfile


@dataclass(frozen=True)
class Observation:
    """One answer as given: an answer id or a number in the check's unit, and the instrument or memory it came from."""

    value: str | float
    by: str = ""


def evidence(knowledge: Knowledge, unit: UnitProfile, answers: Mapping[str, Observation]) -> tuple[Evidence, ...]:
    """Everything the answers say, each thing once: derived findings first replace the readings they name.

    What another answer makes pointless says nothing. The result depends on the set of answers, not on their order.
    """
    answers = telling(knowledge, answers)
    computed = [d for f in knowledge.findings.values() if (d := derived(f, knowledge, unit, answers)) is not None]
    silenced = {check for item in computed for check in knowledge.findings[item.id].replaces}
    spoken = [
        Evidence(check_id, _weights(knowledge.checks[check_id], answers[check_id], unit), (check_id,))
        for check_id in knowledge.checks
        if check_id in answers and check_id not in silenced
    ]
    return (*spoken, *computed)


def telling(knowledge: Knowledge, answers: Mapping[str, Observation]) -> dict[str, Observation]:
    """The answers without those that another one makes pointless: a figure read while the pump stands is no reading."""
    said = {name: observation.value for name, observation in answers.items()}
    checks = knowledge.checks
    return {name: found for name, found in answers.items() if not (name in checks and checks[name].is_pointless(said))}


def derived(
    finding: Finding, knowledge: Knowledge, unit: UnitProfile, answers: Mapping[str, Observation]
) -> Evidence | None:
    """The derived finding from these answers; None while an input is missing, or where a fuller one speaks."""
    numbers = _numbers_of(finding, knowledge, answers)
    if not numbers or (weights := DERIVATIONS[finding.id].weights(Readings(finding, unit, numbers))) is None:
        return None
    return None if _outspoken(finding, knowledge, answers) else Evidence(finding.id, weights, tuple(numbers))


def derived_at(
    finding: Finding,
    knowledge: Knowledge,
    unit: UnitProfile,
    answers: Mapping[str, Observation],
    check: Check,
    values: Sequence[float],
) -> list[tuple[float, ...] | None]:
    """The weights of a derived finding were a check read at each of these values; None as in `derived`."""
    trial = {**answers, check.id: Observation(values[0])}
    if _outspoken(finding, knowledge, trial):
        return [None] * len(values)
    numbers, found = _numbers_of(finding, knowledge, trial), []
    for value in values:
        reading = Observation(value)
        read = {**numbers, check.id: (size_of(check, reading), _error(check, reading))}
        found.append(DERIVATIONS[finding.id].weights(Readings(finding, unit, read)))
    return found


def _numbers_of(
    finding: Finding, knowledge: Knowledge, answers: Mapping[str, Observation]
) -> dict[str, tuple[float, float]]:
    """The readings that a finding is worked out from, each with its error."""
    taken = (knowledge.checks[name] for name in finding.inputs if name in answers)
    return {
        check.id: (size_of(check, answers[check.id]), _error(check, answers[check.id]))
        for check in taken
        if check.is_number
    }


def figure_of(
    finding: Finding, knowledge: Knowledge, unit: UnitProfile, values: Mapping[str, float]
) -> Mapping[str, float]:
    """The numbers behind a derived finding, by name; none where it has none, or these readings allow none.

    Args: readings by check, in the check's unit.
    """
    taken = (knowledge.checks[name] for name in finding.inputs if name in values)
    sizes = {check.id: (size_of(check, Observation(values[check.id])), 0.0) for check in taken}
    figure = DERIVATIONS[finding.id].figure
    try:
        numbers = {} if figure is None else figure(Readings(finding, unit, sizes))
    except ArithmeticError:
        # Readings so near nothing that the figure is beyond all numbers.
        return {}
    return numbers if all(map(math.isfinite, numbers.values())) else {}


def _outspoken(finding: Finding, knowledge: Knowledge, answers: Mapping[str, Observation]) -> bool:
    """Whether another finding says the same from these readings and more, so that no reading counts twice."""
    return any(
        set(finding.inputs) < set(other.inputs)
        and all(name in answers or name in other.assume for name in other.inputs)
        and not set(finding.replaces).isdisjoint(other.replaces)
        for other in knowledge.findings.values()
    )


def _weights(check: Check, reading: Observation, unit: UnitProfile) -> tuple[float, ...]:
    order = [answer.id for answer in check.answers]
    if not check.is_number:
        meant = {answer.id for answer in check.meant(reading.value)}
        return tuple(float(answer in meant) for answer in order)
    return band_weights(check.bands, order, unit, size_of(check, reading), _error(check, reading))


def size_of(check: Check, reading: Observation) -> float:
    """The number that counts: of volts and amps the sign only tells which way the meter's leads were held."""
    value = float(reading.value)
    return abs(value) if check.unit in ("V", "A") else value


def _error(check: Check, reading: Observation) -> float:
    if check.error is None:
        raise ValueError(f"{check.id} is a number without an error")
    return check.error.of(float(reading.value))
