"""What a typed line may come to beside a reply: a wish for help, a reason still to be said, a refusal."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Help:
    """The person asks why this is asked and how it is done."""


@dataclass(frozen=True)
class Keys:
    """The person asks what can be typed."""


@dataclass(frozen=True)
class Paper:
    """The person asks for the sheet, where it has been made; with `annex` for all that stands behind it."""

    annex: bool = False


@dataclass(frozen=True)
class AskReason:
    """It cannot be done, and why is still to be said; or the words that go with a choice, asked for by `tells`."""

    choice: str = ""
    tells: str = ""


@dataclass(frozen=True)
class Refusal:
    """Why the text is no reply.

    `keep` is set where the same text once more would be taken as it stands, `stray`
    where the text does not even look like an answer.
    """

    message: str
    keep: str = ""
    stray: bool = False
