"""The form of the knowledge as it is written: a class for each kind of entry, with the fields of the YAML files."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from engine.loading.words import (
    read_amount,
    read_assumption,
    read_factor,
    read_limit,
    read_meter_error,
    read_possible,
    read_share,
    read_text,
)
from engine.model import Assumption, Limit, MeterError, Need, Place, Plant, ResultShows, RoleId

__all__ = [
    "PROFILE_VALUES",
    "AnswerForm",
    "CauseForm",
    "CautionForm",
    "CheckForm",
    "ChoiceCheckForm",
    "CostsForm",
    "DecisionsForm",
    "FindingForm",
    "Form",
    "KnownForm",
    "MinutesForm",
    "NamedForm",
    "NumberCheckForm",
    "PartForm",
    "RatedForm",
    "RepairForm",
    "RoleForm",
    "SaltForm",
    "StepForm",
    "TreeForm",
    "UnitForm",
    "WordsForm",
    "profile_values",
]

_ID = r"^[a-z][a-z0-9]*(?:_[a-z0-9]+)*$"
_TREE_ID = r"^[a-z][a-z0-9]*(?:[-_][a-z0-9]+)*$"

# The description of a field is what a message says belongs there; each can stand after "write".
Id = Annotated[str, Field(pattern=_ID)]
Text = Annotated[str, Field(pattern=r"\S"), AfterValidator(read_text)]
Hundredth = Annotated[float, Field(ge=0, le=100)]
Calls = Annotated[float, Field(gt=0, le=100)]
Minutes = Annotated[float, Field(ge=0, le=100_000)]
Positive = Annotated[float, Field(gt=0, le=1_000_000)]
Share = Annotated[float, BeforeValidator(read_share)]
Factor = Annotated[float, BeforeValidator(read_factor)]
Shares = dict[Id, dict[Id, Share]]
Who = Literal["owner", "technician", "electrician", "other_trade"]
Decision = Literal[
    "repair_here",
    "order_and_return",
    "sell_and_treat",
    "check_at_home",
    "bring_cell",
    "bring_pack",
    "send_technician",
    "call_electrician",
    "other_trade",
    "wait",
    "nothing_to_repair",
    "make_safe",
]


class Form(BaseModel):
    """Part of an entry as it is written: nothing is turned into another kind of value, and no unknown name passes."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class WordsForm(Form):
    """One thing said in two ways; a bare text in its place serves both."""

    customer: Text
    technician: Text


def _both(value: object) -> object:
    if not isinstance(value, str):
        return value
    if not value.strip():
        raise ValueError("this text is empty; write one text, or {customer: ..., technician: ...}")
    return {"customer": value, "technician": value}


Words = Annotated[WordsForm, BeforeValidator(_both)]


class AnswerForm(WordsForm):
    """The wording of an answer, and other short words that people use for it."""

    names: list[Text] = Field(default=[], description="short words people use, such as `names: [white]`")


AnswerWords = Annotated[AnswerForm, BeforeValidator(_both)]


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


class NamedForm(Form):
    """What every entry has: what it is called to a customer and among technicians."""

    customer: Text = Field(description="the words a customer reads, such as `customer: Lime on the plates.`")
    technician: Text = Field(description="the short words of the trade, such as `technician: Scale.`")


class CheckForm(NamedForm):
    """What choice checks and number checks have in common."""

    check: Id = Field(description="the check's id, small letters and `_`, such as `check: cell_plates`")
    names: list[Text] = Field(default=[], description="short words people use, such as `names: [plates]`")
    how: Words = Field(description="how it is done, one text or {customer: ..., technician: ...}")
    usual: dict[Id, Hundredth] = Field(
        description="what 100 pools show whose fault lies elsewhere, such as `usual: {clean: 90, scaled: 10}`"
    )
    minutes: MinutesForm = Field(
        description="minutes for each role, such as `minutes: {counter: 2, phone: 10, field: 8}`"
    )
    known: KnownForm = Field(
        description="how often each role can say, such as `known: {counter: seldom, phone: never, field: usually}`"
    )
    needs: Need = Field(description="one of nothing, kit, tools, meter, mains")
    plant: Plant = Field(description="one of running, isolated, any")
    brought: Literal["water_sample", "cell"] | None = Field(
        default=None, description="water_sample or cell, or leave the line out"
    )
    cautions: list[Id] = Field(default=[], description="ids of cautions, such as `cautions: [release_pressure]`")
    source: Text = Field(description="where the numbers come from, or `judgement`")


class ChoiceCheckForm(CheckForm):
    """A check with a few answers, listed from the usual one to the most striking one."""

    answers: dict[Id, AnswerWords] = Field(
        min_length=2,
        description="two answers or more, from usual to most striking: `answers: {dry: Dry, drips: It drips}`",
    )


Bands = Annotated[dict[Id, Annotated[Limit | None, BeforeValidator(read_limit)]], Field(min_length=2)]


class NumberCheckForm(CheckForm):
    """A check whose answer is a number; its bands rise, and `usual` lists them from usual to most striking."""

    answer_in: Text = Field(description="the unit, such as `answer_in: ppm`")
    possible: Annotated[Any, BeforeValidator(read_possible)] = Field(
        description="the least and the greatest that can be, such as `possible: 0 to 12000`"
    )
    error: Annotated[MeterError, BeforeValidator(read_meter_error)] = Field(
        description="the usual instrument's error, such as `error: 5 % or 100`"
    )
    bands: Bands = Field(
        description="at least two bands, rising, such as `bands: {low: under salt.low, right: the rest}`"
    )
    band_words: dict[Id, Words] = Field(default={}, description="wording of bands, each `id: wording`")


class FindingForm(NamedForm):
    """A derived finding: a number that the program computes from readings."""

    finding: Id = Field(description="the finding's id, such as `finding: salt_gap`")
    from_: list[Id] = Field(
        alias="from", min_length=1, description="the checks it is computed from, such as `from: [unit_salt]`"
    )
    assume: dict[Id, Annotated[Assumption, BeforeValidator(read_assumption)]] = Field(
        default={}, description="those that may be missing, with their usual spread, `{water_temp: 24 give or take 4}`"
    )
    replaces: list[Id] = Field(default=[], description="checks that then fall silent, such as `replaces: [unit_salt]`")
    bands: Bands = Field(description="at least two bands, rising, such as `bands: {low: under 0.85, fine: the rest}`")
    band_words: dict[Id, Words] = Field(default={}, description="wording of bands, each `id: wording`")
    usual: dict[Id, Hundredth] = Field(
        description="what 100 pools show whose fault lies elsewhere, such as `usual: {fine: 90, low: 10}`"
    )
    source: Text = Field(description="where the numbers come from, or `judgement`")


class CauseForm(NamedForm):
    """What can be wrong."""

    cause: Id = Field(description="the cause's id, such as `cause: cell_scaled`")
    names: list[Text] = Field(default=[], description="short words people use, such as `names: [scale]`")
    shows: Shares = Field(
        default={}, description="what it makes visible, such as `shows: {cell_plates: {white_scale: usually}}`"
    )
    likelier: dict[Id, dict[Id, Factor]] = Field(
        default={}, description="what makes it likelier, such as `likelier: {hardness: {hard: twice}}`"
    )
    repairs: list[Id] = Field(min_length=1, description="its repairs, the usual one first: `repairs: [acid_clean]`")
    not_with: list[Id] = Field(default=[], description="causes that it cannot go with, such as `not_with: [salt_high]`")
    place: Place | None = Field(default=None, description="where it sits, such as `place: cell`; may be left out")
    source: Text = Field(description="where the numbers come from, or `judgement`")


class RepairForm(NamedForm):
    """A remedy."""

    repair: Id = Field(description="the repair's id, such as `repair: acid_clean`")
    steps: Words = Field(description="what is done step by step, one text or {customer: ..., technician: ...}")
    cures: dict[Id, Share] = Field(min_length=1, description="what it cures, such as `cures: {cell_scaled: usually}`")
    who: list[Who] = Field(min_length=1, description="a list of owner, technician, electrician, other_trade")
    plant: Plant = Field(description="one of running, isolated, any")
    needs: Need = Field(description="one of nothing, kit, tools, meter, mains")
    minutes: Minutes = Field(description="the minutes it takes, such as `minutes: 40`")
    parts: dict[Id, Annotated[str, BeforeValidator(read_amount)]] = Field(
        default={}, description="parts with their amounts, such as `parts: {cleaning_acid: 0.2 L}`"
    )
    swap_back: Minutes | None = Field(
        default=None, description="minutes to put the old part back where the new one did not help: `swap_back: 10`"
    )
    result_shows: ResultShows = Field(description="one of at once, next day, next week")
    ask_again: list[Id] = Field(default=[], description="checks that verify it, such as `ask_again: [unit_salt]`")
    cautions: list[Id] = Field(default=[], description="ids of cautions, such as `cautions: [splash_protection]`")
    decision: DecisionsForm = Field(
        description="for each role, such as `decision: {counter: bring_cell, phone: bring_cell, field: repair_here}`"
    )
    source: Text = Field(description="where the numbers come from, or `judgement`")


class PartForm(NamedForm):
    """Something sold or fitted."""

    part: Id = Field(description="the part's id, such as `part: cell`")
    price: Literal["cheap", "middling", "dear", "very_dear"] = Field(
        description="one of cheap, middling, dear, very_dear"
    )
    in_van: Literal["yes", "no"] = Field(description="yes or no")
    before_ordering: str = Field(default="", description="what to read on the old part, as one text")


class CautionForm(NamedForm):
    """A caution."""

    caution: Id = Field(description="the caution's id, such as `caution: release_pressure`")
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"] = Field(
        description="one of DANGER, WARNING, CAUTION, NOTICE"
    )
    source: Text = Field(description="where it comes from, or `common practice`")


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

    role: RoleId = Field(description="one of counter, phone, field")
    can_use: list[Need] = Field(min_length=1, description="a list of nothing, kit, tools, meter, mains")
    limit: int = Field(ge=1, le=1000, description="the most questions in one call, such as `limit: 12`")
    minutes: CostsForm = Field(description="what each thing is worth in minutes, all twelve of them")


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

    unit: Id = Field(description="the profile's id, such as `unit: default`")
    salt: SaltForm = Field(description="rising, such as `salt: {stop: 2400, low: 2800, ideal: 3600, high: 4500}`")
    lockout: Positive = Field(description="the water temperature in degC under which it stops, such as `lockout: 11`")
    rated: RatedForm = Field(description="current, voltage, salt, temperature and chlorine of a clean cell")
    gaps: Positive = Field(description="how many gaps between plates the current passes in a row, such as `gaps: 1`")
    electrode_hours: Positive = Field(description="the hours a cell lasts, such as `electrode_hours: 9000`")
    reports: dict[Id, Text] = Field(description="for each answer of unit_report a sentence: how this unit tells it")
    shows_numbers: list[Id] = Field(description="number checks it shows, such as `shows_numbers: [unit_salt]`, or []")
    source: Text = Field(description="where the numbers come from, or `invented`")


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
    then: dict[Id, Id] = {}
    else_: Id | None = Field(default=None, alias="else")
    choose: Literal["any"] | None = None
    propose: Id | None = None


class TreeForm(Form):
    """What one complaint opens."""

    tree: Annotated[str, Field(pattern=_TREE_ID)] = Field(description="the complaint's id, such as `tree: low-salt`")
    opens: Words = Field(description="what is reported, one text or {customer: ..., technician: ...}")
    of_100_jobs: Calls = Field(
        default=0.0, description="how many of 100 jobs are such calls, such as `of_100_jobs: 30`; may be left out"
    )
    given: dict[Id, Annotated[list[Id], Field(min_length=1)]] = Field(
        default={}, description="answers that the complaint implies, such as `given: {unit_power: [lit]}`"
    )
    of_100_calls: dict[Id, Calls] = Field(
        description="the main cause of 100 such calls, such as `of_100_calls: {salt_low: 60, something_else: 40}`"
    )
    two_faults: dict[str, Calls] = Field(
        default={}, description="how many of the 100 have two: `two_faults: {salt_low + cell_scaled: 3, any: 6}`"
    )
    here: dict[Id, Shares] = Field(
        default={}, description="what a cause shows here, such as `here: {water_cold: {water_temp: {cool: usually}}}`"
    )
    steps: dict[Id, StepForm] = Field(min_length=1, description="the steps, such as `steps: {free: {choose: any}}`")
    source: Text = Field(description="where the numbers come from, or `judgement`")
