"""What the interview says in its own words: set-up questions, chances, decisions, and why something is asked; pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engine.foundation.texts import say
from engine.inference.speaking_for import spoken_for
from engine.knowledge.model import Check, Finding, Knowledge, Repair, RoleId, Tree
from engine.quantities.units import KINDS, UNITS
from reports.phrases import chance_in_words, done_when

_WORTH_NAMING = 0.05
_LIKELY_ENOUGH = 0.2


def set_up_text(about: str, role: RoleId | None) -> str:
    """The question that settles one of role, unit, complaint, brought."""
    if about == "role":
        return say("opening.role")
    return say(f"asking.set_up.{about}.{'technician' if role == 'field' else 'customer'}")


def short_name(knowledge: Knowledge, causes: Sequence[str]) -> str:
    """A cause, or a pair of causes, in a few words; no causes is something the trees do not know."""
    if not causes:
        return say("asking.something_else")
    return " + ".join((*knowledge.causes[cause].names, cause.replace("_", " "))[0] for cause in causes)


def standing(knowledge: Knowledge, marginals: Mapping[str, float], something_else: float) -> str:
    """The two or three likeliest causes in one short line, each with its chance in words.

    Args:
        knowledge: for the names.
        marginals: probability of each cause, most probable first.
        something_else: probability of a fault the trees do not know.
    """
    ranked: list[tuple[tuple[str, ...], float]] = [((cause,), share) for cause, share in list(marginals.items())[:3]]
    ranked = sorted([*ranked, ((), something_else)], key=lambda item: -item[1])[:3]
    likely = [
        say("asking.standing.one", cause=short_name(knowledge, causes), chance=chance_in_words(share))
        for causes, share in ranked
        if share >= _LIKELY_ENOUGH
    ]
    others = [short_name(knowledge, causes) for causes, share in ranked if _WORTH_NAMING <= share < _LIKELY_ENOUGH]
    if not likely:
        return say("asking.standing.open", causes=", ".join(others or [short_name(knowledge, ranked[0][0])]))
    if not others:
        return say("asking.standing.likely", likely=", ".join(likely))
    return say("asking.standing.likely_then", likely=", ".join(likely), others=", ".join(others))


def separates(knowledge: Knowledge, tree: Tree, check: Check, causes: Sequence[str], role: RoleId) -> tuple[str, ...]:
    """What the answers to a check would speak for among these causes, a line for each answer that tells anything."""
    observed: list[Check | Finding] = [check, *(f for f in knowledge.findings.values() if check.id in f.inputs)]
    spoken: dict[str, list[str]] = {}
    for cause in causes:
        for item in observed:
            answer = spoken_for(knowledge, tree, cause, item)
            if answer is not None:
                words = next(a.wording.for_role(role) for a in item.answers if a.id == answer)
                spoken.setdefault(words.rstrip("."), []).append(short_name(knowledge, (cause,)))
                break
    return tuple(say("asking.speaks_for", answer=words, causes=", ".join(named)) for words, named in spoken.items())


def steps_to_do(repair: Repair, role: RoleId) -> tuple[str, ...]:
    """A repair's steps as they are told one by one; when it is done is told with the last."""
    steps = repair.steps.for_role(role)
    return (*steps[:-1], " ".join(part for part in (steps[-1], done_when(repair, role)) if part))


def units_understood(unit: str) -> str:
    """Which units a number may be typed in, for example `ppm, mg/L, g/L or %`."""
    return KINDS[UNITS[unit].kind].advice
