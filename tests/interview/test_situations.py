"""Six calls told in plain words, typed as a new user would: the decision, the leading cause, and what it takes."""

from __future__ import annotations

import os
import subprocess
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.interview.people import PROGRAM, environment, run

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too

MORE_PROMPTS, MORE_KEYS = 6, 24
"""So much more than when they were first played: what was done just before, and looks before a sale or visit closes."""
SHORT_CALL = ("ask", "--role", "counter", "--unit", "default", "--complaint")
UNKNOWN = "dk"


@dataclass(frozen=True)
class Situation:
    """What someone sees, says and has with him, how he types it, and what a good technician expects of the sheet.

    `told` answers by words of the question, the first that stand in it; all else is not known. `prompts` and `keys`
    are those of one such call in a terminal, each line with its Return.
    """

    plain: str
    lines: tuple[str, ...]
    told: Mapping[str, str]
    decision: str
    cause: str
    prompts: int
    keys: int
    also: tuple[str, ...] = ()


@dataclass
class Played:
    """A call to its decision: what was typed, the prompts before the sheet, and the sheet."""

    typed: list[str] = field(default_factory=list)
    said: str = ""
    sheet: str = ""

    @property
    def keys(self) -> int:
        return sum(len(line) + 1 for line in self.typed)


OPENING = {"Safety first": "1", "Danger now": "1"}

# Every expected decision and cause below: judgement, common practice, no source.
SITUATIONS = [
    Situation(
        plain="""At the counter. The pool went green, there is no chlorine in it, the box runs and shows no warning.
        The strip says 4000 for salt. Through the clear end the plates are white and crusty, and few bubbles come off
        them. He has not cleaned it for a year. No sample, no cell with him.""",
        lines=("1", "salt test 4000, plates white, cleaned a year ago"),
        told={
            **OPENING,
            "most like": "1",
            "problem": "1",
            "bring": "1",
            "look like": "3",
            "itself say": "1",
            "crowd": "1",
            "fine white bubbles": "2",
        },
        decision="Bring the cell to the shop.",
        cause="Lime has built up on the plates inside the cell.",
        prompts=11,
        keys=70,
        also=("acid",),
    ),
    Situation(
        plain="""At the counter. After last week's big storm the pool went green; much of the water was let out and
        filled up again. The box runs all day without a warning. She brings a bottle of water: salt 3600, no free
        chlorine, hardly any bound, no stabiliser at all. Of the plates she knows nothing.""",
        lines=("1", "storm last week, water green, cya 0, salt test 3600"),
        told={
            **OPENING,
            "most like": "1",
            "problem": "1",
            "bring": "2",
            "for free chlorine": "0",
            "combined": "0.1",
            "itself say": "1",
        },
        decision="You can do this yourself at home.",
        cause="There is too little stabiliser",
        prompts=8,
        keys=68,
        also=("Add chlorine by hand, in the evening",),
    ),
    Situation(
        plain="""On the phone. It rained all night and the salt box is dead, not one light. The switch in the fuse box
        was down; pushed up once, it went down again at once. The pump stands still too. Nobody was in the water, nobody
        felt anything. He wants to know whether to push it up once more.""",
        lines=("2", "unit dead, breaker keeps tripping, pump off"),
        told={**OPENING, "most like": "1", "problem": "5", "kind of switch": "1"},
        decision="until a licensed electrician says it is safe",
        cause="Current leaks to earth somewhere",
        prompts=8,
        keys=60,
        also=("do not switch back on what has tripped", "Everyone out of the water"),
    ),
    Situation(
        plain="""On the phone, beside the pool, in autumn under trees. The unit beeps and says no flow. The pump runs,
        but only a trickle comes back. Through the pump's lid one sees the basket packed with leaves. Until last week
        all was well. She has no gauge that she can read.""",
        lines=("2", "no flow, pump basket packed with leaves, only a trickle at the jets"),
        told={**OPENING, "most like": "1", "problem": "3", "pump running": "1"},
        decision="You can check and fix this at home.",
        cause="The skimmer basket or the pump basket is full of leaves.",
        prompts=8,
        keys=84,
        also=("Switch off and lock the power", "pressure"),
    ),
    Situation(
        plain="""At the pool, two faults at once. The screen says low salt, the technician's own meter says 3400 ppm.
        The cell is six years old; at 24 V rated he reads 29 V, which is odd, and 1.2 A. The plates show bare pale
        spots. The plug of the cell lead is green with corrosion as well.""",
        lines=("3", "salt test 3400, cell 6 years old, cell 29 V, cell 1.2 A, cell lead corroded"),
        told={
            **OPENING,
            "Unit profile": "2",
            "Complaint": "2",
            "mean one of these": "1",
            "DC volts": "29",
            "Salt added": "1",
            "lock it off": "1",
            "Cell plates": "coating",
        },
        decision="Order the part, come back.",
        cause="Plate coating at the end of its life.",
        prompts=10,
        keys=94,
        also=("A corroded or burnt plug needs a new lead too",),
    ),
    Situation(
        plain="""At the pool in October. Only the housekeeper is there; nobody knows the cell's age, when it was
        cleaned, or what was tried. The unit has stopped and says cold water. The thermometer reads 12 degrees, the
        unit's own figure is 13, no bubbles rise, and the strip says 3500. The meter stayed in the shop.""",
        lines=("3",),
        told={
            **OPENING,
            "Complaint": "6",
            "Water temperature on the unit": "13",
            "Measured water temperature": "12",
            "Fine bubbles": "3",
            "Salt by an": "3500",
        },
        decision="Wait and look again.",
        cause="Water below the unit's limit",
        prompts=8,
        keys=22,
    ),
]


SAFETY = {
    'type "ok"': "ok",
    "switch the power off, and lock": "done",
    "switch the supply off, lock it off": "done",
    "First: switch": "done",
    "How do you leave the power now?": "It stays",
    "How is the plant left?": "off",
    "In the van today?": "2",
}
"""What anybody replies who minds cautions, switches off what is asked for, and leaves it off."""


def played(jobs: Path, arguments: tuple[str, ...], lines: tuple[str, ...], told: Mapping[str, str]) -> Played:
    """Type the lines, then answer each question by its words, until the sheet is there; a minute at most."""
    call, waiting = Played(), list(lines)
    with subprocess.Popen(
        [*PROGRAM, *arguments], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment(jobs)
    ) as program:
        guard = threading.Timer(60, program.kill)
        guard.start()
        try:
            while (asked := _asked(program)).endswith("> ") and "Close this job?" not in asked:
                call.said += asked
                words = " ".join(asked.split())
                # Several questions may stand in what was shown last; the one asked is the last paragraph's.
                standing = " ".join(_last(asked).split())
                found = [reply for words_of, reply in {**SAFETY, **told}.items() if words_of in standing]
                call.typed.append(waiting.pop(0) if waiting else (found or [UNKNOWN])[0])
                assert len(call.typed) < 30, words
                assert program.stdin is not None
                program.stdin.write(f"{call.typed[-1]}\n".encode())
                program.stdin.flush()
            call.sheet = " ".join(asked.split())
        finally:
            program.kill()
            guard.cancel()
    return call


def leading(sheet: str) -> str:
    """What a sheet names as the likeliest cause: first in a technician's ranking, or in a handout before `Also`."""
    beginning, end = ("Likely causes 1.", " 2. ") if "RANKING" in sheet else ("What is wrong: ", " WHAT ")
    return sheet.split(beginning, 1)[1].split(end, 1)[0].split(" Also ", 1)[0]


def _last(asked: str) -> str:
    return asked.rstrip().rsplit("\n\n", 1)[-1]


def _asked(program: subprocess.Popen[bytes]) -> str:
    """What the program shows until it waits for a line, or ends."""
    assert program.stdout is not None
    shown = b""
    while not shown.endswith(b"> "):
        more = os.read(program.stdout.fileno(), 65536)
        if not more:
            break
        shown += more
    return shown.decode()


NAMES = ("scale", "storm", "trips", "leaves", "two_faults", "october")


@pytest.mark.parametrize("situation", SITUATIONS, ids=NAMES)
def test_a_situation_in_plain_words_comes_to_the_decision(situation: Situation, tmp_path: Path) -> None:
    call = played(tmp_path, ("ask",), situation.lines, situation.told)
    assert situation.decision in call.sheet, call.said[-1500:]
    assert situation.cause.rstrip(".") in leading(call.sheet)
    assert all(words in call.sheet for words in situation.also)
    assert len(call.typed) <= situation.prompts + MORE_PROMPTS, call.typed
    assert call.keys <= situation.keys + MORE_KEYS, call.typed


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        ("cleaned a year ago", "= last clean: 12 months"),
        ("cleaned six months ago", "= last clean: 6 months"),
        ("cell is six years old", "= cell age: 6 years"),
        ("leaves in the pump basket", "= basket: One of them is full of leaves or dirt"),
        ("breaker keeps tripping", "= breaker: It was off, and it went off again"),
        ("no flow at the jets", "= flow: No water comes out"),
    ],
)
def test_a_fact_as_people_say_it_is_taken(line: str, shown: str, tmp_path: Path) -> None:
    done = run(tmp_path, *SHORT_CALL, "no-output", typed=f"{line}\n")
    assert shown in done.stdout
    assert "   ? " not in done.stdout


def test_a_time_in_spanish_words_is_taken(tmp_path: Path) -> None:
    done = run(tmp_path, "--language", "es", *SHORT_CALL, "no-output", typed="edad de la celda dos años\n")
    assert "= edad de la celda: 2 años" in done.stdout
    assert "   ? " not in done.stdout


def test_a_vague_time_is_offered(tmp_path: Path) -> None:
    """Twelve months is not what such a person means, so no number is taken."""
    done = run(tmp_path, *SHORT_CALL, "no-output", typed="cleaned a year or two ago\nnone\n")
    assert "= last clean" not in done.stdout
    assert '"a year": did you mean one of these? Press Return to skip.' in done.stdout


@pytest.mark.parametrize(("line", "months"), [("cleaned half a year ago", 6), ("cleaned a year and a half ago", 18)])
def test_a_part_of_a_year_is_taken(line: str, months: int, tmp_path: Path) -> None:
    done = run(tmp_path, *SHORT_CALL, "no-output", typed=f"{line}\n")
    assert f"= last clean: {months} months" in done.stdout
