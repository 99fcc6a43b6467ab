"""Filler: particles against bore and cavity, hardness against surfaces, hollow spheres."""

from __future__ import annotations

import math

import numpy as np

from configurator.catalog.parts import Feed, Part, Seal
from configurator.catalog.practice import Practice
from configurator.request.material import Filler
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats, Grades
from configurator.rules.finding import State
from configurator.rules.hardness import (
    CLASSES,
    by_class,
    filler_class,
    hardness_in_vickers,
    is_filled,
)
from configurator.rules.pressure import FLOW_ASKS, TIP_PARTS
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis
from configurator.units.kinds import HARDNESS_HV, LENGTH, NUMBER, PRESSURE


def _largest(filler: Filler) -> Bound:
    """Largest particle, with its spread; unknown where not stated. [m]"""
    if filler.d99 is None:
        return Bound.exact(math.nan)
    size = filler.d99
    return Bound(
        kind=np.asarray(size.low),
        nominal=np.asarray(size.nominal),
        hard=np.asarray(size.high),
        corner="largest particle",
        estimated=size.estimated,
    )


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
    largest = _largest(filler)
    bore = case.column("outlet", "bore", "low")
    demand = Bound(
        kind=bore / largest.kind,
        nominal=bore / largest.nominal,
        hard=bore / largest.hard,
        corner=largest.corner,
        estimated=largest.estimated,
    )
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
        demand = Bound(
            kind=hardness_in_vickers(mohs.low),
            nominal=hardness_in_vickers(mohs.nominal),
            hard=hardness_in_vickers(mohs.high),
            corner="hardest filler",
            estimated=mohs.estimated,
        )
    ratio = case.practice.filler_to_surface_hardness.nominal
    allowed = side.column("rotor", "hardness") * ratio
    asked = is_filled(side.component)
    return Comparison(demand, Bound.exact(allowed), HARDNESS_HV, cap=State.MARGINAL, asked=asked)


def seal_filler(case: Case, side: Side) -> Grades | None:
    """Whether the shaft seal stands a filler this hard."""
    if side.component.filler is None:
        return None
    hardness = filler_class(side.component)

    def state(part: Part) -> int:
        assert isinstance(part, Seal)
        if hardness is None:
            return State.FITS if part.filler_max == CLASSES[-1] else State.UNPROVEN
        over = CLASSES.index(hardness) - CLASSES.index(part.filler_max)
        if over <= 0:
            return State.FITS
        return State.MARGINAL if over == 1 else State.RULED_OUT

    return Grades(case.frame.codes(side.slot("seal"), state))


def _seal_words(_case: Case, side: Side, build: Build) -> Words:
    seal, filler = build[side.slot("seal")], side.component.filler
    assert isinstance(seal, Seal)
    assert filler is not None  # the rule applies to fillers only
    hardness = filler_class(side.component) or "unknown hardness"
    basis = Basis.ESTIMATED if filler.mohs is None else filler.mohs.basis
    return Words(
        demand=hardness,
        limit=seal.filler_max,
        reason=f"filler {filler.name} counts as {hardness}; "
        f"seal {seal.name} stands fillers up to {seal.filler_max}",
        basis=basis,
    )


def hollow_spheres(case: Case, side: Side) -> Comparison | None:
    """Pressure behind the outlet against a share of the spheres' crush strength."""
    filler = side.component.filler
    if filler is None or not np.any(filler.hollow):
        return None
    crush = math.nan if filler.crush_pressure is None else filler.crush_pressure.low
    allowed = Bound.exact(crush * case.practice.hollow_pressure_share.nominal)
    return Comparison(case.outlet.highest, allowed, PRESSURE, asked=filler.hollow)


def sedimentation(case: Case, side: Side) -> Grades | None:
    """Whether the feed keeps a settling filler moving."""
    if "sedimentation" not in side.component.sensitive_to:
        return None

    def state(part: Part) -> int:
        assert isinstance(part, Feed)
        return State.FITS if part.stirred else State.MARGINAL

    return Grades(case.frame.codes(side.slot("feed"), state))


def _sedimentation_words(_case: Case, side: Side, build: Build) -> Words:
    feed = build[side.slot("feed")]
    assert isinstance(feed, Feed)
    verb = "stirs" if feed.stirred else "does not stir"
    return Words(
        demand="settles while it stands",
        limit="stirred" if feed.stirred else "not stirred",
        reason=f"the filler settles while it stands; feed {feed.name} {verb} it",
        basis=Basis.DATASHEET,
    )


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
    Rule(
        name="shaft seal against filler",
        family="filler",
        parts=("seal.filler_max",),
        asks=("component.filler.mohs",),
        check=seal_filler,
        words=_seal_words,
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
    Rule(
        name="settling in the feed",
        family="filler",
        parts=("feed.stirred",),
        asks=("component.sensitive_to",),
        check=sedimentation,
        words=_sedimentation_words,
        source="common practice, no source",
    ),
)
