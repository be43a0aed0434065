"""The knowledge, once it is loaded and checked: frozen records without behaviour beyond simple look-ups."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import Literal, TypeVar, get_args

from engine.chlorinator.dose_limits import DoseLimits
from engine.knowledge.danger import Danger as Danger
from engine.knowledge.hazardous import HARMLESS
from engine.knowledge.hazardous import ByReader as ByReader
from engine.knowledge.hazardous import HazardousAct as HazardousAct
from engine.knowledge.hazardous import HazardousWork as HazardousWork
from engine.knowledge.hazardous import Plant as Plant
from engine.knowledge.hazardous import Who as Who
from engine.knowledge.hazardous import reader_of as reader_of
from engine.knowledge.properties import (
    Chlorine,
    Decision,
    Meaning,
    PartAmount,
    PartUse,
    Place,
    Reading,
    RecordSays,
    Remembered,
    Renewed,
    Work,
)
from engine.knowledge.said import Said, load_said
from engine.knowledge.wording import RoleId as RoleId
from engine.knowledge.wording import Steps as Steps
from engine.knowledge.wording import Wording as Wording
from engine.knowledge.wording import in_common

Need = Literal["nothing", "kit", "tools", "meter", "mains"]
ResultShows = Literal["at once", "next day", "next week"]
Signal = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
"""Signal words of ANSI Z535, the gravest first."""
Price = Literal["cheap", "middling", "dear", "very_dear"]
"""Price classes of parts; the roles file says what each is worth in minutes."""

ROLES: tuple[RoleId, ...] = ("counter", "phone", "field")
NEEDS: tuple[Need, ...] = ("nothing", "kit", "tools", "meter", "mains")
PLACES: tuple[Place, ...] = get_args(Place)
SIGNALS: tuple[Signal, ...] = get_args(Signal)

SOMETHING_ELSE = "something_else"
DANGER_CHECK = "danger_now"
REPORT_CHECK = "unit_report"
"""The check that asks how a unit tells its state: each unit profile has its own words for the answers."""

Key = TypeVar("Key")
Value = TypeVar("Value")


def frozen(items: Mapping[Key, Value]) -> Mapping[Key, Value]:
    """A read-only copy of a mapping, in the same order."""
    return MappingProxyType(dict(items))


@dataclass(frozen=True)
class Answer:
    """One possible answer to a choice check, or one band of a number, by its id.

    `names` are people's words for it; `means` is what it says beyond what causes show of it, `reports` the danger that
    it tells of. `keeps_off` where nothing is energised, as a trial either, until what was found is repaired.
    """

    id: str
    wording: Wording
    names: tuple[str, ...] = ()
    means: Meaning | None = None
    reports: str | None = None
    keeps_off: bool = False


@dataclass(frozen=True)
class Limit:
    """A limit of a band: `share` times the unit profile's value `of`, or the bare number `share`."""

    share: float
    of: str | None = None

    def value(self, unit: UnitProfile) -> float:
        """The limit as a number, for this unit profile. Raises KeyError for an unknown profile value."""
        return self.share if self.of is None else self.share * unit.values[self.of]


@dataclass(frozen=True)
class Band:
    """A named range of a number: from the band before it (closed) up to `under` (open); None is no upper end."""

    id: str
    under: Limit | None


@dataclass(frozen=True)
class MeterError:
    """Standard deviation of the usual instrument: the larger of a share of the reading and a fixed amount."""

    relative: float
    absolute: float

    def of(self, reading: float) -> float:
        """The standard deviation at this reading, in the reading's unit; always above 0."""
        return max(abs(reading) * self.relative, self.absolute, 1e-9)


@dataclass(frozen=True)
class Check:
    """Something to ask, see, test or measure.

    `answers` run from usual to most striking: the order that noisy-MAX uses. A number check has a `unit`, and its
    answers are its bands; `bands` holds the same ids in rising order. `usual` sums to 1: what 100 pools show whose
    fault lies elsewhere. `known` is the probability that a person in this role can say; `brought` names what a
    customer may bring to the counter that lets it be answered there. `pointless_if` holds answers of other checks
    after which nobody asks it, and after which it tells nothing. `tells` is what doses and the plan take it for;
    `should_be` the band of a number that is as it should be. `waits_for` are checks that have their turn before it.
    `either` holds former answers that each stand for any of several present ones: understood, and never offered.
    `remembered`, `renewed_by` and `from_record` say what a pool's record tells of it: faults/README.md.
    """

    id: str
    wording: Wording
    how: Wording
    names: tuple[str, ...]
    answers: tuple[Answer, ...]
    usual: Mapping[str, float]
    minutes: Mapping[RoleId, float]
    known: Mapping[RoleId, float]
    needs: Need
    plant: Plant
    source: str
    unit: str | None = None
    possible: tuple[float, float] | None = None
    error: MeterError | None = None
    bands: tuple[Band, ...] = ()
    brought: str | None = None
    work: HazardousWork = HARMLESS
    waits_for: tuple[str, ...] = ()
    pointless_if: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    tells: Reading | None = None
    should_be: str | None = None
    either: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    remembered: Remembered | None = None
    renewed_by: Renewed | None = None
    from_record: Mapping[RecordSays, str] = field(default_factory=dict)

    @property
    def is_number(self) -> bool:
        """Whether the answer is a number with a unit."""
        return self.unit is not None

    def keeps_off(self, answer: object) -> bool:
        """Whether nothing is energised after an answer of this id, until what was found is repaired."""
        return any(each.keeps_off for each in self.meant(answer))

    def is_pointless(self, said: Mapping[str, object]) -> bool:
        """Whether what has been said, by check, leaves nothing to look at here: no gas where the unit is dark."""
        return bool(self.pointless_if) and any(said.get(name) in told for name, told in self.pointless_if.items())

    def meaning(self, answer: object) -> Meaning | None:
        """What an answer of this id means; None for one that means no more than it says, and for a number."""
        return next((each.means for each in self.meant(answer)), None)

    def danger_of(self, answer: object) -> str | None:
        """The danger that an answer of this id reports; None for one that reports none, and for a number."""
        return next((each.reports for each in self.meant(answer)), None)

    def meant(self, answer: object) -> tuple[Answer, ...]:
        """The answers that an id stands for: one, or each that a former answer may mean; none for a number."""
        ids = self.either.get(str(answer), (answer,))
        return tuple(each for each in self.answers if each.id in ids)

    def said(self, answer: object, say: Callable[[Wording], str]) -> str:
        """An answer in words, of a former one what all begin with that it may mean; its id where there is none."""
        return in_common([say(each.wording) for each in self.meant(answer)]) or str(answer)


@dataclass(frozen=True)
class Assumption:
    """The usual spread of an input that a derived finding may lack.

    kind `normal`: `points` is ((mean, standard deviation),). kind `lognormal`: ((median, factor),) where the factor
    is one standard deviation up or down. kind `mixture`: (value, share) pairs whose shares sum to 1.
    """

    kind: Literal["normal", "lognormal", "mixture"]
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Finding:
    """A derived finding: computed from readings; those that `replaces` names then stop speaking for themselves."""

    id: str
    wording: Wording
    inputs: tuple[str, ...]
    assume: Mapping[str, Assumption]
    replaces: tuple[str, ...]
    answers: tuple[Answer, ...]
    bands: tuple[Band, ...]
    usual: Mapping[str, float]
    source: str


@dataclass(frozen=True)
class Cause:
    """What can be wrong; by item {answer: share or factor}; `as_usual`: on purpose; `distrusts`: no dose by these."""

    id: str
    wording: Wording
    names: tuple[str, ...]
    shows: Mapping[str, Mapping[str, float]]
    likelier: Mapping[str, Mapping[str, float]]
    repairs: tuple[str, ...]
    not_with: tuple[str, ...]
    source: str
    place: Place | None = None
    bleaches_test: bool = False
    distrusts: tuple[str, ...] = ()
    as_usual: tuple[str, ...] = ()


@dataclass(frozen=True)
class PartNeed:
    """A part a repair takes."""

    part: str
    amount: PartAmount


@dataclass(frozen=True)
class Repair:
    """A remedy. `cures`: cause to the probability that, done right, it cures it. `pointless_if` as of a check.

    `never` is what nobody may do in it, `opens_with` what comes before it; they, `before_steps` and `done_when` are
    empty for a reader who is told nothing. `swap_back`, minutes, where the part is put in to see whether it helps.
    Amounts hang on the checks `amount_from`; `waits_for` come before it. `stops_dosing`: no chlorine before it is done;
    `tests_anew`: the test is in doubt. `works_out` is computed beside its parts, `renews` starts anew in the plan.
    """

    id: str
    wording: Wording
    never: Wording
    opens_with: Wording
    before_steps: Wording
    steps: Steps
    done_when: Wording
    cures: Mapping[str, float]
    who: tuple[Who, ...]
    plant: Plant
    needs: Need
    minutes: float
    parts: tuple[PartNeed, ...]
    result_shows: ResultShows
    ask_again: tuple[str, ...]
    decision: Mapping[RoleId, Decision]
    source: str
    work: HazardousWork = HARMLESS
    swap_back: float | None = None
    waits_for: tuple[str, ...] = ()
    pointless_if: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    amount_from: tuple[str, ...] = ()
    stops_dosing: bool = False
    tests_anew: bool = False
    works_out: tuple[Work, ...] = ()
    renews: Renewed | None = None

    def is_pointless(self, said: Mapping[str, object]) -> bool:
        """Whether what has been said, by check, tells that it cannot help."""
        return bool(self.pointless_if) and any(said.get(name) in told for name, told in self.pointless_if.items())

    @property
    def strong_dose(self) -> bool:
        """Whether it is a strong dose of chlorine, which lets no other dose stand beside it."""
        return any(need.amount.computed == "strong_chlorine" for need in self.parts)


@dataclass(frozen=True)
class Part:
    """Something sold or fitted; `use` is what the program takes it for by itself, beside the repairs that name it."""

    id: str
    wording: Wording
    price: Price
    in_van: bool
    before_ordering: str
    use: PartUse | None = None


@dataclass(frozen=True)
class Caution:
    """A caution with its ANSI Z535 signal word: whole, and in a line where it was told already or is far off."""

    id: str
    signal: Signal
    wording: Wording
    in_short: Wording
    source: str


@dataclass(frozen=True)
class Role:
    """Who asks: what that person can meet (`can_use`), the limit of questions, and what things are worth in minutes."""

    id: RoleId
    wording: Wording
    can_use: tuple[Need, ...]
    limit: int
    minutes: Mapping[str, float]


@dataclass(frozen=True)
class UnitProfile:
    """A kind of unit: its limits by dotted name (`salt.low`), and how it tells each generic report."""

    id: str
    wording: Wording
    values: Mapping[str, float]
    reports: Mapping[str, str]
    shows_numbers: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Step:
    """A written step: ask a check and go where the answer says, choose freely, or propose a repair."""

    id: str
    ask: str | None = None
    then: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    otherwise: str | None = None
    propose: str | None = None


@dataclass(frozen=True)
class Tree:
    """What one complaint opens. Shares are of 1; `pairs` holds named pairs, `any_pair` what all the others share.

    `told_by` are answers that tell it where nobody says it; `mains` where it is one of the supply. `chlorine` is what
    it says of the pool: behind `too_much` nobody adds any, behind `as_tested` only where a test found too little.
    """

    id: str
    wording: Wording
    names: tuple[str, ...]
    given: Mapping[str, tuple[str, ...]]
    singles: Mapping[str, float]
    pairs: Mapping[tuple[str, str], float]
    any_pair: float
    here: Mapping[str, Mapping[str, Mapping[str, float]]]
    steps: Mapping[str, Step]
    source: str
    mains: bool = False
    chlorine: Chlorine = "lacking"
    told_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Knowledge:
    """A faults folder, complete and checked; `fingerprint` names its state, `dangers_elsewhere`: by other languages."""

    trees: Mapping[str, Tree]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]
    findings: Mapping[str, Finding]
    repairs: Mapping[str, Repair]
    parts: Mapping[str, Part]
    cautions: Mapping[str, Caution]
    acts: Mapping[str, HazardousAct]
    dangers: Mapping[str, Danger]
    roles: Mapping[RoleId, Role]
    units: Mapping[str, UnitProfile]
    limits: DoseLimits
    fingerprint: str
    dangers_elsewhere: Mapping[str, Mapping[str, Danger]] = field(default_factory=lambda: frozen({}))
    folder: Traversable | Path | None = field(default=None, compare=False, repr=False)

    def said(self, language: str) -> Said:
        """How people say its checks in a language; read from the folder when it is first wanted."""
        return load_said(self.folder or files("faults"), language)

    def part_for(self, use: PartUse) -> Part | None:
        """The first part of the catalogue that serves as this; None where none does."""
        return next((part for part in self.parts.values() if part.use == use), None)

    def checks_telling(self, reading: Reading) -> tuple[Check, ...]:
        """The checks that tell a reading, in the order of the catalogue."""
        return tuple(check for check in self.checks.values() if check.tells == reading)

    def observable(self, id: str) -> Check | Finding:
        """The check or derived finding of this id. Raises KeyError for any other id."""
        return self.checks[id] if id in self.checks else self.findings[id]
