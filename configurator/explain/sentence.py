"""What an explanation is made of: sentences in paragraphs, some of which offer another question."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from configurator.request.question import Question

Form = Literal["heading", "plain", "item", "step", "under", "entry", "below"]
"""How a sentence stands to the others: above them; by itself; in a list; a numbered step and what
is under it; an entry that goes on below."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Another request, and in which words it differs."""

    words: str
    question: Question


@dataclass(frozen=True, slots=True)
class Sentence:
    """One thing that is said."""

    text: str
    form: Form = "plain"
    """How it stands to the others."""
    tone: str = ""
    """A state in words, `pick`, or empty."""
    offer: Offer | None = None
    """What somebody could take up."""


Paragraph = Sequence[Sentence]


def listed(heading: str, texts: Iterable[str]) -> Paragraph:
    """A heading and what it is about."""
    return [Sentence(heading, "heading"), *(Sentence(text, "item") for text in texts)]
