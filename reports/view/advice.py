"""What is told and not done: danger first, until it is mended, hands off, and when to come back."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import said, say
from engine.knowledge.model import Repair
from engine.quantities.quantity import figure
from engine.session.decisions import LEFT_OFF, NOT_YET, OTHERS_COME
from engine.session.keeping_off import kept_off_by
from engine.session.outcome import waiting_for
from engine.treatment.amounts import Enough
from engine.treatment.cautions import Concerns, pump_waits
from engine.treatment.chlorine import chlorine_for_stabiliser_ppm, chlorine_range, hand_dose
from engine.treatment.doses import computed_by
from reports.phrases import (
    chance_in_words,
    date_after,
    day_in_words,
    either,
    joined,
    percent,
    sentence,
    when_it_shows,
)
from reports.view.amounts import hand_amount
from reports.view.case import JobCase
from reports.view.dangers import cleared_by, danger_first
from reports.view.decisions import ending_words
from reports.view.hands_off import hands_off
from reports.view.known import KnownReadings
from reports.view.model import Action, Advice, DecisionLine
from reports.view.opening import answers, by_hand, never, opening
from reports.view.safety import local_code
from reports.view.work import day_shown, known_numbers, not_read_again, shows

_DAYS_UNTIL_A_TEST = 2
"""So long after what was solved chlorine is tested once more; an invented number, from judgement."""
_NOT_BLEACHED_PPM = 0.5
"""A test that shows this much is not taken for a bleached one, which shows next to nothing: judgement."""


def decision_line(case: JobCase, laid_out: Sequence[Action]) -> DecisionLine:
    """The decision in words, and why it was taken."""
    decided = case.decided
    return DecisionLine(
        case.conclusion.decision,
        decided.title,
        decided.told,
        decided.shop,
        decided.shop_bare,
        tuple(_reasons(case, laid_out)),
    )


def advice(case: JobCase, laid_out: Sequence[Action], about: Concerns, water: tuple[str, ...], waits: bool) -> Advice:
    """Everything that the reader is told beside the work itself, with what is left over beside it.

    `waits`: the customer has steps of their own until others come.
    """
    bathing = _bathing(case, about)
    stays_off = "" if about.keep_away else _stays_off(case)
    meanwhile = _meanwhile(case, laid_out, about, (stays_off, bathing))
    # What nobody does before another test stands where the page opens.
    own_never = never(case, laid_out, about)
    doubted = [line for line in meanwhile if about.doubtful_test and line == _doubted(case)]
    return Advice(
        first=danger_first(case),
        opening=opening(case, laid_out, waits),
        likelier=_likelier(case, laid_out),
        answers=(*own_never, *doubted, *_none_added(case, about), *answers(case, laid_out, about)),
        by_hand=by_hand(case, laid_out, about),
        bathing=bathing,
        stays_off=stays_off,
        water=water,
        meanwhile=(*(line for line in meanwhile if line not in doubted), *water),
        hands_off=tuple(hands_off(case, laid_out, about, bool(own_never))),
        come_back=tuple(_come_back(case, laid_out)),
        days=_days_told(case, laid_out),
        local_code=local_code(case, about),
    )


def _reasons(case: JobCase, laid_out: Sequence[Action]) -> list[str]:
    reasons = []
    if case.conclusion.reason:
        reasons.append(say("view_advice.why.said_on_closing", reason=sentence(case.conclusion.reason)))
    ending = ending_words(case.conclusion.why, case.reader)
    if ending and not case.conclusion.solved:
        reasons.append(ending)
    if laid_out and laid_out[0].repair == case.conclusion.repair:
        reasons += _why_this_work(case, laid_out[0])
    if case.stuck:
        reasons.append(_whom_to_ask(case))
    if laid_out and case.voice != "field" and case.conclusion.decision in OTHERS_COME:
        reasons.append(say("view_advice.why.work_for", who=either(laid_out[0].who)))
    reasons += _could_not(case)
    return reasons


def _why_this_work(case: JobCase, action: Action) -> list[str]:
    """What the first remedy would mend, and why it comes first where another cause is likelier."""
    mends = ""
    for cause in (cause.rstrip(".") for cause in action.helps):
        mends = say("view_advice.why.or_cause", before=mends, next=cause) if mends else cause
    chance = {"chance": chance_in_words(action.probability), "percent": percent(action.probability)}
    lines = [say(f"view_advice.why.mends.{case.reader}", causes=mends, **chance)] if mends else []
    return [*lines, *([likelier] if (likelier := _likelier(case, [action])) else [])]


def _likelier(case: JobCase, laid_out: Sequence[Action]) -> str:
    """That the first work is for another cause than the likeliest, and why; empty where it is not."""
    first = next(iter(laid_out), None)
    if first is None or first.repair != case.conclusion.repair or case.stuck:
        return ""
    likeliest = case.knowledge.causes[next(iter(case.judged.marginals()))]
    if likeliest.id in case.knowledge.repairs[first.repair].cures:
        return ""
    why = "must" if kept_off_by(case.knowledge, case.job) else "cheap"
    return say(f"view_advice.why.likelier.{why}.{case.reader}", cause=case.say(likeliest.wording).rstrip("."))


def _whom_to_ask(case: JobCase) -> str:
    """Who is asked next where nothing here is worth its time: whoever knows the place that is likeliest at fault."""
    cause, share = next(iter(case.judged.marginals().items()))
    named = case.knowledge.causes[cause]
    other = next((share for causes, share in case.judged.hypotheses() if not causes), 0.0)
    whom = said("view_advice.why.specialists")
    who = whom.get(named.place or "", whom["else"]) if share > other else whom["else"]
    if share <= other:
        return say("view_advice.why.ask_next", who=who)
    return say("view_advice.why.ask_next_for", who=who, cause=case.say(named.wording).rstrip("."))


def _could_not(case: JobCase) -> list[str]:
    could_not = [name for name, outcome in case.job.repaired.items() if outcome == "could_not"]
    could_not += [name for name in case.job.cannot if case.repair(name) is not None]
    titles = [case.say(case.knowledge.repairs[name].wording).rstrip(".") for name in could_not]
    return [say("view_advice.why.could_not", work=joined(titles))] if titles else []


def _bathing(case: JobCase, about: Concerns) -> str:
    """Before what nobody swims; empty where a danger keeps everybody away, which its own steps say."""
    if about.keep_away:
        return ""
    if about.may_infect:
        return say(f"view_advice.meanwhile.illness.{case.reader}")
    if about.too_much or (about.adds_none and case.conclusion.solved):
        return _too_much(case, about)
    return _not_without_chlorine(case, about)


def _switched_off(case: JobCase) -> bool:
    return case.job.plant != "running" and not case.job.made_safe and not case.conclusion.solved


def _stands_still(case: JobCase) -> bool:
    """Whether the owner stopped in the middle of a work for which all was switched off."""
    return _switched_off(case) and case.job.role != "field"


def _meanwhile(case: JobCase, laid_out: Sequence[Action], about: Concerns, kept_from: tuple[str, str]) -> list[str]:
    if about.keep_away:
        return _closed_pool(case, about)
    stays_off, bathing = kept_from
    off = [stays_off] if stays_off else []
    if about.may_infect or about.too_much:
        return [*off, bathing, *_until_then(case, laid_out)]
    lines = [*off, *_as_left(case, _switched_off(case))]
    if _stands_still(case):
        return [*lines, bathing, say(f"view_advice.meanwhile.still_water.{case.reader}")]
    return [
        *lines,
        bathing,
        *_dosing(case, laid_out, about),
        *_for_stabiliser(case, laid_out),
        *_until_then(case, laid_out),
    ]


def _until_then(case: JobCase, laid_out: Sequence[Action]) -> list[str]:
    """What stays off until the work is done; a unit that makes too much is left off until its part is there, too."""
    if not laid_out or laid_out[0].plant != "isolated":
        return []
    ordered = case.conclusion.decision == "order_and_return" and case.knowledge.repairs[laid_out[0].repair].stops_dosing
    if case.conclusion.decision not in LEFT_OFF and not ordered:
        return []
    return [say(f"view_advice.meanwhile.{_what_is_off(case)}.{case.reader}")]


def _what_is_off(case: JobCase) -> str:
    """Whether the pump stands too: by the customer's own steps until others come, or until the gap is closed."""
    if case.conclusion.decision == "bring_cell":
        return "pump_after_spool"
    return "pump_off_too" if pump_waits(case) else "unit_off"


def _too_much(case: JobCase, about: Concerns) -> str:
    """That nothing is added, and who keeps out: everybody, unless a test that is not bleached shows what is usual."""
    known = known_numbers(case)
    between, now = chlorine_range(known), known.told("free_chlorine")
    repair = case.knowledge.repairs.get(case.conclusion.repair or "")
    bleached = repair is not None and any(case.knowledge.causes[cause].bleaches_test for cause in repair.cures)
    if between is None or now is None or bleached or not (about.adds_none and _NOT_BLEACHED_PPM <= now < between[1]):
        ranges = _ranges(case)
        range_told = [] if ranges is None else [say(f"view_advice.meanwhile.in_range.{case.reader}", **ranges)]
        return " ".join((say(f"view_advice.meanwhile.too_much.{case.reader}"), *range_told))
    return say(f"view_advice.meanwhile.not_too_much.{case.reader}", chlorine=_chlorine_told(between, known))


def _none_added(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """Where a technician's sheet opens: that nothing is dosed and nobody bathes; a customer's has it in whole there."""
    opens = case.reader == "technician" and about.too_much and not about.keep_away
    return (say("view_advice.meanwhile.too_much.technician"),) if opens else ()


def _stays_off(case: JobCase) -> str:
    """What was found that keeps everything off until it is mended; empty where nothing does."""
    found = case.worded_answers(kept_off_by(case.knowledge, case.job))
    return say(f"view_advice.meanwhile.stays_off.{case.reader}", found="; ".join(found).rstrip(".")) if found else ""


def _as_left(case: JobCase, off: bool) -> list[str]:
    """How the visit left what was switched off for it, or that nobody said so."""
    if case.job.left_as is not None and case.reader == "technician":
        return [say(f"view_advice.meanwhile.left.{'is_on' if case.job.left_as == 'on' else 'is_off'}")]
    if not off or case.job.left_as is not None:
        return []
    if case.job.role != "field":
        return [say("view_advice.meanwhile.halfway")]
    return [say("view_advice.meanwhile.left_off")] if case.reader == "technician" else []


def _dosing(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> list[str]:
    """Whether and how chlorine is dosed by hand meanwhile."""
    if about.still_water:
        return [say(f"view_advice.meanwhile.still_water.{case.reader}")]
    if about.doubtful_test:
        return [_doubted(case)]
    if _strong(case, laid_out):
        return [say(f"view_advice.meanwhile.strong_dose.{case.reader}")]
    if about.untested:
        repairs = [case.knowledge.repairs[action.repair] for action in laid_out if action.when != "otherwise"]
        by_steps = any("hand_chlorine" in computed_by(repair) for repair in repairs)
        return [] if by_steps else [say("view_advice.meanwhile.untested")]
    told = about.by_hand or isinstance(hand_dose(known_numbers(case)), Enough)
    return [_by_hand(case, about)] if case.judges and told else []


def _doubted(case: JobCase) -> str:
    """By which test nothing is dosed, and which one holds."""
    known = known_numbers(case)
    now = known.told("free_chlorine")
    if now is None:
        return say(f"view_advice.meanwhile.doubtful_test.{case.reader}")
    return say(f"view_advice.meanwhile.doubtful_test_read.{case.reader}", now=known.show(now, "ppm"))


def _closed_pool(case: JobCase, about: Concerns) -> list[str]:
    closed = say(f"view_advice.meanwhile.{'closed' if about.shock else 'closed_gas'}.{case.reader}")
    return [closed, say(f"view_advice.meanwhile.closed_dosing.{case.reader}")]


def _not_without_chlorine(case: JobCase, about: Concerns) -> str:
    ranges = _ranges(case)
    if ranges is None:
        return say(f"view_advice.meanwhile.no_swimming.{case.reader}")
    known = known_numbers(case)
    needed, between = chlorine_for_stabiliser_ppm(known), chlorine_range(known)
    if needed is not None and between is not None and needed > between[1]:
        # No figure within the range is enough, and one above it is not for swimming.
        return say(f"view_advice.meanwhile.no_swimming_stabiliser.{case.reader}")
    key = "no_swimming_supply" if about.supply and not case.conclusion.solved else "no_swimming_range"
    return say(f"view_advice.meanwhile.{key}.{case.reader}", **ranges)


def _ranges(case: JobCase) -> dict[str, str] | None:
    """From where to where chlorine and pH are in range, in words; None where the knowledge does not say."""
    known, check = known_numbers(case), case.check("ph")
    chlorine, ph = chlorine_range(known), None if check is None else known.should_be(check)
    if chlorine is None or ph is None:
        return None
    return {"chlorine": _chlorine_told(chlorine, known), "ph_least": figure(ph[0]), "ph_most": figure(ph[1])}


def _chlorine_told(between: tuple[float, float], known: KnownReadings) -> str:
    """The range of chlorine; where the stabiliser asks for all of it and more, its upper end alone."""
    low, high = figure(between[0]), known.show(between[1], "ppm")
    return say(
        "view_advice.chlorine.just" if between[0] >= between[1] else "view_advice.chlorine.between", low=low, high=high
    )


def _by_hand(case: JobCase, about: Concerns) -> str:
    known = known_numbers(case)
    dose = hand_amount(known)
    if isinstance(hand_dose(known), Enough):
        return say("view_advice.meanwhile.no_dose", working=sentence(dose.working))
    key = "mended" if case.conclusion.solved else "thinned_first" if about.thinned_first else "plain"
    return say(f"view_advice.hand_dose.{key}.{case.reader}", dose=dose.text, working=dose.working)


def _strong(case: JobCase, laid_out: Sequence[Action]) -> bool:
    return any(case.knowledge.repairs[action.repair].strong_dose for action in laid_out if action.when != "otherwise")


def _for_stabiliser(case: JobCase, laid_out: Sequence[Action]) -> list[str]:
    """How much free chlorine the stabiliser asks for, where that is more than usual, and what lowers it.

    Beside a strong dose only what speaks of the stabiliser itself: nobody holds that dose at such a figure.
    """
    known = known_numbers(case)
    needed, between = chlorine_for_stabiliser_ppm(known), chlorine_range(known)
    check = case.check("stabiliser")
    right = None if check is None else known.should_be(check)
    if needed is None or between is None or right is None:
        return []
    tested = known.numbers["stabiliser"]
    key = "right" if tested < right[1] else "raised"
    key = key if needed <= between[1] else "too_high"
    if key == "right" and (case.reader != "technician" or _strong(case, laid_out)):
        return []
    figures = {"stabiliser": known.show(tested, "ppm"), "chlorine": known.show(needed, "ppm")}
    return [say(f"view_advice.for_stabiliser.{key}.{case.reader}", **figures)]


def _come_back(case: JobCase, laid_out: Sequence[Action]) -> list[str]:
    lines = list(cleared_by(case)) or [case.decided.back]
    if case.conclusion.solved:
        key = "solved_dated" if (date := _test_after(case)) else "solved"
        lines.append(say(f"view_advice.come_back.{key}.{case.reader}", date=day_in_words(date, soon=True)))
    shown = {shows(case, repair) for repair in _results_to_come(case, laid_out)}
    later = sorted(shown - {when_it_shows("at once", case.date)})
    if case.reader == "technician" and (
        (case.conclusion.solved and not case.in_part) or (later and case.conclusion.decision == "repair_here")
    ):
        # Its words are that no return is planned, and a test with its day stands below them.
        lines = lines[1:]
    lines += [say("view_advice.come_back.shows", when=when) for when in later]
    if case.conclusion.solved and case.reader == "technician" and (unread := not_read_again(case)):
        lines.append(say("view_advice.come_back.not_read", checks=joined(case.short(check) for check in unread)))
    told = case.reader == "technician" and case.conclusion.decision not in ("nothing_to_repair", "make_safe")
    if laid_out and not _no_result_yet(case) and told:
        lines.append(say("view_advice.come_back.no_help"))
    return lines


def _days_told(case: JobCase, laid_out: Sequence[Action]) -> tuple[str, ...]:
    days = {day_shown(case, repair) for repair in _results_to_come(case, laid_out)}
    if case.conclusion.solved:
        days.add(_test_after(case))
    return tuple(sorted(days - {""}))


def _test_after(case: JobCase) -> str:
    """The day on which what was solved is tested once more; empty where the sheet bears no date."""
    return date_after(case.date, _DAYS_UNTIL_A_TEST)


def _results_to_come(case: JobCase, laid_out: Sequence[Action]) -> list[Repair]:
    """Repairs whose result is awaited: those that were done, and those to do now; a customer is told of the first."""
    now = ("first", "also") if case.reader == "technician" else ("first",)
    to_do = [] if _no_result_yet(case) else [action.repair for action in laid_out if action.when in now]
    return [case.knowledge.repairs[name] for name in (*waiting_for(case.job), *to_do)]


def _no_result_yet(case: JobCase) -> bool:
    """Whether no work comes first; a pool that the health office has closed is not opened by a test of ours either."""
    return case.conclusion.decision in NOT_YET or case.conclusion.decision == "close_pool"
