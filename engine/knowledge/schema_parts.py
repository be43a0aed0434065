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

ID = r"^[a-z][a-z0-9]*(?:_[a-z0-9]+)*$"

# The description of a field is the key, in words/mistakes_fields.yaml, of what a message says belongs there.
Id = Annotated[str, Field(pattern=ID)]
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


def lines_of_causes(value: object) -> object:
    """Lines of causes as they are: those that several causes share were shared out where the file was read."""
    return value


LinesOfCauses = Annotated[dict[Id, Shares], BeforeValidator(lines_of_causes)]
"""What each of some causes shows; in the file a line may be that of several, a comma between them."""
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


def some_words(value: object) -> object:
    """As `both`, of a wording that may leave one reader out. Raises RefusedError where it leaves out both."""
    if isinstance(value, dict) and not value:
        raise RefusedError(*told("mistakes_form.empty_wording"))
    return both(value)


SomeWords = Annotated[SomeWordsForm, BeforeValidator(some_words)]


def some_steps(value: object) -> object:
    """A list of steps as it is. Raises RefusedError where it is none, or empty."""
    if not isinstance(value, list):
        raise RefusedError(*told("mistakes_form.steps_no_list"))
    if not value:
        raise RefusedError(*told("mistakes_form.no_steps"))
    return value


_BESIDE = ("who", "when", "sure")


def read_source(value: object) -> object:
    """Where something comes from, in a line: a text, or what is said with who says it, when, and how sure.

    Right: `{says: judgement, who: Maria, when: 2026-03, sure: rather}`. Raises RefusedError for any other group.
    """
    if not isinstance(value, dict):
        return value
    said = {name: str(part).strip() for name, part in value.items() if isinstance(part, str | int)}
    if (
        not said.get("says")
        or said.keys() != value.keys()
        or said.keys() - {"says", *_BESIDE}
        or not all(said.values())
    ):
        raise RefusedError(*told("mistakes_form.source_form"))
    beside = ", ".join(said[name] for name in _BESIDE if name in said)
    return f"{said['says']} ({beside})" if beside else said["says"]


Source = Annotated[Text, BeforeValidator(read_source)]
Step = Annotated[str, BeforeValidator(read_step), AfterValidator(read_text)]
StepTexts = Annotated[list[Step], BeforeValidator(some_steps)]


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


def by_reader(value: object) -> object:
    """A bare list for both readers, as the two that it stands for."""
    return {"owner": value, "technician": value} if isinstance(value, list) else value


ByReader = Annotated[ByReaderForm, BeforeValidator(by_reader)]


Meant = dict[str, str | dict[str, str]]
"""By rule, the reason why a finding of it is meant; or the reasons by what the finding is about."""


def answers_with_reasons(value: object) -> object:
    """Answers to findings, each with its reason. Raises RefusedError where one has none."""
    if not isinstance(value, dict) or not value:
        raise RefusedError(*told("mistakes_form.meant_form"))
    for reason in value.values():
        reasons = list(reason.values()) if isinstance(reason, dict) else [reason]
        if not reasons or not all(isinstance(each, str) and len(each.split()) > 1 for each in reasons):
            raise RefusedError(*told("mistakes_form.no_reason"))
    return value


class EntryForm(Form):
    """What every entry may have: answers to what `check` finds doubtful in it."""

    meant: Annotated[Meant, BeforeValidator(answers_with_reasons)] = Field(default={}, description="entry.meant")


class NamedForm(EntryForm):
    """What most entries have: what they are called to a customer and among technicians."""

    customer: Text = Field(description="entry.customer")
    technician: Text = Field(description="entry.technician")
