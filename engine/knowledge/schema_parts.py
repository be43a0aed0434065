"""The parts that entries are written of: ids, texts, numbers, wordings for two readers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from engine.foundation.texts import told
from engine.knowledge.number_words import (
    AS_USUAL,
    RefusedError,
    read_factor,
    read_share,
    read_step,
    read_text,
)

_ID = r"^[a-z][a-z0-9]*(?:_[a-z0-9]+)*$"

# The description of a field is the key, in words/mistakes_fields.yaml, of what a message says belongs there.
Id = Annotated[str, Field(pattern=_ID)]
Text = Annotated[str, Field(pattern=r"\S"), AfterValidator(read_text)]
Hundredth = Annotated[float, Field(ge=0, le=100)]
Calls = Annotated[float, Field(gt=0, le=100)]
Minutes = Annotated[float, Field(ge=0, le=100_000)]
Positive = Annotated[float, Field(gt=0, le=1_000_000)]
Share = Annotated[float, BeforeValidator(read_share)]
Factor = Annotated[float, BeforeValidator(read_factor)]
Shares = dict[Id, dict[Id, Share]]


def _none_of_its_own(value: object) -> object:
    """`as usual` as what it stands for: no answer that is oftener or rarer than usual."""
    return {} if value == AS_USUAL else value


SharesOrUsual = dict[Id, Annotated[dict[Id, Share], BeforeValidator(_none_of_its_own)]]
"""As Shares, where a check may also be said to show what is usual; it then holds no answers."""
YesNo = Literal["yes", "no"]


class Form(BaseModel):
    """Part of an entry as it is written: nothing is turned into another kind of value, and no unknown name passes."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class WordsForm(Form):
    """One thing said in two ways; a bare text in its place serves both."""

    customer: Text
    technician: Text


def both(value: object) -> object:
    """A bare text for both readers, as the two that it stands for. Raises RefusedError where it is empty."""
    if not isinstance(value, str):
        return value
    if not value.strip():
        raise RefusedError(*told("mistakes_form.empty_wording"))
    return {"customer": value, "technician": value}


Words = Annotated[WordsForm, BeforeValidator(both)]


class SomeWordsForm(Form):
    """One thing said to either reader or to both; a bare text in its place serves both."""

    customer: Text = ""
    technician: Text = ""


def _some(value: object) -> object:
    if isinstance(value, dict) and not value:
        raise RefusedError(*told("mistakes_form.empty_wording"))
    return both(value)


SomeWords = Annotated[SomeWordsForm, BeforeValidator(_some)]


def _some_steps(value: object) -> object:
    if not isinstance(value, list):
        raise RefusedError(*told("mistakes_form.steps_no_list"))
    if not value:
        raise RefusedError(*told("mistakes_form.no_steps"))
    return value


Step = Annotated[str, BeforeValidator(read_step), AfterValidator(read_text)]
StepTexts = Annotated[list[Step], BeforeValidator(_some_steps)]


class StepsForm(Form):
    """What is done, one step after the other, for both readers; a bare list in its place serves both."""

    customer: StepTexts
    technician: StepTexts


def both_lists(value: object) -> object:
    """A bare list for both readers, as the two that it stands for."""
    return value if isinstance(value, dict) else {"customer": value, "technician": value}


class ByReaderForm(Form):
    """Ids for the one who does the work, owner or technician; a bare list in its place serves both."""

    owner: list[Id] = []
    technician: list[Id] = []


def _by_reader(value: object) -> object:
    return {"owner": value, "technician": value} if isinstance(value, list) else value


ByReader = Annotated[ByReaderForm, BeforeValidator(_by_reader)]


class NamedForm(Form):
    """What every entry has: what it is called to a customer and among technicians."""

    customer: Text = Field(description="entry.customer")
    technician: Text = Field(description="entry.technician")
