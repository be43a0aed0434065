"""What is told and not done: danger first, until it is mended, hands off, and when to come back."""

from __future__ import annotations

from collections.abc import Sequence

from engine.model import DANGER_CHECK
from engine.quantities import show_quantity
from reports.view.amounts import chlorine_range, hand_dose
from reports.view.case import Case, waiting_for
from reports.view.decisions import DANGERS, ENDINGS
from reports.view.model import Action, Advice, DecisionLine
from reports.view.safety import Concerns, local_code
from reports.view.work import known_numbers
from reports.words import chance_in_words, day_after, joined, percent, said_to, sentence, when_it_shows

__all__ = ["advice", "danger_said", "decision_line"]


_STRONG_DOSE = "superchlorinate"
_LEFT_OFF = ("bring_cell", "bring_pack", "send_technician")
_BLEACHED, _BLEACHED_SHARE = "indicator_bleached", 0.02


def decision_line(case: Case, laid_out: Sequence[Action]) -> DecisionLine:
    """The decision in words, and why it was taken."""
    decided = case.decided
    return DecisionLine(
        case.conclusion.decision,
        case.say(decided.title),
        case.say(decided.told),
        decided.shop,
        tuple(_reasons(case, laid_out)),
    )


def danger_said(case: Case) -> str:
    """The danger that was reported, or that nobody could say whether there is any; empty where there is none."""
    danger = case.job.danger
    if danger not in (None, "none"):
        if danger in DANGERS:
            return case.say(DANGERS[danger][0])
        check = case.knowledge.checks[DANGER_CHECK]
        return next((case.say(answer.wording) for answer in check.answers if answer.id == danger), str(danger))
    if case.job.danger_unsaid or danger is None:
        return said_to(
            case.voice,
            "Nobody could say that there is no danger. Look first: a tingle, a burnt smell, a stinging smell, water on "
            "anything electric. With any of them keep away, keep people out of the water, and call.",
            "Danger not ruled out. Rule it out before any work: tingle, burning, chlorine, water on electrics.",
        )
    return ""


def advice(case: Case, laid_out: Sequence[Action], about: Concerns) -> Advice:
    """Everything that the reader is told beside the work itself."""
    return Advice(
        first=_first(case),
        meanwhile=tuple(_meanwhile(case, laid_out, about)),
        hands_off=tuple(_hands_off(case, laid_out, about)),
        come_back=tuple(_come_back(case, laid_out)),
        local_code=local_code(case, about),
    )


def _reasons(case: Case, laid_out: Sequence[Action]) -> list[str]:
    reasons = []
    if case.conclusion.reason:
        reasons.append(f"Said on closing: {sentence(case.conclusion.reason)}")
    if case.conclusion.why in ENDINGS and not case.conclusion.solved:
        reasons.append(case.say(ENDINGS[case.conclusion.why]))
    if laid_out and laid_out[0].repair == case.conclusion.repair:
        reasons += _why_this_work(case, laid_out[0])
    if laid_out and case.voice != "field" and case.conclusion.decision in ("send_technician", "call_electrician"):
        reasons.append(f"The work is for {joined(laid_out[0].who, 'or')}.")
    reasons += _could_not(case)
    return reasons


def _why_this_work(case: Case, action: Action) -> list[str]:
    """What the first remedy would mend, and why it comes first where another cause is likelier."""
    mends = "; or: ".join(cause.rstrip(".") for cause in action.helps)
    chance = f"{chance_in_words(action.probability)}, {percent(action.probability)}"
    lines = [f"{said_to(case.voice, 'What this is for', 'Cures')} ({chance}): {mends}."] if mends else []
    likeliest = next(iter(case.judged.marginals()))
    if likeliest not in case.knowledge.repairs[action.repair].cures:
        text = case.say(case.knowledge.causes[likeliest].wording).rstrip(".")
        lines.append(
            said_to(
                case.voice,
                f"Something else is likelier ({text}), but this is the least trouble to try first.",
                f"Likeliest is another ({text}); this comes first for its small cost.",
            )
        )
    return lines


def _could_not(case: Case) -> list[str]:
    could_not = [name for name, outcome in case.job.repaired.items() if outcome == "could_not"]
    titles = [case.say(case.knowledge.repairs[name].wording).rstrip(".") for name in could_not]
    return [f"Could not be done on this visit: {joined(titles)}."] if titles else []


def _first(case: Case) -> tuple[str, ...]:
    danger = case.job.danger
    if danger in (None, "none"):
        return ()
    _, steps = DANGERS.get(danger, DANGERS["tingle"])
    return tuple(case.say(step) for step in steps)


def _meanwhile(case: Case, laid_out: Sequence[Action], about: Concerns) -> list[str]:
    if about.shock:
        return _closed_pool(case)
    if about.too_much:
        return [
            said_to(
                case.voice,
                "There may be far too much chlorine in the water. Add none. Keep everyone out until a thinned sample "
                "tests in range.",
                "Chlorine possibly far above range: no dosing, bathers out until a diluted sample tests in range.",
            )
        ]
    lines = [_not_without_chlorine(case), *_dosing(case, laid_out, about)]
    if laid_out and laid_out[0].plant == "isolated" and case.conclusion.decision in _LEFT_OFF:
        lines.append(
            said_to(
                case.voice,
                "Leave the chlorine unit switched off until then. Let the pump run its usual hours, unless the steps "
                "say no.",
                "Unit off and locked meanwhile; pump on its usual hours.",
            )
        )
    return lines


def _dosing(case: Case, laid_out: Sequence[Action], about: Concerns) -> list[str]:
    """Whether and how chlorine is dosed by hand meanwhile."""
    if about.still_water:
        customer = "While the pump stands still, chlorine does not spread in the water. Stay out until it runs again."
        return [said_to(case.voice, customer, "No circulation, no bathing; a hand dose does not spread.")]
    if about.doubtful_test:
        customer = "Do not add chlorine on the word of the old test. Have the water tested at the shop first."
        return [said_to(case.voice, customer, "No dosing on the owner's reagents; test with yours first.")]
    if any(action.repair == _STRONG_DOSE and action.when != "otherwise" for action in laid_out):
        customer = "The strong dose in the steps is all the chlorine it takes now. Add none besides."
        return [said_to(case.voice, customer, "The superchlorination is the dose; no other besides.")]
    return _by_hand(case) if case.judges else []


def _closed_pool(case: Case) -> list[str]:
    return [
        said_to(
            case.voice,
            "Keep everyone out of the water and away from the unit until a licensed electrician, or whoever had to "
            "make it "
            "safe, says that it is safe.",
            "Pool closed, unit isolated and locked until cleared by a licensed electrician or whoever had to make it "
            "safe.",
        ),
        said_to(
            case.voice,
            "Add nothing to the water until then. After that, test before anyone goes in: a pool without chlorine is "
            "not for "
            "swimming.",
            "No hand dosing near it until cleared; then chlorine and pH in range before bathing.",
        ),
    ]


def _not_without_chlorine(case: Case) -> str:
    limits = chlorine_range(known_numbers(case))
    between = ""
    if limits is not None:
        between = f" ({limits[0]:g} to {show_quantity(limits[1], 'ppm')} is common practice; your local rules win)"
    return said_to(
        case.voice,
        "A pool without chlorine is not for swimming. Test before anyone goes in, and stay out until free chlorine"
        f"{between} and pH are in range.",
        f"No chlorine, no bathing: closed until free chlorine{between} and pH are in range.",
    )


def _by_hand(case: Case) -> list[str]:
    dose = hand_dose(known_numbers(case))
    if dose.text == "none":
        return [f"{sentence(dose.working)} No dose by hand is needed now; test each day."]
    lines = [
        said_to(
            case.voice,
            "Until the unit makes chlorine again, add it by hand in the evening, with the pump running and nobody in "
            "the "
            f"water: {dose.text}. {dose.working}",
            f"Hand dose, evening, pump on: {dose.text}. {dose.working}",
        )
    ]
    if case.judged.marginals().get(_BLEACHED, 0.0) >= _BLEACHED_SHARE:
        lines.append(
            said_to(
                case.voice,
                "But first test a thinned sample. If that shows a lot of chlorine, add none.",
                "Dilution test before any dose; a nil reading may be bleached.",
            )
        )
    return lines


def _hands_off(case: Case, laid_out: Sequence[Action], about: Concerns) -> list[str]:
    if case.voice == "field":
        mine = [action for action in laid_out if "technician" not in action.who and "owner" not in action.who]
        return [f"{action.title.rstrip('.')}: {joined(action.who, 'or')} only." for action in mine]
    owners = said_to(case.voice, "you, the pool owner", "owner")
    theirs = [action for action in laid_out if owners not in action.who]
    lines = [f"{action.title.rstrip('.')}: this is for {joined(action.who, 'or')}." for action in theirs]
    lines.append("Never open a box that has wires in it. Never bridge, tape or bypass a sensor or a safety switch.")
    if about.mains:
        lines.append("Do not touch mains or earth wires, and do not switch on again what tripped twice.")
    return lines


def _come_back(case: Case, laid_out: Sequence[Action]) -> list[str]:
    lines = [case.say(case.decided.back)]
    if case.conclusion.solved:
        lines.append(
            said_to(case.voice, "Test chlorine in two days", "Free chlorine again in two days")
            + day_after(case.date, 2)
            + "."
        )
    waiting = [case.knowledge.repairs[name] for name in waiting_for(case.job)]
    shows = {when_it_shows(repair.result_shows, case.date) for repair in waiting}
    shows |= {action.result_shows for action in laid_out[:1]}
    lines += [f"The result shows {when}: test again then." for when in sorted(shows - {"at once"})]
    if laid_out and case.conclusion.decision not in ("nothing_to_repair", "make_safe"):
        lines.append(
            said_to(
                case.voice,
                "If it does not help, call again and say what you did; keep this sheet.",
                "If it does not help, reopen this job; the sheet says what comes next.",
            )
        )
    return lines
