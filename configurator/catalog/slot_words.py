"""Other words for a slot, and which slot somebody means by one."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.errors import did_you_mean

SLOT_WORDS: dict[str, str] = {
    "tip": "outlet",
    "needle": "outlet",
    "nozzle": "outlet",
    "mixer": "mixing",
    "motor": "drive",
    "lining": "stator",
    "housing": "size",
    "container": "feed",
    "supply": "feed",
}
"""Other words for a slot, as tables and people use them."""


def slot_named(title: str, slots: Sequence[str]) -> str:
    """Return the slot that the name of a table means, in singular or plural; empty if none.

    Examples
    --------
    >>> slot_named("Rotors", ("rotor",)), slot_named("bodies", ("body",)), slot_named("x", ())
    ('rotor', 'body', '')
    """
    word = title.strip().casefold()
    singles = (word, word.removesuffix("s"), f"{word.removesuffix('ies')}y")
    meant = (SLOT_WORDS.get(single, single) for single in singles)
    return next((slot for slot in meant if slot in slots), "")


def slot_meant(name: str, slots: Sequence[str]) -> str:
    """Return "did you mean X?" for a slot that is none; empty when nothing is close.

    Examples
    --------
    >>> slot_meant("tip", ("stator", "outlet")), slot_meant("statr", ("stator", "outlet"))
    ('did you mean outlet?', 'did you mean stator?')
    >>> slot_meant("motor", ("a.drive", "b.drive", "outlet"))
    'did you mean a.drive or b.drive?'
    """
    side, dot, word = name.casefold().rpartition(".")
    meant = SLOT_WORDS.get(word.removesuffix("s"), word)
    found = [
        slot
        for slot in slots
        if slot.rpartition(".")[2] == meant and (not dot or slot.rpartition(".")[0] in (side, ""))
    ]
    return f"did you mean {' or '.join(found)}?" if found else did_you_mean(name, slots)
