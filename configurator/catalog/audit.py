"""What is wrong or doubtful in a catalog that reads well: one note a finding.

The loader refuses what cannot be read; the audit looks at what the parts say together.
Bounds and orders follow from what the fields mean; wide bounds are there to catch slips.
"""

from __future__ import annotations

import math
import operator
import re
from collections import Counter
from collections.abc import Iterator
from itertools import chain, pairwise, product

from configurator.catalog import believable, laws, parts, records, series
from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.checking import (
    AuditNote,
    Check,
    Finding,
    figure_of,
    holders,
    of,
    where_of,
)
from configurator.units.interval import Basis
from configurator.units.path import quantities

DISPLACEMENT_TOLERANCE = 0.02  # off 4 e D Ps, either way; common practice, no source

FITTED = tuple(kind for kind in parts.PART_TYPES if issubclass(kind, parts.FittedPart))

DEVICE = ("material", "pressure_max", "mass")
STATIC = ("bore", "elements", "element_aspect", "void_share", "loss_factor", "mixing_rate")
CHAMBER = ("volume", "chamber_diameter", "gap", "speed_max")
MIXING_FIELDS = {"none": (), "static": (*DEVICE, *STATIC), "chamber": (*DEVICE, *CHAMBER)}
"""What a mixing device of each kind states, and no other kind does."""

LISTS = ("sizes", "joints", "materials", "control")

RANGES: tuple[tuple[str, float, float, str], ...] = (
    *((slot, 0.0, math.inf, "cost_index") for slot in parts.SLOTS),
    ("cavity", 1.0, 12.0, "stages breakaway_factor"),
    ("cavity", 0.001, 0.9999, "rated_elastomer.efficiency rated_rigid.efficiency"),
    ("cavity", 0.001, 100.0, "rated_elastomer.speed rated_rigid.speed"),
    ("cavity", 1.0, 1e8, "rated_rigid.pressure"),
    ("body", 0.05, 3.0, "mass_share"),
    ("stator", 0.01, 10.0, "pressure_factor friction_factor"),
    ("drive", 1.0, math.inf, "counts_per_turn"),
    ("drive", 0.0, math.pi, "backlash"),
    ("mixing", 1.0, 1000.0, "elements loss_factor"),
    ("mixing", 0.1, 10.0, "element_aspect"),
    ("mixing", 0.01, 0.999, "void_share mixing_rate"),
    ("outlet", 1.0, 40.0, "gauge"),
    ("practice", 1.0, 100.0, "bore_ratio.floor slip_factor_own"),
    ("practice", 0.01, 100.0, "shot_turns dot_to_bore_low bead_to_bore_low"),
    ("practice", 0.01, 1.0, "particle_to_eccentricity_hard"),
    ("practice", 0.01, 1.0, "hollow_pressure_share rest_pressure_share"),
    ("practice", 0.01, 10.0, "filler_to_surface_hardness"),
    ("practice", 1.0, 100.0, "pot_life_factor doublings_to_gel structure_rebuilt mixer_tail"),
    ("practice", 0.01, 100.0, "chamber_shots"),
    ("practice", 0.001, 0.5, "feed_heel regulator_lock_up"),
    ("practice", 0.01, 1.0, "shot_of_feed"),
    ("practice", 0.0, 1e6, "feed_least"),
    ("practice", 0.0, 0.5, "displacement_error rotor_ripple error_left_out"),
    ("practice", 0.0, 0.02, "material_expansion stator_drift"),
    ("practice", 1.0, 10.0, "alarm_over_working"),
    ("practice", 1.0, 100.0, "signal_over_error"),
    ("practice", 0.01, 50.0, "sensor_shots"),
    ("practice", 0.001, 0.6, "dual_left_over"),
    ("feed", 0.001, 0.5, "heel"),
)
"""Who states the fields, least and greatest value in SI, and the fields."""

RISING: tuple[tuple[str, str, str], ...] = (
    ("cavity", "<=", "stage_pressure_abrasive stage_pressure"),
    ("cavity", "<=", "stage_pressure_thin stage_pressure"),
    ("cavity", "<", "eccentricity rotor_diameter"),
    ("stator", "<", "temperature_low temperature_high"),
    ("seal", "<", "temperature_low temperature_high"),
    ("drive", "<", "temperature_low temperature_high"),
    ("drive", "<=", "torque_continuous torque_peak"),
    ("drive", "<", "speed_min speed_max"),
    ("mixing", "<", "gap chamber_diameter"),
    ("feed", "<", "viscosity_min viscosity_max"),
    ("body", "<", "sensor.error sensor.range"),
    ("outlet", "<", "bore outside_diameter"),
    ("outlet", "<=", "bore entry_bore"),
    ("practice.rubbing_speed", "<=", "very_hard hard mild clean"),
    ("practice.bore_ratio", "<=", "floor smooth_low_load irregular_or_loaded"),
    ("practice.bore_ratio", "<=", "irregular_or_loaded flake_fibre_or_hollow"),
    ("practice", "<=", "particle_to_eccentricity_hard particle_to_eccentricity_soft"),
    ("practice", "<=", "shot_turns shot_turns_tight"),
    ("practice", "<=", "swell_refit swell_reject"),
    ("practice", "<", "dot_to_bore_low dot_to_bore_high"),
    ("practice", "<", "bead_to_bore_low bead_to_bore_high"),
    ("practice", "<", "mouth_speed_low mouth_speed_high"),
    ("practice", "<=", "slip_factor_own slip_factor_other slip_factor_untested"),
    ("practice", "<=", "pot_life_run_share pot_life_stop_share"),
    ("practice", "<=", "weighing_error displacement_error"),
)
"""Who states the fields, how neighbours compare, and the fields from least to greatest."""


def audit(catalog: Catalog, *, alone: bool = False) -> tuple[AuditNote, ...]:
    """Put every check to a catalog: errors first, then in the order of `CHECKS`.

    With `alone` only checks of one part at a time: what a catalog that could be read in part can
    still be asked.
    """
    notes = [
        AuditNote(check.severity, check.name, *finding)
        for check in CHECKS
        if check.alone or not alone
        for finding in check.find(catalog)
    ]
    return tuple(sorted(notes, key=lambda note: note.severity != "error"))


def _names_twice(catalog: Catalog) -> Iterator[Finding]:
    for slot in parts.SLOTS:
        for name, count in Counter(part.name for part in catalog.parts.get(slot, ())).items():
            if count > 1:
                yield f"{slot} {name}", "name", f"{count} parts of this slot have the name"
        for part in catalog.parts.get(slot, ()):
            for field in LISTS:
                for word, count in Counter(getattr(part, field, ())).items():
                    if count > 1:
                        yield where_of(part), field, f"{word} stands there {count} times"


def _sizes(part: parts.Part) -> tuple[str, ...]:
    if isinstance(part, parts.Cavity):
        return (part.size,)
    return part.sizes if isinstance(part, parts.FittedPart) else ()


def _part_references(catalog: Catalog) -> Iterator[tuple[str, str, str, str]]:
    """Every name that a part uses: where, field, what kind of name, and the name."""
    for slot in parts.SLOTS:
        for part in catalog.parts.get(slot, ()):
            for size in _sizes(part):
                yield where_of(part), "sizes" if part.slot != "cavity" else "size", "size", size
            for field, code in parts.wetted_codes(part):
                yield where_of(part), field, "wetted material", code


def _chemistry_references(chemistry: Substances) -> Iterator[tuple[str, str, str, str]]:
    """Every name that a chemistry record uses, in the same way."""
    for group in chemistry.verdicts:
        where = f"verdicts on {group.constituent}"
        yield where, "constituent", "constituent", group.constituent
        for code in (*group.satisfactory, *group.limited, *group.not_satisfactory):
            yield where, "", "wetted material", code
    for name, constituent in chemistry.constituents.items():
        if constituent.like is not None:
            yield f"constituent {name}", "like", "constituent", constituent.like
    for source in chemistry.swell:
        for row in source.rows:
            where = f"swell by {source.source}"
            yield where, "rows", "constituent", row.constituent
            yield where, "rows", "wetted material", row.code
    for code, material in chemistry.wetted.items():
        if material.like is not None:
            yield f"wetted material {code}", "like", "wetted material", material.like


def _names_unknown(catalog: Catalog) -> Iterator[Finding]:
    known = {
        "size": {size.name for size in of(catalog, parts.Size)},
        "wetted material": set(catalog.substances.wetted),
        "constituent": set(catalog.substances.constituents),
    }
    chemical = _chemistry_references(catalog.substances)
    for where, field, kind, name in chain(_part_references(catalog), chemical):
        if name not in known[kind]:
            yield where, field, f"no {kind} is called {name}"


def _sizes_unbuildable(catalog: Catalog) -> Iterator[Finding]:
    joints = {outlet.joint for outlet in of(catalog, parts.Outlet)}
    for size in of(catalog, parts.Size):
        for slot in ("cavity", *(kind.slot for kind in FITTED)):
            if not any(size.name in _sizes(part) for part in catalog.parts.get(slot, ())):
                yield where_of(size), "", f"no {slot} for this size, so it cannot be built"
        if joints.isdisjoint(size.joints):
            yield where_of(size), "joints", "no outlet has one of its joints: it cannot be built"


def _parts_unused(catalog: Catalog) -> Iterator[Finding]:
    with_cavity = {cavity.size for cavity in of(catalog, parts.Cavity)}
    for part in (part for kind in FITTED for part in of(catalog, kind)):
        if with_cavity.isdisjoint(part.sizes):
            yield where_of(part), "sizes", "fits nothing: none of its sizes has a cavity"
    carried = {joint for size in of(catalog, parts.Size) for joint in size.joints}
    for outlet in of(catalog, parts.Outlet):
        if outlet.joint not in carried:
            yield where_of(outlet), "joint", f"fits nothing: no size has a {outlet.joint} joint"


def _displacement_off(catalog: Catalog) -> Iterator[Finding]:
    for cavity in of(catalog, parts.Cavity):
        area = 4 * cavity.eccentricity.nominal * cavity.rotor_diameter.nominal
        geometric = area * cavity.pitch.nominal
        off = cavity.displacement.nominal / geometric - 1
        if abs(off) > DISPLACEMENT_TOLERANCE:
            text = f"{100 * off:+.1f} % from 4 e D Ps, which is {geometric * 1e6:.4g} mL/rev"
            yield where_of(cavity), "displacement", f"{cavity.displacement.text} is {text}"


def _rated_points_closed(catalog: Catalog) -> Iterator[Finding]:
    for cavity in of(catalog, parts.Cavity):
        rated, opening = cavity.rated_elastomer.pressure, cavity.opening_pressure
        if rated.nominal <= opening.nominal * cavity.stages.nominal:
            shut = f"{cavity.stages.text} stages of {opening.text}"
            text = f"{rated.text} does not open {shut}: no slip"
            yield where_of(cavity), "rated_elastomer.pressure", text


def _out_of_range(catalog: Catalog) -> Iterator[Finding]:
    for slot, low, high, fields in RANGES:
        for (where, model), field in product(holders(catalog, slot), fields.split()):
            figure = figure_of(model, field)
            if figure is not None and not low <= figure.low <= figure.high <= high:
                bounds = f"at least {low:g}" if high == math.inf else f"{low:g} to {high:g}"
                yield where, field, f"{figure.text} is out of range, {bounds} {figure.kind.unit}"


def _out_of_order(catalog: Catalog) -> Iterator[Finding]:
    for place, relation, names in RISING:
        slot, _, inner = place.partition(".")
        fields = [f"{inner}.{name}".removeprefix(".") for name in names.split()]
        holds = operator.lt if relation == "<" else operator.le
        for where, model in holders(catalog, slot):
            for first, second in pairwise(fields):
                less, more = figure_of(model, first), figure_of(model, second)
                if less and more and not holds(less.nominal, more.nominal):
                    yield where, first, f"{less.text} must be {relation} {second}, {more.text}"


def _speed_caps_out_of_order(catalog: Catalog) -> Iterator[Finding]:
    for low, high in pairwise(catalog.practice.speed_caps):
        thin, thick = low.viscosity_up_to, high.viscosity_up_to
        if thin.nominal >= thick.nominal:
            text = f"{thick.text} follows {thin.text}: must rise"
            yield "practice", "speed_caps.viscosity_up_to", text
        if low.speed.nominal < high.speed.nominal:
            text = f"{high.speed.text} follows {low.speed.text}: must not rise with viscosity"
            yield "practice", "speed_caps.speed", text


def _mixing_incomplete(catalog: Catalog) -> Iterator[Finding]:
    for part in of(catalog, parts.Mixing):
        for field in (*DEVICE, *STATIC, *CHAMBER):
            needed, stated = field in MIXING_FIELDS[part.kind], getattr(part, field) is not None
            if needed and not stated:
                yield where_of(part), field, f"missing: mixing of kind {part.kind} states it"
            if stated and not needed:
                yield where_of(part), field, f"has no meaning for mixing of kind {part.kind}"


def _drives_too_weak(catalog: Catalog) -> Iterator[Finding]:
    for cavity in of(catalog, parts.Cavity):
        pressure = cavity.stage_pressure.nominal * cavity.stages.nominal
        friction = cavity.friction_torque.nominal
        running = cavity.displacement.nominal * pressure / (2 * math.pi) + friction
        start = max(running, friction * cavity.breakaway_factor.nominal)
        drives = [drive for drive in of(catalog, parts.Drive) if cavity.size in drive.sizes]
        running_on = [each for each in drives if each.torque_continuous.nominal >= running]
        if drives and not any(each.torque_peak.nominal >= start for each in running_on):
            need = f"{running:.3g} N*m at {pressure / 1e5:.3g} bar and {start:.3g} N*m to start"
            text = f"no drive of size {cavity.size} gives {need}"
            yield where_of(cavity), "stage_pressure", text


def _rigid_unrated(catalog: Catalog) -> Iterator[Finding]:
    rated = {cavity.size for cavity in of(catalog, parts.Cavity) if cavity.rated_rigid}
    for stator in of(catalog, parts.Stator):
        for size in stator.sizes if stator.kind == "rigid" else ():
            if size not in rated:
                text = f"no cavity of size {size} has rated_rigid, so its slip stays unknown"
                yield where_of(stator), "sizes", text


def _basis_unsupported(catalog: Catalog) -> Iterator[Finding]:
    words = {
        Basis.PUBLISHED: "is called published, but its note names no source",
        Basis.ESTIMATED: "is called estimated, but a catalog states figures and estimates none",
    }
    for slot in (*parts.SLOTS, "practice"):
        for where, model in holders(catalog, slot):
            for path, figure in quantities(model):
                field = re.sub(r"\[\d+\]", "", path)
                if figure.basis in words and not (figure.basis is Basis.PUBLISHED and figure.note):
                    yield where, field, f"{figure.text} {words[figure.basis]}"


CHECKS: tuple[Check, ...] = (
    Check("names are unique in a slot", "error", _names_twice),
    Check("names that are used are known", "error", _names_unknown),
    Check("chemistry does not contradict itself", "error", records.chemistry_at_odds),
    Check("every size can be built", "error", _sizes_unbuildable),
    Check("displacement follows from the geometry", "error", _displacement_off, alone=True),
    Check("rated points give a slip", "error", _rated_points_closed, alone=True),
    Check("figures are in range", "error", _out_of_range, alone=True),
    Check("figures are in order", "error", _out_of_order, alone=True),
    Check("speed caps are in order", "error", _speed_caps_out_of_order, alone=True),
    Check("mixing devices are complete", "error", _mixing_incomplete, alone=True),
    Check("every part fits something", "warning", _parts_unused),
    Check("a drive reaches the full pressure", "warning", _drives_too_weak),
    Check("rigid stators have a rated point", "warning", _rigid_unrated),
    Check("a stated basis is supported", "warning", _basis_unsupported, alone=True),
    *believable.CHECKS,
    *laws.CHECKS,
    *series.CHECKS,
    *records.CHECKS,
)
"""Every check, in the order in which its notes appear."""
