"""What passes between the conversation and a front end: questions one way, replies the other, and the Protocol."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Literal, Protocol

QuestionKind = Literal["set_up", "ask", "confirm", "perform", "verify", "plant", "part", "clear", "close", "turned_out"]


@dataclass(frozen=True)
class Fact:
    """One fact understood: the check, its answer's id or its number in the check's unit, and the words it is from."""

    check: str
    value: str | float
    text: str


@dataclass(frozen=True)
class Candidate:
    """What may be meant: a check with its answer's id, or a number in its unit; None where it is only named."""

    check: str
    value: str | float | None


@dataclass(frozen=True)
class Unclear:
    """Words not taken as a fact, and what may be meant by them, the likeliest first."""

    text: str
    candidates: tuple[Candidate, ...] = ()


@dataclass(frozen=True)
class Understood:
    """What a line states, and what it may; of words that are in neither nothing is understood."""

    facts: tuple[Fact, ...] = ()
    unclear: tuple[Unclear, ...] = ()


@dataclass(frozen=True)
class Choice:
    """One answer to pick: its id, its words, how it looks on this unit, and whether picking it needs a reason.

    `tells` asks for the words that go with it, where it needs some; they are the text of the reply.
    """

    id: str
    text: str
    more: str = ""
    needs_reason: bool = False
    tells: str = ""


@dataclass(frozen=True)
class Measure:
    """A number to give: its unit, what it is of, and the ranges (ends included) that can be and that are likely.

    `by_conductivity`: a conductivity is understood too; `water_c` is the water's temperature for it, where known.
    """

    unit: str
    about: str
    possible: tuple[float, float]
    plausible: tuple[float, float]
    by_conductivity: bool = False
    water_c: float | None = None


@dataclass(frozen=True)
class CautionText:
    """A caution in the words of the person who must mind it, with its signal word."""

    id: str
    signal: str
    text: str


@dataclass(frozen=True)
class Likely:
    """One hypothesis with its probability; no causes means something the trees do not know."""

    causes: tuple[str, ...]
    probability: float


@dataclass(frozen=True)
class Question:
    """One thing put to the person: either `choices` or a `measure`, with all that may be shown beside it.

    `about` is what the reply is about: a check, a repair, `role`, `unit`, `complaint`, `brought`. `unknown` says what
    "don't know" leads to and is empty where that is no reply; `may_fail` says whether "can't" is one, `may_wait`
    whether "later" is; `harmless`, whether a slip can simply be taken back. Where `confirm_cautions` is set the person
    who does the work confirms the cautions before the question is shown. `steps` are what is to be done; where
    `one_by_one` is set, each is said and done before the next, and all of them before the question. `steps_first`: they
    stand before the cautions, as in danger.
    """

    kind: QuestionKind
    about: str
    text: str
    choices: tuple[Choice, ...] = ()
    measure: Measure | None = None
    how: str = ""
    why: tuple[str, ...] = ()
    details: tuple[str, ...] = ()
    before_steps: str = ""
    steps: tuple[str, ...] = ()
    one_by_one: bool = False
    steps_first: bool = False
    progress: str = ""
    standing: str = ""
    ranked: tuple[Likely, ...] = ()
    cautions: tuple[CautionText, ...] = ()
    confirm_cautions: bool = False
    unknown: str = ""
    may_fail: bool = False
    may_wait: bool = False
    harmless: bool = False
    free: bool = False
    """Whether a line of one's own words is as good a reply; as that may begin with a figure, none answers at once."""
    again: bool = False
    """Whether it has an answer, which is read once more before a remedy rests on it."""
    passes: str = ""
    """The choice that an empty line picks; empty where none does."""
    names: Callable[[], Sequence[str]] | None = field(default=None, compare=False, repr=False)
    """The names by which checks are known, to be completed; made only where they are asked for."""
    figures: Callable[[], tuple[str, ...]] | None = field(default=None, compare=False, repr=False)
    """The figures behind the question, a line each; worked out only where they are asked for."""
    says_more: Callable[[str], Request | None] | None = field(default=None, compare=False, repr=False)
    """What a line that is no answer says all the same, such as other facts; None where it says nothing."""
    alarm: Callable[[str, bool], Request | None] | None = field(default=None, compare=False, repr=False)
    """What a line says of danger, where it does: with True, only what is said beyond doubt, whatever else it says."""

    def __post_init__(self) -> None:
        """Raises ValueError where the id of a choice is a number other than its own on the screen."""
        numbered = {choice.id: str(number) for number, choice in enumerate(self.choices, start=1)}
        if wrong := [id_ for id_, number in numbered.items() if id_.isdecimal() and id_ != number]:
            raise ValueError(f"typed as a number, the choice {wrong[0]} would be another one")


@dataclass(frozen=True)
class Given:
    """The answer: a choice's id or a number in the question's unit, what was typed, and how the number came from it."""

    value: str | float
    text: str = ""
    how: str = ""


@dataclass(frozen=True)
class Unable:
    """The person cannot, and says why."""

    reason: str


@dataclass(frozen=True)
class Deferred:
    """It is done later, away from this visit, and then told; `when` in the person's words."""

    when: str = ""


class Control(Enum):
    """A reply that holds nothing more."""

    UNKNOWN = "don't know"
    """The person does not know."""
    BACK = "back"
    """Take the last answer back."""
    FINISH = "finish"
    """Give the sheet now, with what is known."""
    LEAVE = "leave"
    """Stop here; the job is kept."""


@dataclass(frozen=True)
class Note:
    """Free text to keep with the job; the question stays open."""

    text: str


@dataclass(frozen=True)
class Request:
    """Something wanted beside the answer; the question stays open.

    say: `text` says facts. ask: put the check `text` next. list: show what has been said. change: ask again what stands
    in the list under this number or name. tried: the repair was done before. can: what could not be done now can.
    later: the check or repair `text` is done later. record: `text` is for the record and the bill. for: `text` is of
    whose pool it is.
    `understood` is what a line of facts says, where it was understood already in telling it from an answer.
    """

    act: Literal["say", "ask", "list", "change", "tried", "can", "later", "record", "for"]
    text: str = ""
    understood: Understood | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class HeardFact:
    """A fact that was understood, or may be meant: the check, its answer (None: only named), and both in words."""

    check: str
    value: str | float | None
    name: str
    words: str


@dataclass(frozen=True)
class HeardUnclear:
    """Words that were not taken as a fact, and what may be meant, the likeliest first."""

    text: str
    candidates: tuple[HeardFact, ...] = ()


@dataclass(frozen=True)
class Heard:
    """What a line was understood to say."""

    facts: tuple[HeardFact, ...] = ()
    unclear: tuple[HeardUnclear, ...] = ()


Reply = Given | Unable | Deferred | Note | Control | Request


class Sheet(Protocol):
    """A job sheet, made only as far as a front end asks for it."""

    def decision(self) -> str:
        """The id of what is decided."""
        ...

    def headline(self) -> str:
        """What is decided, in one sentence."""
        ...

    def day_due(self) -> str:
        """The day to come back or to call (ISO 8601); empty where the sheet tells none."""
        ...

    def in_short(self) -> tuple[str, ...]:
        """What it comes to, for one screen, a paragraph each: decided, how much, what to say, where the paper is."""
        ...

    def text(self, columns: int = 80, annex: bool = False) -> str:
        """The sheet as plain text, in lines of so many columns at most, and with all that stands behind it."""
        ...

    def data(self) -> Mapping[str, object]:
        """The sheet as plain data, ready for JSON."""
        ...

    def made(self) -> bytes:
        """The sheet as a file holds it, in the form that was wished for."""
        ...


class FrontEnd(Protocol):
    """What shows questions to a person or a program, and brings back their replies."""

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Show a question and give the reply to it.

        Args:
            question: what to show.
            shown: to be called when the question stands before the person and nothing is left to do but wait; once
                or more often.

        Raises:
            KeyboardInterrupt: the person broke off.
        """
        ...

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Tell the person something that needs no reply."""
        ...

    def heard(self, heard: Heard) -> bool:
        """Show what a line was understood to say, all of it kept. Whether unclear words may be asked back."""
        ...

    def show_sheet(self, sheet: Sheet) -> None:
        """Show the job sheet."""
        ...


def nothing_more() -> None:
    """For `shown`, where nothing waits for the question to stand."""
