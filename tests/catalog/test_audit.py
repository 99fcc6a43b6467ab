"""Each audit check on a small sound catalog, and on that catalog broken in one place."""

from __future__ import annotations

import dataclasses
import math
from itertools import pairwise
from typing import Any

import pytest
from pydantic import BaseModel

from configurator.catalog.audit import CHECKS, RANGES, RISING, audit
from configurator.catalog.catalog import Catalog, Practice, Substances
from configurator.catalog.checking import AuditNote
from configurator.catalog.parts import PART_TYPES, SLOTS, Part, wetted_codes
from configurator.catalog.substances import Constituent, VerdictGroup, WettedMaterial
from configurator.units.interval import Basis, Interval

INVENTED = {"basis": Basis.INVENTED}
MODELS = {model.slot: model for model in PART_TYPES}


def fields(text: str) -> dict[str, Any]:
    return {key: value for key, _, value in (pair.partition("=") for pair in text.split("; "))}


POINT = fields(
    "viscosity=1 mPa*s; density=998 kg/m^3; speed=60 rpm; pressure=8 bar; efficiency=80 %"
)
FITS = {"sizes": ["s1"]}
WARM = fields("temperature_low=0 degC; temperature_high=60 degC")
SENSOR = {"materials": ["316L"], "joints": ["luer lock", "threaded"]}


PARTS: dict[str, tuple[dict[str, Any], ...]] = {
    "size": (fields("name=s1; dry_mass=1 kg; pressure_max=24 bar") | {"joints": ["threaded"]},),
    "cavity": (
        fields("name=s1-0.4-2s; size=s1; eccentricity=1 mm; rotor_diameter=5 mm; pitch=20 mm")
        | fields("displacement=0.4 mL/rev; stages=2; stage_pressure=6 bar")
        | fields("stage_pressure_abrasive=3 bar; stage_pressure_thin=2 bar")
        | fields("friction_torque=0.5 N*m; breakaway_factor=2.5; seal_width=30 mm")
        | fields("seal_land=2 mm; opening_pressure=2 bar")
        | {"rated_elastomer": POINT, "rated_rigid": POINT},
    ),
    "body": (
        FITS
        | fields("name=steel; material=316L; pressure_max=40 bar; mass_share=1")
        | {"sensor": fields("range=40 bar; error=0.2 bar; volume=1 mL") | SENSOR},
    ),
    "rotor": (
        FITS
        | fields("name=hard; material=316L; surface=hard chrome")
        | {"hardness": {"value": "900 HV", "basis": "published", "note": "a source"}},
    ),
    "stator": (
        FITS
        | WARM
        | fields("name=rigid; kind=rigid; material=PTFE; pressure_factor=0.6; friction_factor=0.5"),
    ),
    "seal": (
        FITS
        | WARM
        | fields("name=lip; pressure_max=10 bar; speed_max=200 rpm; filler_max=mild")
        | {"materials": ["PTFE", "316L"], "keeps_moisture_out": False},
    ),
    "drive": (
        FITS
        | WARM
        | fields("name=servo; torque_continuous=1 N*m; torque_peak=2 N*m; speed_min=5 rpm")
        | fields("speed_max=120 rpm; counts_per_turn=4096; backlash=1 deg; mass=1 kg")
        | {"control": ["fieldbus"]},
    ),
    "mixing": (
        fields("name=none; kind=none"),
        fields("name=tube; kind=static; material=PTFE; pressure_max=20 bar; mass=5 g; bore=6 mm")
        | fields("elements=20; element_aspect=1.5; void_share=75 %; loss_factor=6.9")
        | fields("mixing_rate=0.87"),
        fields("name=chamber; kind=chamber; material=316L; pressure_max=16 bar; mass=300 g")
        | fields("volume=2 mL; chamber_diameter=20 mm; gap=1 mm; speed_max=1000 rpm"),
    ),
    "outlet": (
        fields("name=cone; kind=taper; bore=1 mm; entry_bore=4 mm; length=30 mm; material=316L")
        | fields("outside_diameter=2 mm; joint=threaded; pressure_max=40 bar; mass=10 g; gauge=18")
        | {"passes_light": False},
    ),
    "feed": (
        FITS
        | fields(
            "name=pot; kind=pail follower; pressure_max=6 bar; viscosity_max=50 Pa*s; viscosity_min=1 Pa*s"
        )
        | fields("line_bore=6 mm; line_length=1 m; capacity=2 L; heel=3 %; carried_mass=0.2 kg")
        | dict.fromkeys(("keeps_moisture_out", "stirred", "passes_light"), False)
        | {"air_over_material": True, "materials": ["316L"]},
    ),
}


def caps(*rows: str) -> list[dict[str, Any]]:
    return [fields(row) for row in rows]


PRACTICE: dict[str, Any] = (
    fields("particle_to_eccentricity_soft=0.2; particle_to_eccentricity_hard=0.1")
    | fields("shot_turns_tight=1; shot_turns=0.25; tight_tolerance=1 %; speed_cap_very_hard=60 rpm")
    | fields("dot_to_bore_low=1.5; dot_to_bore_high=3..6; bead_to_bore_low=1")
    | fields("bead_to_bore_high=3..5; mouth_speed_low=0.2..1 mm/s; mouth_speed_high=0.5..3 m/s")
    | fields("hollow_pressure_share=0.25; rest_pressure_share=0.5; thin_below=0.1 Pa*s")
    | fields("feed_least=0.3 bar; regulator_lock_up=15 %")
    | fields("weep_share=1..10 %; anaerobic_stop=2 h; suck_back_share=10 %")
    | fields("slip_factor_own=1.2; slip_factor_other=2; mixing_reserve_above_10=25 %")
    | fields("slip_factor_untested=5; filler_to_surface_hardness=0.8; temperature_rise_refit=20 K")
    | fields("carried_margin=20 %; trapped_air=0.1 %; mixing_reserve_above_100=50 %")
    | fields("swell_refit=3 %; swell_reject=8 %; displacement_error=3 %; weighing_error=0.5 %")
    | fields("rotor_ripple=2 %; material_expansion=7e-4 1/K; stator_drift=1e-3 1/K")
    | fields("mixer_wall_modulus=2 GPa; error_left_out=0.1 %")
    | fields("caution_margin=10 %; pot_life_stop_share=30 %; pot_life_run_share=10 %")
    | fields("pot_life_factor=1.5..2.5; doublings_to_gel=3..8; structure_rebuilt=1..3")
    | fields(
        "mixer_tail=1.2..1.5; chamber_shots=3; feed_heel=3 %; shot_of_feed=30 %; feed_lasts=10 min"
    )
    | fields("alarm_over_working=1.5; signal_over_error=5; sensor_shots=1..5; dual_left_over=10 %")
    | fields("viscosity_ratio_static=1000; chamber_turns=20; purge_volumes=3")
    | fields("mixer_wall_rate_filled=100 1/s; feed_off_temperature=10 K")
    | {
        "rubbing_speed": fields(
            "clean=0.5 m/s; mild=0.2 m/s; hard=0.1 m/s; very_hard=0.05 m/s; hollow=0.05 m/s"
        ),
        "bore_ratio": fields("floor=3; smooth_low_load=5; irregular_or_loaded=10")
        | fields("flake_fibre_or_hollow=15; loaded_from=30 %"),
        "speed_caps": caps(
            "viscosity_up_to=1 Pa*s; speed=120 rpm", "viscosity_up_to=10 Pa*s; speed=60 rpm"
        ),
    }
)


def part(slot: str, values: dict[str, Any]) -> Part:
    whole = {"title": "A part", "cost_index": 1, **values}
    return MODELS[slot].model_validate(whole, context=INVENTED)


FAMILIES = {
    "316L": ("metal", ()),
    "PTFE": ("plastic", ("passes light",)),
    "hard chrome": ("coating", ()),
}


def wetted(code: str, like: str | None = None) -> WettedMaterial:
    family, tags = FAMILIES[code]
    values = {"code": code, "title": code, "family": family, "tags": tags, "like": like}
    values |= fields("temperature_low=-50 degC; temperature_high=120 degC")
    return WettedMaterial.model_validate(values, context=INVENTED)


def water(like: str | None = None) -> Constituent:
    values = {"name": "water", "title": "Water", "counts_from": "1 %", "like": like}
    return Constituent.model_validate(values, context=INVENTED)


def verdict(constituent: str = "water", code: str = "316L") -> VerdictGroup:
    return VerdictGroup(
        constituent=constituent,
        basis="from memory",
        source="invented for this test",
        confidence="low",
        satisfactory=(code,),
    )


def sound() -> Catalog:
    return Catalog(
        name="small",
        title="A small sound catalog",
        sha256="",
        where="memory",
        parts={slot: tuple(part(slot, values) for values in PARTS[slot]) for slot in SLOTS},
        practice=Practice.model_validate(PRACTICE, context=INVENTED),
        substances=Substances(
            constituents={"water": water()},
            wetted={code: wetted(code) for code in ("316L", "PTFE", "hard chrome")},
            verdicts=(verdict(),),
        ),
    )


def with_parts(slot: str, *values: dict[str, Any]) -> Catalog:
    """The sound catalog with the parts of one slot replaced."""
    catalog = sound()
    parts = {**catalog.parts, slot: tuple(part(slot, value) for value in values)}
    return dataclasses.replace(catalog, parts=parts)


def changed(slot: str, index: int = 0, **changes: Any) -> Catalog:
    """The sound catalog with some fields of one part replaced; None takes a field away."""
    values = list(PARTS[slot])
    values[index] = {**values[index], **changes}
    return with_parts(slot, *values)


def added(slot: str, **changes: Any) -> Catalog:
    """The sound catalog with a changed copy of the slot's first part beside it."""
    return with_parts(slot, *PARTS[slot], {**PARTS[slot][0], **changes})


def priced(*prices: str) -> Catalog:
    """The sound catalog with prices of its feed and of as many copies as there are more."""
    names = ["pot", *(f"pot-{number}" for number in range(2, len(prices))), "can"]
    feeds = zip(names, prices, strict=True)
    first = PARTS["feed"][0]
    return with_parts("feed", *({**first, "name": name, "price": price} for name, price in feeds))


def practised(**changes: Any) -> Catalog:
    practice = Practice.model_validate({**PRACTICE, **changes}, context=INVENTED)
    return dataclasses.replace(sound(), practice=practice)


def chemistry(**changes: Any) -> Catalog:
    catalog = sound()
    return dataclasses.replace(
        catalog, substances=dataclasses.replace(catalog.substances, **changes)
    )


CAVITY = "cavity s1-0.4-2s"
RATED = "rated_elastomer"
GUESS = {"value": "60 rpm", "basis": "estimated", "note": "felt right"}
UNSOURCED = {"value": "900 HV", "basis": "published"}
THICKER = caps("viscosity_up_to=1 Pa*s; speed=60 rpm", "viscosity_up_to=9 Pa*s; speed=61 rpm")
TWICE = caps("viscosity_up_to=1 Pa*s; speed=60 rpm", "viscosity_up_to=1 Pa*s; speed=60 rpm")
PTFE_LIKE_PFA = {**sound().substances.wetted, "PTFE": wetted("PTFE", "PFA")}


def graded(grade: str, **values: Any) -> VerdictGroup:
    given = verdict().model_dump(exclude={"satisfactory"}, exclude_none=True)
    return VerdictGroup.model_validate({**given, grade: ("316L",), **values}, context=INVENTED)


TWINS = {
    "water": water(),
    "twin": water().model_copy(update={"name": "twin", "title": "Twin", "synonyms": ("Water",)}),
}

BREAKS: dict[str, tuple[tuple[str, str, Catalog], ...]] = {
    "outlet sensors leave a joint": (
        (
            "body steel",
            "sensor.joints",
            changed(
                "body",
                sensor=fields("range=40 bar; error=0.2 bar; volume=1 mL")
                | SENSOR
                | {"joints": ["flanged"]},
            ),
        ),
    ),
    "names are unique in a slot": (("feed pot", "name", added("feed")),),
    "names that are used are known": (
        (CAVITY, "size", changed("cavity", size="s9")),
        ("drive servo", "sizes", changed("drive", sizes=["s1", "s9"])),
        ("body steel", "material", changed("body", material="brass")),
        ("rotor hard", "surface", changed("rotor", surface="DLC")),
        ("seal lip", "materials", changed("seal", materials=["PTFE", "FKM"])),
        ("mixing tube", "material", changed("mixing", 1, material="PP")),
        ("verdicts on brine", "constituent", chemistry(verdicts=(verdict("brine"),))),
        ("verdicts on water", "", chemistry(verdicts=(verdict(code="NBR"),))),
        ("constituent water", "like", chemistry(constituents={"water": water("brine")})),
        ("wetted material PTFE", "like", chemistry(wetted=PTFE_LIKE_PFA)),
    ),
    "every size can be built": (
        ("size s2", "", added("size", name="s2")),
        ("size s1", "joints", changed("size", joints=["luer lock"])),
    ),
    "chemistry does not contradict itself": (
        ("verdicts on water", "limited", chemistry(verdicts=(verdict(), graded("limited")))),
        ("constituent twin", "synonyms", chemistry(constituents=TWINS)),
    ),
    "displacement follows from the geometry": (
        (CAVITY, "displacement", changed("cavity", displacement="0.391 mL/rev")),
    ),
    "rated points give a slip": (
        (CAVITY, f"{RATED}.pressure", changed("cavity", opening_pressure="4 bar")),
    ),
    "figures are in range": (
        (CAVITY, "stages", changed("cavity", stages=0)),
        (
            CAVITY,
            f"{RATED}.efficiency",
            changed("cavity", rated_elastomer={**POINT, "efficiency": "100 %"}),
        ),
    ),
    "figures are in order": (
        ("outlet cone", "bore", changed("outlet", entry_bore="0.9 mm")),
        ("drive servo", "torque_continuous", changed("drive", torque_peak="0.9 N*m")),
        ("practice", "shot_turns", practised(shot_turns=2)),
    ),
    "speed caps are in order": (
        ("practice", "speed_caps.viscosity_up_to", practised(speed_caps=TWICE)),
        ("practice", "speed_caps.speed", practised(speed_caps=THICKER)),
    ),
    "mixing devices are complete": (
        ("mixing tube", "bore", changed("mixing", 1, bore=None)),
        ("mixing chamber", "gap", changed("mixing", 2, gap=None)),
        ("mixing none", "volume", changed("mixing", 0, volume="1 mL")),
    ),
    "every part fits something": (
        ("outlet needle", "joint", added("outlet", name="needle", joint="luer lock")),
        ("feed pail", "sizes", added("feed", name="pail", sizes=["s9"])),
    ),
    "a drive reaches the full pressure": (
        (CAVITY, "stage_pressure", changed("drive", torque_continuous="0.576 N*m")),
        # 2.5 times 0.5 N*m to break away.
        (CAVITY, "stage_pressure", changed("drive", torque_peak="1.24 N*m")),
    ),
    "rigid stators have a rated point": (
        ("stator rigid", "sizes", changed("cavity", rated_rigid=None)),
    ),
    "no row is a copy": (("feed pan", "", added("feed", name="pan")),),
    "prices add up": (
        ("feed can", "price", priced("9 EUR", "3,50 EUR", "12 USD")),
        ("feed can", "price", priced("9 EUR", "3,50 EUR", "on request")),
    ),
    "a stated basis is supported": (
        ("rotor hard", "hardness", changed("rotor", hardness=UNSOURCED)),
        (
            CAVITY,
            "rated_rigid.speed",
            changed("cavity", rated_rigid={**POINT, "speed": GUESS}),
        ),
    ),
}


def places(notes: tuple[AuditNote, ...], check: str) -> set[tuple[str, str]]:
    return {(note.where, note.field) for note in notes if note.check == check}


def test_a_sound_catalog_gets_no_note() -> None:
    assert audit(sound()) == ()


@pytest.mark.parametrize(
    ("check", "where", "field", "broken"),
    [(check, *row) for check, rows in BREAKS.items() for row in rows],
)
def test_a_broken_catalog_is_found_out(check: str, where: str, field: str, broken: Catalog) -> None:
    assert (where, field) in places(audit(broken), check)


def test_check_names_are_unique() -> None:
    names = [check.name for check in CHECKS]

    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("displacement", "found"), [("0.4079 mL/rev", False), ("0.4081 mL/rev", True)]
)
def test_displacement_may_be_two_per_cent_off(displacement: str, *, found: bool) -> None:
    notes = audit(changed("cavity", displacement=displacement))

    assert bool(notes) is found


@pytest.mark.parametrize(("torque", "found"), [("0.577 N*m", False), ("0.576 N*m", True)])
def test_full_pressure_takes_hydraulic_and_friction_torque(torque: str, *, found: bool) -> None:
    needed = 0.4e-6 * 12e5 / (2 * math.pi) + 0.5
    assert 0.576 < needed < 0.577

    notes = audit(changed("drive", torque_continuous=torque))

    assert bool(places(notes, "a drive reaches the full pressure")) is found


def with_value(model: BaseModel, field: str, value: float) -> Any:
    """A copy of the model in which one figure has another SI value."""
    first, _, rest = field.partition(".")
    inner = getattr(model, first)
    new = (
        with_value(inner, rest, value)
        if rest
        else dataclasses.replace(inner, interval=Interval.exact(value))
    )
    return model.model_copy(update={first: new})


def with_figures(slot: str, values: dict[str, float]) -> Catalog:
    """The sound catalog with SI values set in every part of a slot that states them."""

    def set_in(model: Any) -> Any:
        for field, value in values.items():
            if getattr(model, field.split(".")[0]) is not None:
                model = with_value(model, field, value)
        return model

    catalog = sound()
    if slot == "practice":
        return dataclasses.replace(catalog, practice=set_in(catalog.practice))
    parts = {**catalog.parts, slot: tuple(set_in(item) for item in catalog.parts[slot])}
    return dataclasses.replace(catalog, parts=parts)


RANGE_ROWS = [
    (slot, field, low, high) for slot, low, high, fields in RANGES for field in fields.split()
]


@pytest.mark.parametrize(("slot", "field", "low", "high"), RANGE_ROWS)
def test_a_figure_may_lie_at_an_end_of_its_range_and_not_beyond(
    slot: str, field: str, low: float, high: float
) -> None:
    def found(value: float) -> bool:
        notes = audit(with_figures(slot, {field: value}))
        return field in {at for _, at in places(notes, "figures are in range")}

    assert not found(low)
    assert found(math.nextafter(low, -math.inf))
    if high < math.inf:
        assert not found(high)
        assert found(math.nextafter(high, math.inf))


ORDER_ROWS = [
    (place.partition(".")[0], relation, *pair)
    for place, relation, names in RISING
    for pair in pairwise(
        f"{place.partition('.')[2]}.{name}".removeprefix(".") for name in names.split()
    )
]


@pytest.mark.parametrize(("slot", "relation", "first", "second"), ORDER_ROWS)
def test_figures_in_order_may_not_change_places(
    slot: str, relation: str, first: str, second: str
) -> None:
    def found(less: float, more: float) -> bool:
        notes = audit(with_figures(slot, {first: less, second: more}))
        return any(
            note.field == first and f" {relation} {second}," in note.text
            for note in notes
            if note.check == "figures are in order"
        )

    assert not found(0.1, 0.2)
    assert found(0.2, 0.1)
    assert found(0.2, 0.2) is (relation == "<")


def test_errors_come_before_warnings() -> None:
    catalog = changed("cavity", stages=0, rated_rigid=None)

    severities = [note.severity for note in audit(catalog)]

    assert {"error", "warning"} == set(severities)
    assert severities == sorted(severities)


def test_a_note_reads_as_one_line_with_place_and_numbers() -> None:
    (note,) = audit(changed("outlet", entry_bore="0.9 mm"))

    assert note.line() == "error: outlet cone: bore: 1 mm must be <= entry_bore, 0.9 mm"


def test_wetted_codes_name_every_code_with_its_field() -> None:
    rotor, seal = sound().part("rotor", "hard"), sound().part("seal", "lip")
    assert rotor is not None
    assert seal is not None

    assert wetted_codes(rotor) == (("material", "316L"), ("surface", "hard chrome"))
    assert wetted_codes(seal) == (("materials", "PTFE"), ("materials", "316L"))


def test_a_size_without_a_drive_is_named_with_the_slot_that_lacks() -> None:
    notes = audit(added("size", name="s2"))

    texts = [note.text for note in notes if note.where == "size s2"]

    assert "no drive for this size, so it cannot be built" in texts
    assert "no cavity for this size, so it cannot be built" in texts
