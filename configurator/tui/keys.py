"""Keys and marks, for the bindings, the help page and the command list."""

from __future__ import annotations

from collections.abc import Sequence

from textual.binding import Binding, BindingType

from configurator.tui.looks import Spans, column

Deed = tuple[str, str, str]
"""Keys, the deed by its name, and what it does."""

HELP: tuple[Deed, ...] = (
    ("w", "why", "why: the reasons for what the cursor is on"),
    ("r", "further", "reach further: remedies for what is out, break points of a build"),
    ("u", "unknowns", "what is unknown or wide: what to measure first"),
    ("a", "cautions", "what people have to mind, and what the data sheet left out"),
    ("z", "undo", "undo the last change, without limit"),
    ("y", "redo", "do it again"),
    ("h", "earlier", "open an earlier session; this one stays on disk"),
    ("b", "best", "best heads: a shortlist, each for a purpose"),
    ("g", "heads", "list heads, their tips and feeds folded, or each build"),
    ("i", "adopt", "pick all parts of the head under the cursor"),
    ("n", "filter", "list what holds words in its parts' names; again: all"),
    ("x", "common", "one head for several jobs, of a CSV file of pairs"),
    ("m", "mark", "mark or unmark the build under the cursor"),
    ("c", "compare", "compare two to four marked builds"),
    ("s", "sort", "sort heads and builds by a figure"),
    ("f", "strict", "list builds that fit only, or all"),
    ("t", "map", "trade-off map of two figures"),
    ("k", "files", "keep material and process as files"),
    ("e", "export", "export what is listed as table, CSV or JSON, or a sheet"),
    ("l", "line", "the command line for what is on screen"),
    ("v", "review", "review the results of a screening, from where you left them"),
    ("d", "theme", "next theme: dark, light, mono"),
    ("p,f2,colon", "commands", "choose a command by its name"),
    ("question_mark,f1", "help", "all keys and marks"),
    ("q", "leave", "leave; everything is kept"),
)
"""Deeds of the main screen."""

REVIEW_HELP: tuple[Deed, ...] = (
    ("enter", "open", "open the row: its material and process in the panels"),
    ("f", "state", "show rows in one state only, or all"),
    ("slash", "find", "show rows that hold words"),
    ("s", "sort", "sort the rows; the same again turns it around"),
    ("w", "whole", "the whole row: every cell of it"),
    ("l", "line", "the command line for the row under the cursor"),
    ("v", "panels", "go to the panels; v there comes back, nothing is moved"),
    *HELP[-4:],
)
"""The same for the review of a screening."""

SPELLED = {
    "question_mark": "?",
    "colon": ":",
    "f1": "F1",
    "f2": "F2",
    "slash": "/",
    "enter": "Enter",
}

IN_PANELS: tuple[tuple[str, str], ...] = (
    ("1 to 6, Tab", "go to a panel: Duty, Parts, Why, Builds, Flow window, Needs"),
    ("arrows, PgUp, PgDn", "move; in Parts left and right go to another slot"),
    ("Enter", "act: edit, choose, pick, apply a remedy, change the chart, count a need"),
    ("Esc", "leave a field or a page as it was"),
    ("Del", "Parts: exclude or let in; Duty: empty the field"),
    ("a, b", "Duty: all fields or those set; next basis of the field"),
    ("/", "Parts: find by name"),
    ("left, right, o", "Needs: a step looser, a step tighter, off and on"),
    ("mouse", "click goes there, a second click acts; hold Shift to select text"),
)

IN_REVIEW: tuple[tuple[str, str], ...] = (
    ("arrows, PgUp, PgDn", "move; Tab goes to the row in words and back"),
    ("mouse", "click a total for its state, a head to sort, a row; again to open it"),
)

MARKS: tuple[tuple[str, str], ...] = (
    ("*", "picked by you"),
    ("=", "the only part left in its slot"),
    ("-", "excluded by you"),
    ("x", "ruled out"),
    (".", "fits: some build with it holds over the whole stated range"),
    ("!", "near a limit: at best marginal"),
    ("?", "unproven: every build with it lacks data"),
    ("~", "being worked out, or an estimate in place of missing data"),
    ("m", "marked for comparison"),
    ("#", "a row of results that was not read or not judged: no answer at all"),
)


def spelled(keys: str) -> str:
    """Keys as people call them.

    Examples
    --------
    >>> spelled("question_mark,f1")
    '? F1'
    """
    return " ".join(SPELLED.get(key, key) for key in keys.split(","))


def key_lines(first: Sequence[Deed] = HELP) -> list[Spans]:
    """All keys and marks, those of one screen first."""
    ours: list[Spans] = [[("In panels", "strong")], *_pairs(IN_PANELS), [("", "")]]
    ours += [[("Everywhere outside fields", "strong")], *_keys(HELP), [("", "")]]
    of_review: list[Spans] = [[("In the review of a screening", "strong")]]
    of_review += [*_pairs(IN_REVIEW), *_keys(REVIEW_HELP), [("", "")]]
    lines = [*of_review, *ours] if first is REVIEW_HELP else [*ours, *of_review]
    return [*lines, [("Marks before a part, a build or a row", "strong")], *_pairs(MARKS)]


def bindings_of(deeds: Sequence[Deed], screen: str) -> list[BindingType]:
    """Deeds as bindings that a key map knows by the name of their screen."""
    return [Binding(keys, deed, words, id=f"{screen}.{deed}") for keys, deed, words in deeds]


def _keys(keys: Sequence[Deed]) -> list[Spans]:
    return _pairs([(spelled(each), words) for each, _, words in keys])


def _pairs(pairs: Sequence[tuple[str, str]]) -> list[Spans]:
    return [[(f"  {column(key, 22)}", "accent"), (words, "")] for key, words in pairs]
