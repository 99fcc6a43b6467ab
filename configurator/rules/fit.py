"""Whether parts go together at all: each part against the size, the tip against the head."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import SIDE_SLOTS, Cavity, FittedPart, Mixing, Outlet, Size
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.outcome import Grades
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis

FITTED_SLOTS = ("cavity", "body", "rotor", "stator", "seal", "drive", "feed")
"""Slots whose parts are made for some sizes only."""


def sizes_of(part: Cavity | FittedPart) -> tuple[str, ...]:
    """Names of the sizes that a part is made for."""
    return (part.size,) if isinstance(part, Cavity) else part.sizes


def _size_rule(slot: str) -> Rule:
    def state(part: Cavity | FittedPart, size: Size) -> State:
        return State.FITS if size.name in sizes_of(part) else State.RULED_OUT

    def words(part: Cavity | FittedPart, size: Size) -> Words:
        made_for = ", ".join(sizes_of(part))
        verb = "is" if size.name in sizes_of(part) else "is not"
        reason = f"{slot} {part.name} {verb} made for size {size.name}; it is for {made_for}"
        return Words(f"size {size.name}", f"made for {made_for}", reason, Basis.INVENTED)

    return Rule.of_pairs(
        slot,
        "size",
        state,
        words,
        name=f"{slot} made for the size",
        parts=("size.name", "cavity.size" if slot == "cavity" else f"{slot}.sizes"),
        source="catalog: sizes that the part is listed for",
    )


def _end_of(size: Size, joint: str | None, other: str) -> str:
    """Whether the outlet end of a head has the joint of what is fixed to it."""
    verb = "carries" if joint in size.joints else "carries no"
    joints = " or ".join(size.joints)
    return f"size {size.name} {verb} {joint} joint for {other}; its outlet end is {joints}"


def _tip_on_head(outlet: Outlet, size: Size) -> State:
    """Of a one-part material; between the heads of a two-part one and the tip stands the mixer."""
    return State.FITS if outlet.joint in size.joints else State.RULED_OUT


def _tip_on_head_words(outlet: Outlet, size: Size) -> Words:
    reason = _end_of(size, outlet.joint, f"tip {outlet.name}")
    return Words(f"{outlet.joint} joint", " or ".join(size.joints), reason, Basis.INVENTED)


def _joined(mixing: Mixing, joint: str | None, offered: tuple[str, ...]) -> State:
    """A joint of the mixer against those of its neighbour; one that is not stated is unproven."""
    if mixing.kind == "none" or joint in offered:
        return State.FITS
    return State.UNPROVEN if joint is None else State.RULED_OUT


def _mixer_on_head_words(mixing: Mixing, size: Size) -> Words:
    reason = _end_of(size, mixing.joint, f"mixing {mixing.name}")
    limit = " or ".join(size.joints)
    return _mixer_words(mixing, mixing.joint, limit, f"size {size.name}", reason)


def _tip_on_mixer(mixing: Mixing, outlet: Outlet) -> State:
    return _joined(mixing, mixing.tip_joint, (outlet.joint,))


def _tip_on_mixer_words(mixing: Mixing, outlet: Outlet) -> Words:
    verb = "offers" if mixing.tip_joint == outlet.joint else "offers no"
    reason = (
        f"mixing {mixing.name} {verb} {outlet.joint} joint for tip {outlet.name}; "
        f"its own is {mixing.tip_joint}"
    )
    return _mixer_words(mixing, mixing.tip_joint, outlet.joint, f"tip {outlet.name}", reason)


def _mixer_words(mixing: Mixing, joint: str | None, limit: str, other: str, reason: str) -> Words:
    """What is said of one of the two joints of a mixer."""
    if mixing.kind == "none":
        reason = f"no mixing device stands before {other}"
        return Words("no joint", limit, reason, Basis.INVENTED)
    if joint is None:
        reason = f"the catalog does not state how mixing {mixing.name} is fixed to {other}"
        test = "fit the mixer by hand, or ask its maker for the joint"
        return Words("joint not stated", limit, reason, Basis.INVENTED, test)
    return Words(f"{joint} joint", limit, reason, Basis.INVENTED)


def _stock_rule(slot: str) -> Rule:
    """Of a part that lies on the shelf once, one side has it, where nothing is to be bought."""

    def check(case: Case, _side: Side) -> Grades | None:
        if not (case.material.two_part and case.subject.catalog.stock_counts):
            return None
        slots = [side.slot(slot) for side in case.sides]
        ones, others = ([part.last_one for part in case.frame.parts[each]] for each in slots)
        states = [[State.RULED_OUT if a and a == b else State.FITS for b in others] for a in ones]
        table = np.array(states, dtype=np.int8).reshape(len(ones), len(others))
        return Grades(table[tuple(case.frame.places(each) for each in slots)])

    def words(case: Case, _side: Side, build: Build) -> Words:
        one, other = (build[side.slot(slot)] for side in case.sides)
        same, last = one.name == other.name, one.last_one
        wanted = "two pieces" if same else "one piece each"
        stock = "one piece" if same and last else "enough"
        reason = (
            f"both sides want {slot} {one.name}, of which there is {stock} in stock"
            if same
            else f"the sides want {slot} {one.name} and {other.name}, a piece each"
        )
        return Words(wanted, stock, reason, Basis.INVENTED)

    return Rule(
        name=f"pieces in stock of the {slot}",
        family="fit",
        parts=(f"{slot}.last_one",),
        asks=(),
        check=check,
        words=words,
        whole=True,
        source="catalog: pieces in stock",
    )


RULES: tuple[Rule, ...] = (
    *(_size_rule(slot) for slot in FITTED_SLOTS),
    *(_stock_rule(slot) for slot in SIDE_SLOTS),
    Rule.of_pairs(
        "outlet",
        "size",
        _tip_on_head,
        _tip_on_head_words,
        name="tip joint on the head",
        parts=("size.joints", "outlet.joint"),
        source="catalog: joints of the outlet end",
        two_part=False,
    ),
    Rule.of_pairs(
        "mixing",
        "size",
        lambda mixing, size: _joined(mixing, mixing.joint, size.joints),
        _mixer_on_head_words,
        name="mixer joint on the head",
        parts=("size.joints", "mixing.joint"),
        source="catalog: joints of the outlet end",
        two_part=True,
    ),
    Rule.of_pairs(
        "mixing",
        "outlet",
        _tip_on_mixer,
        _tip_on_mixer_words,
        name="tip joint on the mixer",
        parts=("mixing.tip_joint", "outlet.joint"),
        source="catalog: joints of mixer and tip",
        two_part=True,
        whole=True,
    ),
)
