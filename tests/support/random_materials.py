"""Random material files: whatever flow model, filler and constituents, one part or two."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from configurator.request.material import MODEL_KEYS
from configurator.units.interval import Basis

ASCII_WORDS = st.from_regex(r"[A-Za-z]{1,9}( [A-Za-z0-9-]{1,9}){0,2}", fullmatch=True)
PRINTABLE = st.characters(exclude_categories=("C", "Zl", "Zp", "Zs"), include_characters=" ")
SHAPES = ("sphere", "irregular", "flake", "fibre")
SENSITIVITIES = ("moisture", "light", "shear", "sedimentation", "platinum poisons")
TRIGGERS = ("moisture", "anaerobic", "light", "surface moisture", "heat", "none")


def text(longest: int, least: int = 1) -> st.SearchStrategy[str]:
    """One printable line without blanks around it or two in a row."""
    return (
        st.text(PRINTABLE, max_size=longest)
        .map(lambda text: " ".join(text.split()))
        .filter(lambda text: len(text) >= least)
    )


BASES = st.sampled_from([each.value for each in Basis])
# An apostrophe in front is taken for the one that keeps a spreadsheet from running a cell.
PLAIN_CELL = text(60).filter(lambda text: not text.startswith("'"))
NOTE = text(40)
# In a cell with several entries, brackets within brackets have to close.
NOTE_IN_A_LIST = NOTE.filter(lambda text: "(" not in text and ")" not in text)


def numbers(low: float, high: float) -> st.SearchStrategy[str]:
    """A number as people write it, in thousandths."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda each: f"{each / 1000:g}")


@st.composite
def quantities(
    draw: st.DrawFn,
    low: float,
    high: float,
    unit: str,
    *,
    tolerance: str = "%",
    notes: st.SearchStrategy[str] = NOTE,
) -> Any:
    """A quantity: plain, a range or with a tolerance; with a basis and a note or without."""
    first = draw(numbers(low, high))
    shape = draw(st.sampled_from(["plain", "range", "tolerance"]))
    written = f"{first} {unit}".strip()
    if shape == "range":
        last = draw(numbers(max(float(first), low), high))
        written = f"{first}..{last} {unit}".strip()
    elif shape == "tolerance" and tolerance == "%":
        written += f" +/- {draw(st.integers(0, 30))} %"
    elif shape == "tolerance" and tolerance:
        written += f" +/- 1 {tolerance}"
    remark = draw(st.sampled_from(["", "", "", "basis", "note", "both"]))
    if not remark:
        return written
    remarks = {"basis": draw(BASES)} if remark != "note" else {}
    return {"value": written, **remarks, **({"note": draw(notes)} if remark != "basis" else {})}


def shares() -> st.SearchStrategy[str]:
    """A share by mass that leaves room for others."""
    return quantities(0, 9, "%", tolerance="", notes=NOTE_IN_A_LIST)


@st.composite
def flows(draw: st.DrawFn) -> dict[str, Any]:
    """A flow with the keys of its model."""
    parameters = {
        "viscosity": quantities(0.01, 900, "Pa*s"),
        "consistency": quantities(0.01, 900, "Pa*s^n"),
        "index": quantities(0.1, 0.9, "", tolerance=""),
        "yield_stress": quantities(0, 900, "Pa"),
        "plastic_viscosity": quantities(0.01, 900, "Pa*s"),
        "casson_viscosity": quantities(0.01, 900, "cP"),
        "zero_viscosity": quantities(200, 900, "Pa*s", tolerance=""),
        "infinite_viscosity": quantities(0.01, 100, "Pa*s", tolerance=""),
        "relaxation_time": quantities(0.01, 9, "s"),
        "points": points(),
    }
    model = draw(st.sampled_from([None, *MODEL_KEYS]))
    flow: dict[str, Any] = {"at": draw(quantities(5, 60, "degC", tolerance="K"))}
    if model is not None:
        flow["model"] = model
    for key in MODEL_KEYS[model or "newtonian"]:
        flow[key] = draw(parameters[key])
    single = "viscosity" in flow
    further = {
        "thixotropic": st.booleans(),
        "batch_spread": quantities(0, 40, "%", tolerance=""),
        **({"shear_rate": quantities(0.1, 900, "1/s")} if single else {}),
    }
    flow |= draw(st.fixed_dictionaries({}, optional=further))
    match draw(st.sampled_from(["energy", "warm", "none"])):
        case "energy":
            flow["activation_energy"] = draw(quantities(1, 90, "kJ/mol"))
        case "warm" if single:
            flow["warm"] = {
                "viscosity": draw(quantities(0.001, 0.005, "Pa*s", tolerance="")),
                "at": draw(quantities(80, 90, "degC", tolerance="K")),
            }
    return flow


@st.composite
def points(draw: st.DrawFn) -> list[dict[str, Any]]:
    """A measured curve that rises."""
    count = draw(st.integers(3, 6))
    curve = []
    for place in range(count):
        rate, stress = 10 ** (place - 2), 50 * 3**place
        key = draw(st.sampled_from(["stress", "viscosity"]))
        value = f"{stress} Pa" if key == "stress" else f"{stress / rate:.6g} Pa*s"
        remark = draw(st.none() | NOTE_IN_A_LIST)
        curve.append(
            {"rate": f"{rate:g} 1/s", key: {"value": value, "note": remark} if remark else value}
        )
    return curve


@st.composite
def components(draw: st.DrawFn) -> dict[str, Any]:
    """A component with some of what a data sheet may say."""
    hollow = draw(st.booleans())
    filler = {
        "volume_fraction": quantities(1, 60, "%", tolerance=""),
        "d50": quantities(1, 40, "um"),
        "d99": quantities(60, 400, "um"),
        "mohs": quantities(1, 7, "Mohs"),
        "shape": st.sampled_from(SHAPES),
        **({"crush_pressure": quantities(1, 90, "bar")} if hollow else {}),
    }
    named = st.lists(
        st.tuples(ASCII_WORDS | text(60), st.none() | shares()),
        max_size=4,
        unique_by=lambda each: " ".join(each[0].casefold().split()),
    )
    optional = {
        "density": quantities(0.5, 9, "g/cm^3"),
        "constituents": named.map(
            lambda pairs: [
                {"name": name} if share is None else {"name": name, "mass_fraction": share}
                for name, share in pairs
            ]
        ),
        "complete": st.just(False),
        "flash_point": quantities(5, 300, "degC", tolerance="K"),
        "vapour_pressure": quantities(0, 90, "mbar"),
        "bulk_modulus": quantities(0.5, 3, "GPa"),
        "sensitive_to": st.lists(st.sampled_from(SENSITIVITIES), max_size=3),
        "shear_rate_max": quantities(1, 900, "1/s"),
        "filler": st.fixed_dictionaries({"name": PLAIN_CELL}, optional=filler).map(
            lambda filler: filler | ({"hollow": True} if hollow else {})
        ),
    }
    return {"flow": draw(flows()), **draw(st.fixed_dictionaries({}, optional=optional))}


@st.composite
def materials(draw: st.DrawFn) -> dict[str, Any]:
    """Tables of a material file."""
    tables: dict[str, Any] = {
        "schema": 1,
        "name": draw(st.from_regex(r"[a-z0-9][a-z0-9.+-]{0,20}", fullmatch=True)),
        "title": draw(PLAIN_CELL),
        **draw(
            st.fixed_dictionaries(
                {},
                optional={
                    "note": PLAIN_CELL,
                    "invented": st.booleans(),
                    "basis": BASES,
                },
            )
        ),
    }
    if draw(st.booleans()):
        return tables | {
            "trigger": draw(st.sampled_from(TRIGGERS)),
            "component": draw(components()),
        }
    mix = {
        "ratio": [draw(quantities(1, 9, "", tolerance="", notes=NOTE_IN_A_LIST)) for _ in range(2)],
        "by": draw(st.sampled_from(["volume", "mass"])),
        "ratio_tolerance": draw(quantities(1, 40, "%", tolerance="")),
        "pot_life": {
            "value": draw(quantities(1, 90, "min")),
            "at": draw(quantities(5, 60, "degC", tolerance="K")),
            "definition": draw(st.sampled_from(["gel time", "not stated"])),
            **draw(st.fixed_dictionaries({}, optional={"mass": quantities(1, 900, "g")})),
        },
        **draw(
            st.fixed_dictionaries({}, optional={"mixed_viscosity": quantities(0.1, 90, "Pa*s")})
        ),
    }
    return tables | {
        "trigger": "two-part",
        "a": draw(components()),
        "b": draw(components()),
        "mix": mix,
    }
