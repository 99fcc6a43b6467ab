"""What comes back from `configure`: counts, choices and ranked builds with their findings."""

from configurator.answer.answer import Answer
from configurator.answer.told import Choice, Cut, RankedBuild

__all__ = ["Answer", "Choice", "Cut", "RankedBuild"]
