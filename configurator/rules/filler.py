"""Filler: particles against bore and cavity, hardness against surfaces, hollow spheres."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import Feed, Seal
from configurator.request.material import Filler
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.hardness import (
    CLASSES,
    by_class,
    filler_class,
    hardness_in_vickers,
    is_filled,
)
from configurator.rules.pressure import FLOW_ASKS, TIP_PARTS
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis
from configurator.units.kinds import HARDNESS_HV, LENGTH, NUMBER, PRESSURE


def _largest(filler: Filler) -> Bound:
    """Largest particle, with its spread; unknown where not stated. [m]"""
    size = filler.d99
    if size is None:
        return Bound.exact(math.nan)
    return Bound.rising(size, "largest particle", estimated=size.estimated)


def bore_ratio_needed(practice: Practice, filler: Filler) -> Floats:
    """Least tip bore over largest particle for a filler's shape and loading."""
    ratios = practice.bore_ratio
    shape = np.asarray(filler.shape)
    fraction = math.nan if filler.volume_fraction is None else filler.volume_fraction.high
    # What nobody states may be loaded.
    low = np.asarray(fraction <= ratios.loaded_from.nominal) & (shape == "sphere")
    usual = np.where(low, ratios.smooth_low_load.nominal, ratios.irregular_or_loaded.nominal)
    flat = np.asarray(filler.hollow) | (shape == "flake") | (shape == "fibre")
    return np.where(flat, ratios.flake_fibre_or_hollow.nominal, usual)


def tip_bore(case: Case, side: Side) -> Comparison | None:
    """Tip bore over largest particle: a floor below which tips clog, practice above it.

    Between the physical floor and the shop's ratio a tip is marginal; below the floor it is
    ruled out.
    """
    filler = side.component.filler
    if filler is None:
        return None
    bore = case.column("outlet", "bore", "low")
    demand = _largest(filler).each(lambda size: bore / size)
    floor = np.asarray(case.practice.bore_ratio.floor.nominal)
    wanted = bore_ratio_needed(case.practice, filler)
    limit = Bound(kind=floor, nominal=floor, hard=np.maximum(floor, wanted))
    asked = is_filled(side.component)
    return Comparison(demand, limit, NUMBER, at_least=True, asked=asked)


def cavity_size(case: Case, side: Side) -> Comparison | None:
    """Largest particle against the eccentricity, so that none is pinched."""
    filler = side.component.filler
    if filler is None:
        return None
    soft = case.practice.particle_to_eccentricity_soft.nominal
    hard = case.practice.particle_to_eccentricity_hard.nominal
    share = by_class(side.component, clean=soft, mild=soft, hard=hard, very_hard=hard)
    allowed = side.column("cavity", "eccentricity") * share
    asked = is_filled(side.component)
    return Comparison(_largest(filler), Bound.exact(allowed), LENGTH, asked=asked)


def rotor_hardness(case: Case, side: Side) -> Comparison | None:
    """Filler hardness over rotor surface: harder fillers wear the rotor, they do not stop it.

    The ratio of practice marks the knee; a harder filler leaves the build marginal, since wear
    is a matter of life and not of function, and the rubbing speed limit carries the rest.
    """
    filler = side.component.filler
    if filler is None:
        return None
    mohs = filler.mohs
    if mohs is None:
        demand = Bound.exact(math.nan)
    else:
        demand = Bound.rising(mohs, "hardest filler", estimated=mohs.estimated)
        demand = demand.each(hardness_in_vickers)
    ratio = case.practice.filler_to_surface_hardness.nominal
    allowed = side.column("rotor", "hardness") * ratio
    asked = is_filled(side.component)
    return Comparison(demand, Bound.exact(allowed), HARDNESS_HV, cap=State.MARGINAL, asked=asked)


def _seal_filler(_case: Case, side: Side) -> Callable[[Seal], tuple[State, Words]] | None:
    filler, hardness = side.component.filler, filler_class(side.component)
    if filler is None:
        return None

    def judged(seal: Seal) -> tuple[State, Words]:
        told = hardness or "unknown hardness"
        reason = (
            f"filler {filler.name} counts as {told}; "
            f"seal {seal.name} stands fillers up to {seal.filler_max}"
        )
        basis = Basis.ESTIMATED if filler.mohs is None else filler.mohs.basis
        most = CLASSES.index(seal.filler_max)
        if hardness is None:
            state = State.FITS if seal.filler_max == CLASSES[-1] else State.UNPROVEN
        else:
            over = min(max(CLASSES.index(hardness) - most, 0), 2)
            state = (State.FITS, State.MARGINAL, State.RULED_OUT)[over]
        return state, Words(told, seal.filler_max, reason, basis)

    return judged


def hollow_spheres(case: Case, side: Side) -> Comparison | None:
    """Pressure behind the outlet against a share of the spheres' crush strength."""
    filler = side.component.filler
    if filler is None or not np.any(filler.hollow):
        return None
    crush = math.nan if filler.crush_pressure is None else filler.crush_pressure.low
    allowed = Bound.exact(crush * case.practice.hollow_pressure_share.nominal)
    return Comparison(case.outlet.highest, allowed, PRESSURE, asked=filler.hollow)


def _sedimentation(_case: Case, side: Side) -> Callable[[Feed], tuple[State, Words]] | None:
    if "sedimentation" not in side.component.sensitive_to:
        return None

    def judged(feed: Feed) -> tuple[State, Words]:
        verb = "stirs" if feed.stirred else "does not stir"
        reason = f"the filler settles while it stands; feed {feed.name} {verb} it"
        limit = "stirred" if feed.stirred else "not stirred"
        words = Words("settles while it stands", limit, reason, Basis.DATASHEET)
        return State.FITS if feed.stirred else State.MARGINAL, words

    return judged


RULES: tuple[Rule, ...] = (
    Rule(
        name="tip bore against largest particle",
        family="filler",
        parts=("outlet.bore",),
        asks=(
            "component.filler.d99",
            "component.filler.shape",
            "component.filler.hollow",
            "component.filler.volume_fraction",
        ),
        practice=("bore_ratio",),
        check=tip_bore,
        sentence="the bore of tip {outlet} is {demand} times the largest particle; "
        "this filler wants {limit} times",
        source="floor of 3 for smooth spheres: Marin et al., arXiv:1711.06119; "
        "above it shop practice",
    ),
    Rule(
        name="largest particle against the cavity",
        family="filler",
        parts=("cavity.eccentricity",),
        asks=("component.filler.d99", "component.filler.mohs"),
        practice=("particle_to_eccentricity_soft", "particle_to_eccentricity_hard"),
        check=cavity_size,
        sentence="the largest particle is {demand}; {cavity} takes particles up to {limit}",
        source="share of the eccentricity, shop practice",
    ),
    Rule(
        name="rotor surface against filler hardness",
        family="filler",
        parts=("rotor.hardness",),
        asks=("component.filler.mohs",),
        practice=("filler_to_surface_hardness",),
        check=rotor_hardness,
        sentence="the filler is as hard as {demand}; rotor {rotor} wears little up to {limit}",
        source="knee of the wear rate over the hardness ratio, shop practice",
    ),
    Rule.of_parts(
        "seal",
        _seal_filler,
        name="shaft seal against filler",
        family="filler",
        fields=("filler_max",),
        asks=("component.filler.mohs",),
        source="rating from the catalog",
    ),
    Rule(
        name="hollow spheres against pressure",
        family="filler",
        parts=TIP_PARTS,
        asks=(*FLOW_ASKS, "component.filler.hollow", "component.filler.crush_pressure"),
        practice=("hollow_pressure_share",),
        check=hollow_spheres,
        sentence="tip {outlet} needs {demand}; the hollow spheres should see no more than {limit}",
        source="a share of the crush strength, shop practice",
    ),
    Rule.of_parts(
        "feed",
        _sedimentation,
        name="settling in the feed",
        family="filler",
        fields=("stirred",),
        asks=("component.sensitive_to",),
        source="common practice, no source",
    ),
)
