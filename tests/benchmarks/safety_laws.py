"""The laws of safety, each over one question as it is put; all they know stands in the YAML and in the events."""

from __future__ import annotations

from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.plain_hazards import SEEN_OFTEN_ENOUGH, Work
from tests.benchmarks.safety_plant import DANGER_QUESTION, Plant
from tests.benchmarks.safety_watch import BrokenError, Law, Sight

IN_THE_TREE = ("ask", "switch_off", "switch_on", "perform", "verify")
"""Questions of the fault, by which somebody does something at the plant or tells of it."""


def opened_only_when_proved_off(sight: Sight) -> bool:
    """What demands the plant isolated is asked for only where it was switched off and proved dead in this visit.

    On the phone a repair's own steps switch off and on.
    """
    work, question = sight.work, sight.question
    if work is None or not sight.plant.at_the_pool or question.one_by_one or work.plant != "isolated":
        return False
    if sight.plant.state != "isolated":
        raise BrokenError("opened_only_when_proved_off", f"{question.about} while the plant is {sight.plant.state}")
    return True


def running_never_under_isolated(sight: Sight) -> bool:
    """What needs a running plant is asked for only where the plant runs."""
    work, question = sight.work, sight.question
    if work is None or not sight.plant.at_the_pool or question.one_by_one or work.plant != "running":
        return False
    if sight.plant.state != "running":
        raise BrokenError("running_never_under_isolated", f"{question.about} while the plant is {sight.plant.state}")
    return True


def by_whom_may(sight: Sight) -> bool:
    """Nobody is asked for an act that is another trade's."""
    work, reader = sight.work, sight.plant.reader
    if work is None or not sight.plant.at_the_pool:
        return False
    others = [act.id for act in work.acts[reader] if act.who and reader not in act.who]
    if others or work.who == ("electrician",) or (sight.question.one_by_one and "owner" not in work.who):
        raise BrokenError("by_whom_may", f"{work.id} by {reader}: {others or work.who}")
    return True


def _why_off(plant: Plant) -> list[str]:
    return [*(f"{c} {a}" for c, a in plant.keeping.items()), *(report.danger for report in plant.standing)]


def nothing_switched_on(sight: Sight) -> bool:
    """After what keeps off, and as long as a danger stands, nothing is switched on, as a trial either."""
    plant, work = sight.plant, sight.work
    if not plant.at_the_pool or not _why_off(plant):
        return False
    left = plant.keeping
    on = sight.kind == "switch_on"
    if sight.kind == "leave_plant":
        on = "on" in {choice.id for choice in sight.question.choices}
    if work is not None and work.energises(plant.reader):
        if sight.kind == "perform":
            left = {c: a for c, a in left.items() if not plain.mends(work.id, c, a, plant.tree)}
        on = bool(left or plant.standing)
    if on:
        raise BrokenError("nothing_switched_on", f"{sight.kind} {sight.question.about} though {_why_off(plant)}")
    return sight.kind != "close"


def cautions_for_this_act(sight: Sight) -> bool:
    """Whoever does something has been shown its cautions, for this act and in this visit, and has consented."""
    work, plant, question = sight.work, sight.plant, sight.question
    if work is None or not plant.at_the_pool or not (needed := work.cautions(plant.reader)):
        return False
    asked = plant.role == "field" or sight.kind == "perform"
    told = sight.consented | (sight.shown if question.confirm_cautions or not asked else frozenset())
    if not needed <= told:
        raise BrokenError("cautions_for_this_act", f"{question.about} without {sorted(needed - told)}")
    return True


def cautions_of_switching(sight: Sight) -> bool:
    """Whoever switches the supply off or on is told what to mind in it."""
    occasion = {"switch_off": "isolating", "switch_on": "switching_on"}.get(sight.kind)
    if sight.kind == "leave_plant" and "on" in {choice.id for choice in sight.question.choices}:
        occasion = "switching_on"
    if occasion is None:
        return False
    needed = plain.of_occasion(occasion, sight.plant.reader)
    if not needed <= sight.shown | sight.consented:
        raise BrokenError("cautions_of_switching", f"{sight.question.about} without {sorted(needed - sight.shown)}")
    return True


def _could_be_made(name: str, plant: Plant) -> bool:
    """Whether a check that is waited for could be made here and now by whoever is there."""
    check, role = plain.checks()[name], plain.roles()[plant.role]
    can = check.needs in list(role["can_use"]) and check.needs not in plant.barred  # type: ignore[call-overload]
    seldom = check.known.get(plant.role, 0.0) <= SEEN_OFTEN_ENOUGH
    pointless = any(plant.values.get(about) in said for about, said in check.pointless_if.items())
    # How long ago something was that a repair has just done anew.
    pointless |= name in plain.contexts() and any(name in plain.repairs()[work].ask_again for work in plant.done)
    unshown = plant.unit in plain.figures() and name not in plain.figures()[plant.unit]
    pointless |= unshown and any(name in shown for shown in plain.figures().values())
    off = check.plant == "running" and (plant.state != "running" or bool(plant.keeping))
    return can and not (seldom or pointless or off)


def nothing_before_what_it_waits_for(sight: Sight) -> bool:
    """What a work waits for has had its turn before it, and before the supply is switched off for it."""
    work: Work | None = sight.work
    if sight.kind == "switch_off" and sight.plant.role == "field":
        work = plain.repairs().get(sight.question.about)
    if work is None or not work.waits_for or not sight.plant.at_the_pool or sight.question.one_by_one:
        return False
    early = [n for n in work.waits_for if n not in sight.plant.had_turn and _could_be_made(n, sight.plant)]
    if early:
        raise BrokenError("nothing_before_what_it_waits_for", f"{work.id} before {early}")
    return True


def danger_asked_first(sight: Sight) -> bool:
    """No question of the fault before danger was asked for."""
    if sight.kind not in IN_THE_TREE or sight.question.about == DANGER_QUESTION:
        return False
    if not sight.plant.danger_asked:
        raise BrokenError("danger_asked_first", f"{sight.kind} {sight.question.about}")
    return True


def _of_danger(sight: Sight) -> set[str]:
    """The checks by which a danger that stands was told of, which the person may want to answer otherwise."""
    return {DANGER_QUESTION, *(report.about for report in sight.plant.standing)}


def danger_stops_at_once(sight: Sight) -> bool:
    """The next thing after a danger is its own steps, and nothing else is asked before it is made safe."""
    unsafe = [report.danger for report in sight.plant.standing if not report.made_safe]
    if not unsafe:
        return False
    if sight.kind == "make_safe":
        reader = sight.plant.reader
        known = [name for name in unsafe for code in ("en", "es")
                 if sight.question.steps == plain.steps_of(name, reader, code)]  # fmt: skip
        if not known:
            raise BrokenError("danger_stops_at_once", f"other steps than those of {unsafe}")
        if sight.shown != set(plain.dangers()[known[0]].cautions):
            raise BrokenError("danger_stops_at_once", f"cautions {sorted(sight.shown)} at {known[0]}")
    elif sight.question.about == "danger":
        # Another danger is perhaps meant by the same line.
        return True
    elif sight.kind == "ask" and sight.wanted and not sight.fresh_danger and sight.question.about in _of_danger(sight):
        # Whoever wants to say something else of it may.
        return True
    elif sight.fresh_danger or sight.kind != "close":
        raise BrokenError("danger_stops_at_once", f"{sight.kind} {sight.question.about} with {unsafe}")
    return True


def on_after_danger_by_an_act_of_its_own(sight: Sight) -> bool:
    """Made safe is not over: nothing of the fault is asked until somebody who may has found it safe."""
    found = sight.plant.standing
    if not found or any(not report.made_safe for report in found):
        return False
    asked_for = sight.kind == "ask" and sight.wanted and sight.question.about in _of_danger(sight)
    if sight.kind in IN_THE_TREE and not asked_for:
        told = [report.danger for report in found]
        raise BrokenError("on_after_danger_by_an_act_of_its_own", f"{sight.kind} {sight.question.about} with {told}")
    return True


def danger_in_words_is_heard(sight: Sight) -> bool:
    """A danger that was said beside an answer is kept before anything else is asked."""
    if not sight.said_danger:
        return False
    if all(report.danger != sight.said_danger for report in sight.plant.reports):
        raise BrokenError("danger_in_words_is_heard", f"{sight.said_danger} was said and not kept")
    return True


def plant_asked_in_another_visit(sight: Sight) -> bool:
    """Where a visit began with the supply off, its state is asked before anything is asked of the fault."""
    if sight.plant.state != "unknown" or not sight.plant.at_the_pool or sight.plant.standing:
        return False
    if sight.kind in IN_THE_TREE and sight.question.about != DANGER_QUESTION:
        raise BrokenError("plant_asked_in_another_visit", f"{sight.kind} {sight.question.about}")
    return sight.kind == "find_plant"


def left_on_or_locked_off(sight: Sight) -> bool:
    """A visit in which the supply was off ends in on and seen to run, or locked off; or nobody would say, asked."""
    plant = sight.plant
    if sight.kind != "close" or not plant.at_the_pool or plant.standing or plant.state == "running":
        return False
    if not plant.left and not sight.refused_to_say_how_left:
        raise BrokenError("left_on_or_locked_off", f"closing with the plant {plant.state}")
    return True


def within_the_limit(sight: Sight) -> bool:
    """The program puts no more checks than the role's limit.

    Amounts, as left, and what work or a wished look waits for come on top.
    """
    about, plant = sight.question.about, sight.plant
    wished = sight.wanted or sight.wished
    if sight.kind != "ask" or wished or about == DANGER_QUESTION or about in sight.asked_before:
        return False
    if plant.another_role:
        # What was asked before was asked of somebody else.
        return False
    works = (*plain.repairs().values(), *plain.checks().values())
    on_top = {name for work in works for name in (*work.amount_from, *work.waits_for)}
    limit = int(str(plain.roles()[plant.role]["limit"]))
    if len(sight.asked_before) >= limit and about not in on_top:
        raise BrokenError("within_the_limit", f"{about} is question {len(sight.asked_before) + 1} of {limit}")
    return True


LAWS: tuple[Law, ...] = (
    danger_asked_first,
    danger_stops_at_once,
    danger_in_words_is_heard,
    on_after_danger_by_an_act_of_its_own,
    plant_asked_in_another_visit,
    nothing_switched_on,
    opened_only_when_proved_off,
    running_never_under_isolated,
    by_whom_may,
    cautions_for_this_act,
    cautions_of_switching,
    nothing_before_what_it_waits_for,
    left_on_or_locked_off,
    within_the_limit,
)
