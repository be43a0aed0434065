"""The form of the knowledge as it is written: a class for each kind of entry, with the fields of the YAML files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from engine.knowledge.model import (
    Assumption,
    Limit,
    MeterError,
    Need,
    Plant,
    Price,
    ResultShows,
    RoleId,
    Signal,
    Who,
)
from engine.knowledge.number_words import (
    read_amount,
    read_assumption,
    read_limit,
    read_meter_error,
    read_possible,
)
from engine.knowledge.properties import (
    Chlorine,
    DangerKind,
    Decision,
    HazardKind,
    Meaning,
    Occasion,
    PartAmount,
    PartUse,
    Place,
    Reader,
    Reading,
    RecordSays,
    Remembered,
    Renewed,
    Work,
)
from engine.knowledge.schema_parts import (
    ByReader,
    Calls,
    Factor,
    Hundredth,
    Id,
    LinesOfCauses,
    Minutes,
    Positive,
    Share,
    SharesOrUsual,
    SomeWords,
    Source,
    Text,
    Words,
    both,
    both_lists,
)
from engine.knowledge.schema_parts import (
    ByReaderForm as ByReaderForm,
)
from engine.knowledge.schema_parts import EntryForm as EntryForm
from engine.knowledge.schema_parts import Form as Form
from engine.knowledge.schema_parts import (
    NamedForm as NamedForm,
)
from engine.knowledge.schema_parts import (
    SomeWordsForm as SomeWordsForm,
)
from engine.knowledge.schema_parts import (
    StepsForm as StepsForm,
)
from engine.knowledge.schema_parts import (
    WordsForm as WordsForm,
)
from engine.knowledge.schema_parts import (
    YesNo as YesNo,
)

_TREE_ID = r"^[a-z][a-z0-9]*(?:[-_][a-z0-9]+)*$"


class AnswerForm(WordsForm):
    """The wording of an answer, other short words that people use for it, what it means and reports beyond that."""

    names: list[Text] = Field(default=[], description="answer.names")
    means: Meaning | None = Field(default=None, description="answer.means")
    keeps_off: YesNo = Field(default="no", description="answer.keeps_off")
    reports: Id | None = Field(default=None, description="answer.reports")


AnswerWords = Annotated[AnswerForm, BeforeValidator(both)]


class MinutesForm(Form):
    """Minutes of the person asking, for each role."""

    counter: Minutes
    phone: Minutes
    field: Minutes


class KnownForm(Form):
    """How often the person in each role can say."""

    counter: Share
    phone: Share
    field: Share


class DecisionsForm(Form):
    """What each role does about a repair."""

    counter: Decision
    phone: Decision
    field: Decision


PointlessIf = dict[Id, Annotated[list[Id], Field(min_length=1)]]


class CheckForm(NamedForm):
    """What choice checks and number checks have in common."""

    check: Id = Field(description="check.check")
    names: list[Text] = Field(default=[], description="check.names")
    how: Words = Field(description="check.how")
    usual: dict[Id, Hundredth] = Field(description="check.usual")
    minutes: MinutesForm = Field(description="check.minutes")
    known: KnownForm = Field(description="check.known")
    needs: Need = Field(description="any.needs")
    plant: Plant = Field(description="any.plant")
    brought: Literal["water_sample", "cell"] | None = Field(default=None, description="check.brought")
    does: ByReader = Field(default=ByReaderForm(), description="any.does")
    waits_for: list[Id] = Field(default=[], description="any.waits_for")
    remembered: Remembered | None = Field(default=None, description="check.remembered")
    renewed_by: Renewed | None = Field(default=None, description="check.renewed_by")
    from_record: dict[RecordSays, Id] = Field(default={}, max_length=1, description="check.from_record")
    pointless_if: PointlessIf = Field(default={}, description="any.pointless_if")
    source: Source = Field(description="any.source")


class ChoiceCheckForm(CheckForm):
    """A check with a few answers, listed from the most normal to the most abnormal."""

    answers: dict[Id, AnswerWords] = Field(
        min_length=2,
        description="choice.answers",
    )
    either: dict[Id, Annotated[list[Id], Field(min_length=2)]] = Field(default={}, description="choice.either")


Bands = Annotated[dict[Id, Annotated[Limit | None, BeforeValidator(read_limit)]], Field(min_length=2)]


class NumberCheckForm(CheckForm):
    """A check whose answer is a number; its bands rise, and `usual` lists them from usual to most striking."""

    answer_in: Text = Field(description="number.answer_in")
    possible: Annotated[Any, BeforeValidator(read_possible)] = Field(description="number.possible")
    error: Annotated[MeterError, BeforeValidator(read_meter_error)] = Field(description="number.error")
    bands: Bands = Field(description="number.bands")
    band_words: dict[Id, Words] = Field(default={}, description="any.band_words")
    tells: Reading | None = Field(default=None, description="number.tells")
    should_be: Id | None = Field(default=None, description="number.should_be")


class FindingForm(NamedForm):
    """A derived finding: a number that the program computes from readings."""

    finding: Id = Field(description="finding.finding")
    from_: list[Id] = Field(alias="from", min_length=1, description="finding.from")
    assume: dict[Id, Annotated[Assumption, BeforeValidator(read_assumption)]] = Field(
        default={}, description="finding.assume"
    )
    replaces: list[Id] = Field(default=[], description="finding.replaces")
    bands: Bands = Field(description="finding.bands")
    band_words: dict[Id, Words] = Field(default={}, description="any.band_words")
    usual: dict[Id, Hundredth] = Field(description="finding.usual")
    source: Source = Field(description="any.source")


class CauseForm(NamedForm):
    """What can be wrong."""

    cause: Id = Field(description="cause.cause")
    names: list[Text] = Field(default=[], description="cause.names")
    shows: SharesOrUsual = Field(default={}, description="cause.shows")
    likelier: dict[Id, dict[Id, Factor]] = Field(default={}, description="cause.likelier")
    repairs: list[Id] = Field(min_length=1, description="cause.repairs")
    not_with: list[Id] = Field(default=[], description="cause.not_with")
    place: Place | None = Field(default=None, description="cause.place")
    bleaches_test: YesNo = Field(default="no", description="cause.bleaches_test")
    distrusts: list[Id] = Field(default=[], description="cause.distrusts")
    source: Source = Field(description="any.source")


class RepairForm(NamedForm):
    """A remedy."""

    repair: Id = Field(description="repair.repair")
    never: SomeWords = Field(default=SomeWordsForm(), description="repair.never")
    opens_with: SomeWords = Field(default=SomeWordsForm(), description="repair.opens_with")
    before_steps: SomeWords = Field(default=SomeWordsForm(), description="repair.before_steps")
    steps: Annotated[StepsForm, BeforeValidator(both_lists)] = Field(description="repair.steps")
    done_when: SomeWords = Field(default=SomeWordsForm(), description="repair.done_when")
    cures: dict[Id, Share] = Field(min_length=1, description="repair.cures")
    who: list[Who] = Field(min_length=1, description="repair.who")
    plant: Plant = Field(description="any.plant")
    needs: Need = Field(description="any.needs")
    minutes: Minutes = Field(description="repair.minutes")
    parts: dict[Id, Annotated[PartAmount, BeforeValidator(read_amount)]] = Field(default={}, description="repair.parts")
    swap_back: Minutes | None = Field(default=None, description="repair.swap_back")
    result_shows: ResultShows = Field(description="repair.result_shows")
    ask_again: list[Id] = Field(default=[], description="repair.ask_again")
    amount_from: list[Id] = Field(default=[], description="repair.amount_from")
    does: ByReader = Field(default=ByReaderForm(), description="any.does")
    waits_for: list[Id] = Field(default=[], description="any.waits_for")
    pointless_if: PointlessIf = Field(default={}, description="any.pointless_if")
    decision: DecisionsForm = Field(description="repair.decision")
    stops_dosing: YesNo = Field(default="no", description="any.stops_dosing")
    tests_anew: YesNo = Field(default="no", description="repair.tests_anew")
    works_out: list[Work] = Field(default=[], description="repair.works_out")
    renews: Renewed | None = Field(default=None, description="repair.renews")
    source: Source = Field(description="any.source")


class PartForm(NamedForm):
    """Something sold or fitted."""

    part: Id = Field(description="part.part")
    price: Price = Field(description="part.price")
    in_van: YesNo = Field(description="part.in_van")
    is_: PartUse | None = Field(default=None, alias="is", description="part.is")
    brings: list[HazardKind] = Field(default=[], description="part.brings")
    most: Annotated[PartAmount, BeforeValidator(read_amount)] | None = Field(default=None, description="part.most")
    spoken_of: list[Text] = Field(default=[], description="part.spoken_of")
    before_ordering: str = Field(default="", description="part.before_ordering")


class CautionForm(NamedForm):
    """A caution."""

    caution: Id = Field(description="caution.caution")
    signal: Signal = Field(description="caution.signal")
    in_short: Words = Field(description="caution.in_short")
    source: Source = Field(description="caution.source")


class HazardousActForm(EntryForm):
    """Something that people do and that can hurt: what it brings, what it demands, and which cautions come first."""

    act: Id = Field(description="act.act")
    brings: list[HazardKind] = Field(min_length=1, description="act.brings")
    plant: Literal["running", "isolated", "any"] = Field(default="any", description="any.plant")
    who: list[Who] = Field(description="act.who")
    energises: YesNo = Field(default="no", description="act.energises")
    on_the_bench: YesNo = Field(default="no", description="act.on_the_bench")
    lets_out: YesNo = Field(default="no", description="act.lets_out")
    keeps_unit_off: YesNo = Field(default="no", description="act.keeps_unit_off")
    steps_say: list[Text] = Field(default=[], description="act.steps_say")
    cautions: ByReader = Field(default=ByReaderForm(), description="act.cautions")
    in_a_line: ByReader = Field(default=ByReaderForm(), description="act.in_a_line")
    occasion: Occasion | None = Field(default=None, alias="is", description="act.is")

    def boxes_for(self, reader: Reader) -> Sequence[str]:
        """The cautions that this reader is shown before the act."""
        return self.cautions.owner if reader == "owner" else self.cautions.technician


class LimitForm(EntryForm):
    """A limit of doses, mixes or swaps."""

    limit: Id = Field(description="limit.limit")
    is_: Factor = Field(alias="is", description="limit.is")
    source: Source = Field(description="any.source")


class DangerForm(NamedForm):
    """What hurts people now, and what is done first."""

    danger: Id = Field(description="danger.danger")
    kind: DangerKind = Field(description="danger.kind")
    current_may_leak: YesNo = Field(default="no", description="danger.current_may_leak")
    steps: Annotated[StepsForm, BeforeValidator(both_lists)] = Field(description="danger.steps")
    cautions: list[Id] = Field(default=[], description="danger.cautions")
    words: list[Text] = Field(min_length=1, description="danger.words")
    perhaps: list[Text] = Field(default=[], description="danger.perhaps")
    not_words: list[Text] = Field(default=[], description="danger.not_words")
    source: Source = Field(description="danger.source")


class CostsForm(Form):
    """What things are worth to a role, in minutes of the person asking."""

    question: Minutes
    isolate: Minutes
    restore: Minutes
    call_out: Minutes
    electrician: Minutes
    bring_in: Minutes
    return_trip: Minutes
    wait: Minutes
    cheap: Minutes
    middling: Minutes
    dear: Minutes
    very_dear: Minutes


class RoleForm(NamedForm):
    """Who asks."""

    role: RoleId = Field(description="role.role")
    can_use: list[Need] = Field(min_length=1, description="role.can_use")
    limit: int = Field(ge=1, le=1000, description="role.limit")
    minutes: CostsForm = Field(description="role.minutes")


class SaltForm(Form):
    """Salt limits of a unit, in ppm, rising."""

    stop: Positive
    low: Positive
    ideal: Positive
    high: Positive


class RatedForm(Form):
    """What a unit draws with a clean cell: amperes and volts at this salt (ppm) and temperature (degC), and g/h."""

    current: Positive
    voltage: Positive
    salt: Positive
    temperature: Positive
    chlorine: Positive


class UnitForm(NamedForm):
    """A unit profile: the one place where a unit's limits stand."""

    unit: Id = Field(description="unit.unit")
    salt: SaltForm = Field(description="unit.salt")
    lockout: Positive = Field(description="unit.lockout")
    rated: RatedForm = Field(description="unit.rated")
    gaps: Positive = Field(description="unit.gaps")
    electrode_hours: Positive = Field(description="unit.electrode_hours")
    reports: dict[Id, Text] = Field(description="unit.reports")
    shows_numbers: list[Id] = Field(description="unit.shows_numbers")
    source: Source = Field(description="unit.source")


PROFILE_VALUES: tuple[str, ...] = (
    *(f"salt.{name}" for name in SaltForm.model_fields),
    "lockout",
    *(f"rated.{name}" for name in RatedForm.model_fields),
    "gaps",
    "electrode_hours",
)
"""The dotted names by which a band limit speaks of a unit profile's values."""


def profile_values(form: UnitForm) -> dict[str, float]:
    """A profile's values by the names of PROFILE_VALUES."""
    salt = {f"salt.{name}": value for name, value in form.salt}
    rated = {f"rated.{name}": value for name, value in form.rated}
    return {**salt, "lockout": form.lockout, **rated, "gaps": form.gaps, "electrode_hours": form.electrode_hours}


class StepForm(Form):
    """A written step: exactly one of `ask`, `choose` and `propose`."""

    ask: Id | None = None
    then: dict[Id, Id] = Field(default={})
    else_: Id | None = Field(default=None, alias="else")
    choose: Literal["any"] | None = None
    propose: Id | None = None


class TreeForm(EntryForm):
    """What one complaint opens."""

    tree: Annotated[str, Field(pattern=_TREE_ID)] = Field(description="tree.tree")
    opens: Words = Field(description="tree.opens")
    mains: YesNo = Field(default="no", description="tree.mains")
    chlorine: Chlorine = Field(default="lacking", description="tree.chlorine")
    names: list[Text] = Field(default=[], description="tree.names")
    of_100_jobs: Calls = Field(default=0.0, description="tree.of_100_jobs")
    given: dict[Id, Annotated[list[Id], Field(min_length=1)]] = Field(default={}, description="tree.given")
    told_by: dict[Id, Annotated[list[Id], Field(min_length=1)]] = Field(default={}, description="tree.told_by")
    of_100_calls: dict[Id, Calls] = Field(description="tree.of_100_calls")
    two_faults: dict[str, Calls] = Field(default={}, description="tree.two_faults")
    here: LinesOfCauses = Field(default={}, description="tree.here")
    steps: dict[Id, StepForm] = Field(min_length=1, description="tree.steps")
    source: Source = Field(description="any.source")
