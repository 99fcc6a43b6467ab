"""Keys and marks, for the bindings, the help page and the command list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from textual.binding import Binding, BindingType

from configurator.reading import read_toml
from configurator.report.lines import wrapped
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
    ("question_mark,f1", "help", "the words of this panel, all keys and marks"),
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

SLOTS: tuple[tuple[str, str], ...] = (
    ("size", "which head: what its parts have to fit"),
    ("cavity", "rotor pitch and stages: volume a turn, pressure it holds"),
    ("body", "the wetted housing and what it is made of"),
    ("rotor", "the turning part and its surface"),
    ("stator", "the lining in which it turns, mostly rubber"),
    ("seal", "what keeps the material from the drive's shaft"),
    ("drive", "motor and gear: speed, torque, how it is controlled"),
    ("feed", "cartridge, syringe or pail behind the head, and its pressure"),
    ("mixing", "what mixes two parts: a tube of elements, a stirred chamber, or none"),
    ("tip", "outlet: needle, cone or nozzle; in Parts it is called outlet"),
    ("a., b.", "before a slot: of which side of a two-part material"),
)

WORDS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "1": (
        (
            "what matters",
            "fields that a choice of parts hangs on most; a shows those set, then all",
        ),
        ("~", "nothing is stated: what stands in, and the line below says how to settle it"),
        (
            "accepts",
            "what may be typed; a value may have a spread: 250 Pa +/- 10 %, or 18..28 degC",
        ),
        ("basis", "what a number rests on: data sheet, measured, common practice, ..."),
    ),
    "2": SLOTS,
    "3": (
        ("margin", "share of its limit that a rule leaves; below nothing it is passed"),
        ("decided at", "which end of which range is the hard one"),
        ("weakest input", "the least sure number that went in"),
        ("source", "where the rule comes from"),
        ("Would open it", "changes that bring builds back: Enter on one makes it, z undoes it"),
        ("Its own data", "what the catalog says of the part, with what each number rests on"),
    ),
    "4": (
        ("head", "what is bought and stays; tips and feeds are exchanged and fold behind it"),
        ("#", "place of its first build among all builds, as --build takes it; - was not counted"),
        ("margin", "what the tightest rule leaves of its limit: a long bar has room, >> is over"),
        ("state", "fits; marginal: near or over by estimate; unproven: data are missing"),
        ("tip, feed", "which go with the head, each family as a range with its number"),
        ("rpm", "rotor speed at the lowest and the highest flow"),
        ("bar", "pressure needed / pressure the parts are rated for; > is over"),
        ("error %", "volume error once the shot is weighed"),
        ("cost", "cost index of all parts together"),
        ("builds", "builds of its state or better, one for each tip and feed"),
        *SLOTS,
    ),
    "5": (
        ("Flow window", "flow against speed; Enter goes on to the other pictures"),
        ("Pressure chain", "what each part loses, outlet to inlet, against what each is rated"),
        ("Margins", "what each rule leaves of its limit, the least first"),
        ("Age of the mix", "over a shift with its longest stop, against the pot life"),
        ("Head", "what is joined to what, from the feed down to the tip"),
        (
            "least slip, ...",
            "slip leaks back through the seal lines: least slip, nominal, most slip",
        ),
        ("wanted", "the flows that the process asks for"),
        ("to drive, ...", "speed up to which something allows it; smooth from: below, it stutters"),
        ("thin, thick", "the kindest and the hardest material over its stated ranges"),
        ("rated", "what a part stands"),
        ("mixer and its cure", "loss in the mixer, with what cure thickens on the way through"),
        ("closed part", "the pressure of what is filled, that the head works against"),
        ("tip joint", "where tip and mixer or head are joined"),
        ("nominal, oldest", "age of the mix as it leaves: as stated, and at the worst"),
        ("pot life, warmest", "until it is too thick to use, at the highest temperature"),
        (
            "most at work",
            "age up to which the shop lets a mix flow; most in a stop: until it is purged",
        ),
    ),
    "6": (
        ("need, value", "a thing that is asked of the head, and how much of it"),
        ("without it", "builds if this need were not there"),
        ("blocks", "how many more that is"),
        ("looser", "a step of a quarter in the direction that lets more builds in"),
    ),
}
"""What stands in each panel, by its digit."""

SPELLED = {
    "question_mark": "?",
    "colon": ":",
    "f1": "F1",
    "f2": "F2",
    "slash": "/",
    "enter": "Enter",
}

IN_PANELS: tuple[tuple[str, str], ...] = (
    ("1 to 6, Tab", "go to a panel: Duty, Parts, Why, Heads, Flow window, Needs"),
    ("arrows, PgUp, PgDn", "move; left and right: another slot, another column, the other side"),
    ("Enter", "act: edit, choose, pick, open a head, apply a remedy, next picture, count a need"),
    ("Esc", "leave a field or a page as it was; Heads: back to all heads"),
    ("Del", "Parts: exclude or let in; Duty: empty the field"),
    ("a, b, j", "Duty: more fields; next basis of the field; next fault"),
    ("/", "find: a field in Duty, a part in Parts, words in Heads"),
    ("left, right, o", "Heads: another column; sort by it, or see its slot; again: as before"),
    ("left, right, o", "Needs: a step looser, a step tighter, off and on"),
    ("mouse", "click goes there, a second click acts; hints, tabs, slots and column heads too"),
    ("Shift and mouse", "select text"),
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


@cache
def _by_key() -> Mapping[str, str]:
    return read_toml(Path(__file__).with_name("field_words.toml"))[0]


def field_words(path: str) -> str:
    """What a field of a material or process means, by where it stands; empty if nobody says."""
    return _by_key().get([key for key in path.split(".") if not key.isdigit()][-1], "")


def field_lines(path: str, label: str, accepts: str, width: int) -> list[Spans]:
    """The words of the field under the cursor."""
    pairs = [(label, field_words(path)), *([("accepts", accepts)] if accepts else [])]
    return [[("Where the cursor is", "strong")], *_pairs(pairs, width, 14), [("", "")]]


def word_lines(digit: str, width: int) -> list[Spans]:
    """The words of a panel, figures among them."""
    from configurator.tui.panels.build_columns import figure_words
    from configurator.workshop.figures import FIGURES  # with the engine, not before

    longest = max((len(key) for key, _ in WORDS.get(digit, ())), default=0)
    words = _pairs(WORDS.get(digit, ()), width, max(longest, 14))
    if digit == "4":
        words += _pairs([(figure_words(each.name), each.title) for each in FIGURES], width, 26)
    return [[("Words of this panel", "strong")], *words, [("", "")]] if words else []


def key_lines(first: Sequence[Deed], width: int) -> list[Spans]:
    """All keys and marks, those of one screen first."""

    def part(title: str, pairs: Sequence[tuple[str, str]], deeds: Sequence[Deed]) -> list[Spans]:
        keys = [(spelled(each), words) for each, _, words in deeds]
        return [[(title, "strong")], *_pairs([*pairs, *keys], width), [("", "")]]

    ours = [*part("In panels", IN_PANELS, ()), *part("Everywhere outside fields", (), HELP)]
    of_review = part("In the review of a screening", IN_REVIEW, REVIEW_HELP)
    lines = [*of_review, *ours] if first is REVIEW_HELP else [*ours, *of_review]
    return [*lines, *part("Marks before a part, a build or a row", MARKS, ())]


def bindings_of(deeds: Sequence[Deed], screen: str) -> list[BindingType]:
    """Deeds as bindings that a key map knows by the name of their screen."""
    return [Binding(keys, deed, words, id=f"{screen}.{deed}") for keys, deed, words in deeds]


def _pairs(pairs: Sequence[tuple[str, str]], width: int, first: int = 22) -> list[Spans]:
    """Keys or words, and what they are, broken so that a narrow page cuts nothing."""
    return [
        [(f"  {column('' if number else key, first)} ", "accent"), (line, "")]
        for key, words in pairs
        for number, line in enumerate(wrapped(words, max(width - first - 3, 10)))
    ]
