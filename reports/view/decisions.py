"""The words of each decision: what it means for the customer, the shop and the technician, and when to come back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.model import Wording

__all__ = ["CELL_IS_HERE", "DANGERS", "DECISIONS_SAID", "ENDINGS", "NOT_DECIDED", "SOLVED", "UNVERIFIED", "Decided"]


@dataclass(frozen=True)
class Decided:
    """One decision. `told` is for whoever gets the sheet, `shop` for the staff, `back` says when to come back."""

    title: Wording
    told: Wording
    shop: str
    back: Wording


DECISIONS_SAID: Mapping[str, Decided] = {
    "repair_here": Decided(
        Wording("It is mended on the spot", "Repair here, on this visit"),
        Wording(
            "The technician does the work at the pool, on this visit.",
            "The van has what it takes. Do the work in the order below, and verify it.",
        ),
        "Nothing to send out.",
        Wording(
            "Call if the trouble comes back.", "No return planned, unless the check after the repair says otherwise."
        ),
    ),
    "order_and_return": Decided(
        Wording("A part is ordered, and the technician comes back", "Order the part, come back"),
        Wording(
            "A part has to be ordered. The technician comes back with it.",
            "A part is not in the van. Read the old part's plate now, as listed, leave the plant safe, and come back "
            "with it.",
        ),
        "Order the part as soon as its plate has been read, and book the second visit.",
        Wording(
            "When the part is here. The shop calls with the day.", "When the part is here; book the day with the owner."
        ),
    ),
    "sell_and_treat": Decided(
        Wording("You can do this yourself at home", "Owner treats it"),
        Wording(
            "You can put this right yourself with what the shop sells you.",
            "The owner does this; leave product, amount and steps.",
        ),
        "Sell what is listed to sell now, in the amount given, and hand over this sheet.",
        Wording(
            "Come back or call with a new test when the work is done.",
            "The owner reports a new test.",
        ),
    ),
    "check_at_home": Decided(
        Wording("You can check and mend this at home", "Owner checks and mends it"),
        Wording(
            "You can look at this yourself and put it right, as the steps say. Nothing electric has to be opened.",
            "The owner can do this; leave the steps.",
        ),
        "Go through the steps with the customer. Sell only what is listed to sell now.",
        Wording(
            "Call when you have done the steps, today or tomorrow, also if they did not help.",
            "The owner calls when it is done.",
        ),
    ),
    "bring_cell": Decided(
        Wording("Bring the cell to the shop", "Cell to the workshop"),
        Wording(
            "The cell is the part in the pipe with plates inside. Take it off only if you can do the first steps "
            "safely; if "
            "you are not sure, ask for a technician. A dummy spool, a plain piece of pipe, takes its "
            "place, so the pump and the filter keep running meanwhile.",
            "Take the cell to the workshop. Fit the dummy spool so that the pool keeps running; unit off and locked "
            "meanwhile.",
        ),
        "Look at the cell before any new one is sold: scale only needs a clean. Lend or sell the dummy spool, and "
        "book the "
        "cell in.",
        Wording("As soon as you can, with the cell and what its plate says.", "When the cell is ready."),
    ),
    "bring_pack": Decided(
        Wording("Bring the power pack to the shop", "Power pack to the workshop"),
        Wording(
            "The power pack is the box on the wall that feeds the cell. If it has a plug, and all is dry, bring it "
            "in closed. "
            "If its wires go into the wall, leave it: a licensed electrician takes it off.",
            "Take the pack to the workshop; the mains side by whom the local code lets. Leave the cell lead capped "
            "and dry.",
        ),
        "Test the pack on the bench before any new one is sold. Ask first how it is wired: a plug comes in, fixed "
        "wires need "
        "a licensed electrician.",
        Wording("As soon as you can, with the closed box and what the cell's plate says.", "When the pack is ready."),
    ),
    "send_technician": Decided(
        Wording("A technician comes to the pool", "Technician's visit"),
        Wording(
            "This needs a technician at the pool, with tools and a meter. Leave it as it is until then.",
            "A second technician or a better equipped visit is needed.",
        ),
        "Book the visit. Pack the parts listed, and ask the customer for what is to be read on the old part.",
        Wording("The shop calls with the day of the visit.", "On the booked day."),
    ),
    "call_electrician": Decided(
        Wording("Call a licensed electrician", "Licensed electrician"),
        Wording(
            "This is work on the mains, by law for a licensed electrician in most places. Call one today. Leave it "
            "switched off, and do not try it again.",
            "Mains side. Isolate, lock off, label, and hand over to a licensed electrician with the findings on this "
            "sheet.",
        ),
        "Sell no part for this. Give the customer the sheet to hand to the electrician.",
        Wording(
            "When the electrician has called it safe. If the unit still makes no chlorine then, call us.",
            "When the electrician has called it safe; then check the unit.",
        ),
    ),
    "other_trade": Decided(
        Wording("Another trade has to look at this", "Hand on to another trade"),
        Wording(
            "What was found does not fit a fault that the shop mends. Another licensed trade has to look at it.",
            "None of the known faults fits well enough to act on. Leave it safe and hand on with the findings.",
        ),
        "Pass the findings on; sell no part for this.",
        Wording("When the other trade has been.", "When the other trade has been."),
    ),
    "wait": Decided(
        Wording("Wait, then look again", "Wait and look again"),
        Wording(
            "Nothing has to be mended today. It takes time, and then a new test tells.",
            "Nothing to repair today; the result shows with time. Explain, and agree on the day of the next test.",
        ),
        "Sell no part for this beyond what is listed to sell now.",
        Wording("Call with the result of the next test.", "The owner calls with the next test."),
    ),
    "nothing_to_repair": Decided(
        Wording("Nothing is broken", "Nothing to repair"),
        Wording(
            "The unit does what it should. The steps below show how it works and when to look again.",
            "No fault. Explain the working to the owner and leave everything as it is.",
        ),
        "Sell nothing for this. Explain how the unit works.",
        Wording("Call if it shows again, and note when.", "Owner calls with date and weather if it shows again."),
    ),
    "make_safe": Decided(
        Wording("First make it safe", "Make safe, hand on"),
        Wording(
            "There is danger. Nothing else is done until it has been made safe. Do the steps below, in their order.",
            "Danger found. Make safe, keep everybody out, hand on. No diagnosis until it is cleared.",
        ),
        "Read the steps out now, before anything else. Do not send the customer back to the unit.",
        Wording(
            "When the right trade has called it safe. Then we look for the fault.",
            "When the right trade has cleared it; then diagnose.",
        ),
    ),
}

NOT_DECIDED = Decided(
    Wording("Nothing has been decided yet", "Not decided"),
    Wording(
        "The talk ended before the trouble was named. Call again to go on with it.",
        "Ended before a complaint was named.",
    ),
    "Take the call up again; this sheet says nothing about the fault.",
    Wording("When you can go on with the call.", "When the call can go on."),
)
"""Where the job ended before a decision could be made."""

CELL_IS_HERE = Decided(
    Wording("The cell is here, at the shop", "The cell is at the workshop"),
    Wording(
        "You brought the cell in, so the shop can deal with it. A dummy spool, a plain piece of pipe, takes its "
        "place at "
        "your pool, so the pump and the filter keep running meanwhile.",
        "The cell is at the workshop. Dummy spool in its place; unit off and locked meanwhile.",
    ),
    "Look at the cell before any new one is sold: scale only needs a clean. Lend or sell the dummy spool.",
    Wording("When the shop calls that the cell is ready.", "When the cell is ready."),
)
"""`bring_cell`, where the customer has brought it."""

UNVERIFIED = Decided(
    Wording("The repair was done; its result shows later", "Repaired, to be verified"),
    Wording(
        "The repair was done. Whether it helped shows only later, so test again on the day below.",
        "The repair listed below was done. Verify on the day below before the job is closed.",
    ),
    "Ask for the result on the day below.",
    Wording("Call with the result of the next test.", "Verify then, or have the owner call with the test."),
)
"""Any decision, where the result of a repair is still awaited."""

SOLVED = Decided(
    Wording("It has been mended", "Repaired and verified"),
    Wording(
        "The repair was done, and a check showed that it helped.",
        "The repair listed below was done, and it helped.",
    ),
    "Nothing to send out.",
    Wording("Call if the trouble comes back.", "No return planned."),
)
"""Any decision, once a repair was done and verified."""

ENDINGS: Mapping[str, Wording] = {
    "settled": Wording(
        "The answers point to one thing to do, and one more question would not change that.",
        "Settled: no open check would change the remedy for its minutes.",
    ),
    "limit": Wording(
        "As many questions were asked as one call should have. What is known now decides.",
        "Limit of questions reached; decided on what is known.",
    ),
    "no_check_pays": Wording(
        "Nothing more that could be asked here would be worth its time, though no cause stands out.",
        "No open check is worth its minutes; no single hypothesis above half.",
    ),
    "danger": Wording("Danger comes before any fault.", "Danger comes before any fault."),
    "solved": Wording("The repair was done, and a check showed that it helped.", "Repaired and verified."),
    "unverified": Wording(
        "The repair was done; whether it helped shows only later.",
        "Repair done, result not verified yet.",
    ),
}
"""Why the questions ended, by the session's word for it."""

DANGERS: Mapping[str, tuple[Wording, tuple[Wording, ...]]] = {
    "tingle": (
        Wording("Someone felt a tingle or a shock.", "Tingle or shock reported."),
        (
            Wording("Get everyone out of the water, and keep them out.", "Clear the pool; keep it clear."),
            Wording(
                "Touch no ladder, rail, tap or wet box. Keep others away from them.",
                "Touch no metal; keep others off it.",
            ),
            Wording(
                "Switch off at the main board, only if you can reach it dry. Do not switch it on again.",
                "Isolate from a dry place, lock, label.",
            ),
            Wording(
                "Is someone hurt? Switch off before you touch them, and call the emergency number.",
                "Casualty: off first, then touch; emergency services.",
            ),
            Wording(
                "Call a licensed electrician today. Nobody goes in until the electrician says that it is safe.",
                "Licensed electrician: insulation and bonding tested before anyone bathes.",
            ),
        ),
    ),
    "burning_smell": (
        Wording("There is a burnt smell, smoke or scorching.", "Burning smell, smoke or scorching."),
        (
            Wording("Do not touch or open the box. Keep people away from it.", "Do not open; keep people away."),
            Wording(
                "Do you see smoke or fire? Go away from it and call the fire service.",
                "Smoke or fire: leave, fire service.",
            ),
            Wording(
                "Switch off at the main board, only if you can reach it dry and without smoke. Leave it off.",
                "Isolate from a dry, clear place, lock, label.",
            ),
            Wording("Keep people out of the water.", "Bathers out."),
            Wording(
                "Call a licensed electrician. It stays off until it has been tested.",
                "Licensed electrician for the mains side; stays off until tested.",
            ),
        ),
    ),
    "chlorine_smell": (
        Wording("There is a sharp smell that stings.", "Chlorine gas smell."),
        (
            Wording(
                "Go away from the smell, with the wind in your face, and take everyone with you.",
                "Clear the area, upwind.",
            ),
            Wording(
                "Does anyone cough, choke or have sore eyes, or is the smell strong? Call the emergency number.",
                "Symptoms or a strong smell: emergency services.",
            ),
            Wording(
                "Do not go back for a container. Pour nothing on it, and mix nothing.",
                "No going back, no water on it, nothing neutralised by hand.",
            ),
            Wording(
                "Switch off the unit and the pump, only from a place without the smell.",
                "Isolate unit and pump from clear air only.",
            ),
            Wording(
                "Nobody goes near until the smell is gone and someone trained has found where it came from.",
                "No entry until cleared; then find the source (products that met, a cell that ran without flow).",
            ),
        ),
    ),
    "water_on_electrics": (
        Wording("Water drips or sprays on something electric.", "Water on electrical parts."),
        (
            Wording(
                "Stay away from it, and keep others away. Get everyone out of the water.", "Keep off; bathers out."
            ),
            Wording(
                "Switch off at the main board, only if you can reach it dry. Leave it off.",
                "Isolate from a dry place, lock, label.",
            ),
            Wording(
                "Stop the water if you can do so from a dry place: a hose, a sprinkler.",
                "Stop the water from a dry place.",
            ),
            Wording(
                "Call a licensed electrician. It stays off until it has been dried and tested.",
                "Licensed electrician: dried and insulation tested before it is energised.",
            ),
        ),
    ),
}
"""Each danger: what was said, and what to do first, in order."""
