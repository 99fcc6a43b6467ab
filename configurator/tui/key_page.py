"""The page of all keys and marks."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.tui.keys import HELP, IN_PANELS, IN_REVIEW, MARKS, REVIEW_HELP, spelled
from configurator.tui.spans import Spans, column


def key_lines(*, review_first: bool = False) -> list[Spans]:
    """All keys and marks, those of the review first or last."""
    ours: list[Spans] = [[("In panels", "strong")], *_pairs(IN_PANELS), [("", "")]]
    ours += [[("Everywhere outside fields", "strong")], *_keys(HELP), [("", "")]]
    of_review: list[Spans] = [[("In the review of a screening", "strong")]]
    of_review += [*_pairs(IN_REVIEW), *_keys(REVIEW_HELP), [("", "")]]
    lines = [*of_review, *ours] if review_first else [*ours, *of_review]
    return [*lines, [("Marks before a part, a build or a row", "strong")], *_pairs(MARKS)]


def _keys(keys: Sequence[tuple[str, str, str]]) -> list[Spans]:
    return _pairs([(spelled(each), words) for each, _, words in keys])


def _pairs(pairs: Sequence[tuple[str, str]]) -> list[Spans]:
    return [[(f"  {column(key, 22)}", "accent"), (words, "")] for key, words in pairs]
