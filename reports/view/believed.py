"""What is believed and how sure that is: ranked causes, what speaks for and against, conflict, what was not known."""

from __future__ import annotations

from collections.abc import Iterable

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK
from engine.session.acts import RankedCause
from engine.session.doubting import PossibleSlip, likely_slip
from engine.session.keeping_off import kept_off_by
from engine.session.session import WORTH_ASKING
from reports.phrases import chance_in_words, percent, sentence, weight_in_words
from reports.view.case import JobCase
from reports.view.found import answer_said, derived_said, number_verdict
from reports.view.model import CauseLine, ConflictLine, NotDone, Unknown, Weight

_AT_LEAST, _AT_MOST = 3, 5
_WORTH_A_LINE = 0.02
_WORTH_A_PAIR = 0.10
_SPEAKS_DECIBANS = 1.0
_MOST_UNKNOWN = 3


def cause_lines(case: JobCase) -> tuple[CauseLine, ...]:
    """The three to five most probable causes, something else among them where it is above 2 %."""
    if not case.judges:
        return ()
    lines = []
    for place, ranked in enumerate(_ranking(case)):
        if place >= _AT_LEAST and ranked.probability < _WORTH_A_LINE:
            break
        weights = [_weight(case, finding, decibans) for finding, decibans in ranked.decibans]
        heavy = sorted((w for w in weights if abs(w.decibans) >= _SPEAKS_DECIBANS), key=lambda w: -abs(w.decibans))
        lines.append(
            CauseLine(
                ranked.cause,
                case.say(case.knowledge.causes[ranked.cause].wording),
                ranked.probability,
                chance_in_words(ranked.probability),
                tuple(w for w in heavy if w.decibans > 0),
                tuple(w for w in heavy if w.decibans < 0),
                case.knowledge.causes[ranked.cause].place or "",
            )
        )
    other = next((share for causes, share in case.judged.hypotheses() if not causes), 0.0)
    if other > _WORTH_A_LINE:
        text = say(f"view.believed.something_else.{case.reader}")
        lines.append(CauseLine("", text, other, chance_in_words(other)))
    return tuple(sorted(lines, key=lambda line: -line.probability))


def _ranking(case: JobCase) -> list[RankedCause]:
    """The most probable causes; before any answer only the complaint speaks, and nothing has a weight."""
    if not case.judged.evidence:
        return [RankedCause(cause, share, ()) for cause, share in list(case.judged.marginals().items())[:_AT_MOST]]
    return case.judged.ranking(_AT_MOST)


def together(case: JobCase) -> tuple[str, ...]:
    """Pairs of causes that are likely present at once."""
    if not case.judges:
        return ()
    found = [
        (causes, share) for causes, share in case.judged.hypotheses() if len(causes) == 2 and share >= _WORTH_A_PAIR
    ]
    return tuple(
        say("view.believed.together", causes=_pair(case, causes), chance=chance_in_words(share), percent=percent(share))
        for causes, share in found[:2]
    )


def _pair(case: JobCase, causes: Iterable[str]) -> str:
    first, second = (case.say(case.knowledge.causes[cause].wording).rstrip(".") for cause in causes)
    return say("view.lists.plus", before=first, next=second)


def in_doubt(case: JobCase) -> PossibleSlip | None:
    """The answer that goes least with all the others, if one may well be a slip and can be read again."""
    found = likely_slip(case.judged) if case.judges else None
    return None if found is None or _read_live(case, found.check) else found


def conflict_line(case: JobCase, found: PossibleSlip | None) -> ConflictLine | None:
    """What is told of the answer in doubt, and what it then most likely is."""
    if found is None:
        return None
    answers = case.knowledge.checks[found.check].answers
    instead = next(case.say(answer.wording) for answer in answers if answer.id == found.instead)
    told = _told(case, found.check).rstrip(".")
    chance = percent(found.slip)
    return ConflictLine(
        (say("view.believed.doubt", told=told, instead=instead.rstrip("."), chance=chance),), found.fits
    )


def _read_live(case: JobCase, check: str) -> bool:
    """Whether a check is made on a running plant that something found keeps off: nobody reads it again."""
    return case.knowledge.checks[check].plant == "running" and bool(kept_off_by(case.knowledge, case.job))


def would_help(case: JobCase) -> tuple[Unknown, ...]:
    """What was not known or not possible and would have told most, best first."""
    if not case.judges or case.conclusion.solved:
        return ()
    best = case.session.would_help()[:_MOST_UNKNOWN]
    checks = [case.knowledge.checks[appraisal.check] for appraisal in best]
    return tuple(
        Unknown(c.id, case.say(c.wording), case.say(c.how), cleaned(case.job.cannot.get(c.id, ""))) for c in checks
    )


def not_known_lines(case: JobCase) -> tuple[str, ...]:
    """Everything that was asked and not known."""
    # Danger that nobody could rule out stands at the top of the sheet.
    checks = [case.check(name) for name in dict.fromkeys(case.job.unknown) if name != DANGER_CHECK]
    return tuple(case.say(check.wording) for check in checks if check is not None and check.id not in case.job.answers)


def not_done_lines(case: JobCase) -> tuple[NotDone, ...]:
    """Checks and repairs that could not be done, each with the reason that was given."""
    lines = []
    for name, reason in case.job.cannot.items():
        # A repair stands here where the supply could not be switched for it.
        item = case.check(name) or case.repair(name)
        if item is not None:
            lines.append(NotDone(case.say(item.wording), _reason(reason)))
    for event in case.standing:
        repair = case.repair(event.about)
        if event.kind == "repaired" and event.value != "done" and repair is not None:
            reason = (
                event.reason
                or event.text
                or ("" if event.value == "could_not" else say("view.believed.left_for_later"))
            )
            lines.append(NotDone(case.say(repair.wording), _reason(reason)))
    return tuple(dict.fromkeys(lines))


def still_open(case: JobCase) -> tuple[str, ...]:
    """Where the job was ended early: the checks that would have been asked next, most telling first."""
    if not (case.conclusion.cut_short and case.judges):
        return ()
    return tuple(appraisal.check for appraisal in case.judged.appraise() if appraisal.worth > WORTH_ASKING)[
        :_MOST_UNKNOWN
    ]


def cut_short_lines(case: JobCase) -> tuple[str, ...]:
    """Where the job was ended early: how sure it is, and what would have been asked next."""
    if not case.conclusion.cut_short:
        return ()
    if not case.judges:
        return (say("view.believed.cut_short.no_complaint"),)
    best, share = next(iter(case.judged.marginals().items()))
    name = case.say(case.knowledge.causes[best].wording)
    lines = [say("view.believed.cut_short.less_sure", cause=name.rstrip("."), percent=percent(share))]
    asked = ""
    for check in still_open(case):
        text = case.say(case.knowledge.checks[check].wording)
        asked = say("view.lists.semicolon", before=asked, next=text) if asked else text
    if asked:
        lines.append(say("view.believed.cut_short.still_open", checks=asked))
    return tuple(lines)


def _reason(reason: str) -> str:
    return sentence(cleaned(reason)) if cleaned(reason) else say("view.believed.no_reason")


def _weight(case: JobCase, name: str, decibans: float) -> Weight:
    return Weight(name, _told(case, name), decibans, weight_in_words(decibans))


def _told(case: JobCase, name: str) -> str:
    """A finding with what it says, in a few words: `Salt test: 4100 ppm (right)`."""
    finding = case.knowledge.findings.get(name)
    if finding is not None:
        evidence = next(item for item in case.judged.evidence if item.id == name)
        return say("view.found.told", name=case.say(finding.wording), said=derived_said(case, finding, evidence))
    check = case.knowledge.checks[name]
    value = case.judged.job.answers[name].reading.value
    said = answer_said(case, check, value)
    verdict = "" if isinstance(value, str) else number_verdict(case, check, value)
    label = case.short(check)
    name = f"{label[0].upper()}{label[1:]}"
    if not verdict:
        return say("view.found.told", name=name, said=said)
    return say("view.found.told_judged", name=name, said=said, verdict=verdict)
