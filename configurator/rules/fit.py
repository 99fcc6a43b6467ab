"""Whether parts go together at all: each part against the size, the tip against the head."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Cavity, FittedPart, Joint, Mixing, Outlet, Part, Size
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.outcome import Grades
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis

FITTED_SLOTS = ("cavity", "body", "rotor", "stator", "seal", "drive", "feed")
"""Slots whose parts are made for some sizes only."""


def sizes_of(part: Part) -> tuple[str, ...]:
    """Names of the sizes that a part is made for."""
    if isinstance(part, Cavity):
        return (part.size,)
    assert isinstance(part, FittedPart)  # every other slot with sizes
    return part.sizes


def _is(size: Part, part: Part) -> bool:
    return part is size


def _is_made_for(size: str, part: Part) -> bool:
    return size in sizes_of(part)


def _size_rule(slot: str) -> Rule:
    def check(case: Case, side: Side) -> Grades:
        sizes = case.frame.parts[side.slot("size")]
        states = np.zeros(case.frame.shape((side.slot("size"), side.slot(slot))), dtype=np.int8)
        for size in sizes:
            here = case.frame.flags(side.slot("size"), partial(_is, size))
            made = case.frame.flags(side.slot(slot), partial(_is_made_for, size.name))
            states = np.where(here & ~made, State.RULED_OUT, states)
        return Grades(states.astype(np.int8))

    def words(_case: Case, side: Side, build: Build) -> Words:
        part, size = build[side.slot(slot)], build[side.slot("size")]
        made_for = ", ".join(sizes_of(part))
        verb = "is" if size.name in sizes_of(part) else "is not"
        return Words(
            demand=f"size {size.name}",
            limit=f"made for {made_for}",
            reason=f"{slot} {part.name} {verb} made for size {size.name}; it is for {made_for}",
            basis=Basis.INVENTED,
        )

    return Rule(
        name=f"{slot} made for the size",
        family="fit",
        parts=("size.name", "cavity.size" if slot == "cavity" else f"{slot}.sizes"),
        asks=(),
        check=check,
        words=words,
        source="catalog: sizes that the part is listed for",
    )


def _takes(joint: str, part: Part) -> bool:
    assert isinstance(part, Outlet)
    return part.joint == joint


def _carries(joint: str, part: Part) -> bool:
    assert isinstance(part, Size)
    return joint in part.joints


def _apart(
    case: Case,
    slot: str,
    has: Callable[[str, Part], bool],
    other: str,
    meets: Callable[[str, Part], bool],
) -> NDArray[np.bool_]:
    """True where a part has a joint that its neighbour does not meet."""
    apart = np.zeros(case.frame.shape((slot, other)), dtype=np.bool_)
    for joint in get_args(Joint):
        wanted = case.frame.flags(slot, partial(has, joint))
        met = case.frame.flags(other, partial(meets, joint))
        apart = apart | (wanted & ~met)
    return apart


def _joint_check(case: Case, side: Side) -> Grades | None:
    """Between the heads of a two-part material and the tip stands the mixer."""
    if case.material.two_part:
        return None
    apart = _apart(case, "outlet", _takes, side.slot("size"), _carries)
    return Grades(np.where(apart, State.RULED_OUT, State.FITS).astype(np.int8))


def _end_of(size: Size, joint: str | None, other: str) -> str:
    """Whether the outlet end of a head has the joint of what is fixed to it."""
    verb = "carries" if joint in size.joints else "carries no"
    joints = " or ".join(size.joints)
    return f"size {size.name} {verb} {joint} joint for {other}; its outlet end is {joints}"


def _joint_words(_case: Case, side: Side, build: Build) -> Words:
    outlet, size = build["outlet"], build[side.slot("size")]
    assert isinstance(outlet, Outlet)
    assert isinstance(size, Size)
    return Words(
        demand=f"{outlet.joint} joint",
        limit=" or ".join(size.joints),
        reason=_end_of(size, outlet.joint, f"tip {outlet.name}"),
        basis=Basis.INVENTED,
    )


TIP_JOINT = Rule(
    name="tip joint on the head",
    family="fit",
    parts=("size.joints", "outlet.joint"),
    asks=(),
    check=_joint_check,
    words=_joint_words,
    source="catalog: joints of the outlet end",
)


def _has_joint(field: str, joint: str | None, part: Part) -> bool:
    assert isinstance(part, Mixing)
    return part.kind != "none" and getattr(part, field) == joint


def _mixer_check(
    field: str, slot: str, meets: Callable[[str, Part], bool]
) -> Callable[[Case, Side], Grades | None]:
    """A joint of the mixer against that of its neighbour; one that is not stated is unproven."""

    def check(case: Case, side: Side) -> Grades | None:
        if not case.material.two_part:
            return None
        silent = case.frame.flags("mixing", partial(_has_joint, field, None))
        apart = _apart(case, "mixing", partial(_has_joint, field), side.slot(slot), meets)
        states = np.where(apart, State.RULED_OUT, np.where(silent, State.UNPROVEN, State.FITS))
        return Grades(states.astype(np.int8))

    return check


def _mixer_on_head_words(_case: Case, side: Side, build: Build) -> Words:
    mixing, size = build["mixing"], build[side.slot("size")]
    assert isinstance(mixing, Mixing)
    assert isinstance(size, Size)
    reason = _end_of(size, mixing.joint, f"mixing {mixing.name}")
    limit = " or ".join(size.joints)
    return _mixer_words(mixing, mixing.joint, limit, f"size {size.name}", reason)


def _tip_on_mixer_words(_case: Case, _side: Side, build: Build) -> Words:
    mixing, outlet = build["mixing"], build["outlet"]
    assert isinstance(mixing, Mixing)
    assert isinstance(outlet, Outlet)
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
        return Words(demand="no joint", limit=limit, reason=reason, basis=Basis.INVENTED)
    if joint is None:
        return Words(
            demand="joint not stated",
            limit=limit,
            reason=f"the catalog does not state how mixing {mixing.name} is fixed to {other}",
            basis=Basis.INVENTED,
            settle_with="fit the mixer by hand, or ask its maker for the joint",
        )
    return Words(demand=f"{joint} joint", limit=limit, reason=reason, basis=Basis.INVENTED)


MIXER_JOINT = Rule(
    name="mixer joint on the head",
    family="fit",
    parts=("size.joints", "mixing.joint"),
    asks=(),
    check=_mixer_check("joint", "size", _carries),
    words=_mixer_on_head_words,
    source="catalog: joints of the outlet end",
)

MIXER_TIP_JOINT = Rule(
    name="tip joint on the mixer",
    family="fit",
    parts=("mixing.tip_joint", "outlet.joint"),
    asks=(),
    check=_mixer_check("tip_joint", "outlet", _takes),
    words=_tip_on_mixer_words,
    whole=True,
    source="catalog: joints of mixer and tip",
)

RULES: tuple[Rule, ...] = (
    *(_size_rule(slot) for slot in FITTED_SLOTS),
    TIP_JOINT,
    MIXER_JOINT,
    MIXER_TIP_JOINT,
)
