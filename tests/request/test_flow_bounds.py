from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from configurator.request.flow_bounds import FlowParameters, flow_bounds
from configurator.request.material import Flow
from configurator.units.interval import Basis

RATES = np.logspace(-3, 5, 81)
WORKING_RATES = RATES[RATES >= 1.0]

Array = NDArray[np.float64]


def _flow(**keys: Any) -> Flow:
    context = {"basis": Basis.DATASHEET}
    return Flow.model_validate({"at": "23 degC"} | keys, context=context)


def _stress(curve: FlowParameters, rate: Array) -> Array:
    """The textbook forms, written out here so that nothing of the package is its own judge."""
    v = curve.values
    forms: dict[str, Callable[[], Array]] = {
        "newtonian": lambda: v["viscosity"] * rate,
        "power law": lambda: v["consistency"] * rate ** v["index"],
        "bingham": lambda: v["yield_stress"] + v["plastic_viscosity"] * rate,
        "casson": lambda: (v["yield_stress"] ** 0.5 + (v["casson_viscosity"] * rate) ** 0.5) ** 2,
        "herschel-bulkley": lambda: v["yield_stress"] + v["consistency"] * rate ** v["index"],
        "carreau": lambda: (
            rate
            * (
                v["infinite_viscosity"]
                + (v["zero_viscosity"] - v["infinite_viscosity"])
                * (1 + (v["relaxation_time"] * rate) ** 2) ** ((v["index"] - 1) / 2)
            )
        ),
    }
    return forms[curve.model]()


MODELS: list[dict[str, str]] = [
    {"model": "newtonian", "viscosity": "4 Pa*s +/- 10 %"},
    {"model": "power law", "consistency": "90..110 Pa*s^n", "index": "0.4..0.5"},
    {"model": "bingham", "yield_stress": "50..70 Pa", "plastic_viscosity": "9..14 Pa*s"},
    {"model": "casson", "yield_stress": "3..5 Pa", "casson_viscosity": "0.2..0.3 Pa*s"},
    {
        "model": "herschel-bulkley",
        "yield_stress": "200..300 Pa",
        "consistency": "140..180 Pa*s^n",
        "index": "0.4..0.5",
    },
    {
        "model": "carreau",
        "zero_viscosity": "8..10 Pa*s",
        "infinite_viscosity": "1..3 Pa*s",
        "relaxation_time": "0.5..1.5 s",
        "index": "0.3..0.7",
    },
]


@pytest.mark.parametrize("keys", MODELS, ids=lambda keys: keys["model"])
@given(data=st.data())
def test_every_curve_that_the_stated_ranges_allow_lies_between_thin_and_thick(
    keys: dict[str, str], data: st.DataObject
) -> None:
    flow = _flow(**keys, batch_spread="20 %")
    bounds = flow_bounds(flow)
    batch = data.draw(st.floats(0.8, 1.2))
    values = {}
    for key in keys.keys() - {"model"}:
        stated = getattr(flow, key)
        values[key] = data.draw(st.floats(stated.low, stated.high), label=key)
    member = FlowParameters(bounds.nominal.model, values)

    assert np.all(batch * _stress(member, RATES) <= _stress(bounds.thick, RATES) * (1 + 1e-9))
    working = batch * _stress(member, WORKING_RATES)
    assert np.all(_stress(bounds.thin, WORKING_RATES) <= working * (1 + 1e-9))


@given(
    index=st.floats(0.35, 0.7),
    rate=st.floats(1.0, 10.0),
    viscosity=st.floats(40.0, 50.0),
    batch=st.floats(0.9, 1.1),
)
def test_whatever_a_lone_reading_of_a_paste_hides_lies_between_thin_and_thick_at_any_rate(
    index: float, rate: float, viscosity: float, batch: float
) -> None:
    flow = _flow(viscosity="40..50 Pa*s", thixotropic=True, batch_spread="10 %")
    bounds = flow_bounds(flow)
    hidden = batch * viscosity * rate * (RATES / rate) ** index

    assert np.all(hidden <= _stress(bounds.thick, RATES) * (1 + 1e-9))
    assert np.all(_stress(bounds.thin, RATES) <= hidden * (1 + 1e-9))
    assert bounds.estimated


@given(index=st.floats(0.4, 1.0), rate=st.floats(1.0, 10.0))
def test_a_lone_reading_of_a_clean_liquid_may_hide_newtonian_flow(
    index: float, rate: float
) -> None:
    bounds = flow_bounds(_flow(viscosity="5 Pa*s"))
    hidden = 5.0 * rate * (RATES / rate) ** index

    assert np.all(hidden <= _stress(bounds.thick, RATES) * (1 + 1e-9))
    assert np.all(_stress(bounds.thin, RATES) <= hidden * (1 + 1e-9))
    assert bounds.nominal == FlowParameters("newtonian", {"viscosity": 5.0})


def test_a_lone_reading_is_much_thinner_at_tip_rates_but_never_said_to_be_thicker() -> None:
    bounds = flow_bounds(_flow(viscosity="5 Pa*s"))
    tip = np.array([1000.0])

    # 5 Pa*s at 1 1/s with n 0.4 is 5 * 1000^-0.6 = 0.079 Pa*s at 1000 1/s.
    assert float(_stress(bounds.thin, tip)[0]) / 1000 == pytest.approx(0.0792447, rel=1e-5)
    assert float(_stress(bounds.thick, tip)[0]) / 1000 == pytest.approx(5.0, rel=5e-3)


def test_a_stated_shear_rate_narrows_a_lone_reading() -> None:
    wide = flow_bounds(_flow(viscosity="5 Pa*s"))
    narrow = flow_bounds(_flow(viscosity="5 Pa*s", shear_rate="10 1/s"))

    assert np.all(_stress(wide.thin, RATES) <= _stress(narrow.thin, RATES))
    # At the stated rate itself the reading is the viscosity, whatever the index.
    at_reading = _stress(narrow.nominal, np.array([10.0]))
    assert float(at_reading[0]) == pytest.approx(50.0)
    assert narrow.estimated


def test_a_stated_newtonian_viscosity_is_believed() -> None:
    bounds = flow_bounds(_flow(model="newtonian", viscosity="5 Pa*s"))

    assert bounds.thin == bounds.nominal == bounds.thick
    assert not bounds.estimated


def test_the_batch_spread_multiplies_stresses_but_no_index_and_no_time() -> None:
    spread = flow_bounds(
        _flow(
            model="carreau",
            zero_viscosity="10 Pa*s",
            infinite_viscosity="1 Pa*s",
            relaxation_time="2 s",
            index="0.5",
            batch_spread="25 %",
        )
    )

    assert dict(spread.thick.values) == {
        "zero_viscosity": 12.5,
        "infinite_viscosity": 1.25,
        "relaxation_time": 2.0,
        "index": 0.5,
    }
    assert spread.thin.values["zero_viscosity"] == 7.5


def test_measured_points_keep_their_rates_and_take_tolerance_and_batch_spread() -> None:
    points = [
        {"rate": "1 1/s", "stress": "100 Pa +/- 10 %"},
        {"rate": "10 1/s", "viscosity": "20 Pa*s"},
        {"rate": "100 1/s", "stress": "400 Pa"},
    ]
    bounds = flow_bounds(_flow(model="points", points=points, batch_spread="10 %"))

    assert bounds.thick.rates == bounds.thin.rates == (1.0, 10.0, 100.0)
    assert bounds.nominal.stresses == pytest.approx((100.0, 200.0, 400.0))
    assert bounds.thick.stresses == pytest.approx((121.0, 220.0, 440.0))
    assert bounds.thin.stresses == pytest.approx((81.0, 180.0, 360.0))


def test_points_are_points_without_the_word_model() -> None:
    points = [{"rate": f"{r} 1/s", "viscosity": "2 Pa*s"} for r in (1, 10, 100)]
    with pytest.raises(ValueError, match="newtonian flow"):
        _flow(points=points)


def test_an_estimated_parameter_makes_the_bounds_estimated() -> None:
    guess = {"value": "0.5", "basis": "estimated"}
    bounds = flow_bounds(_flow(model="power law", consistency="50 Pa*s^n", index=guess))

    assert bounds.estimated


def test_an_index_with_a_tolerance_lifts_the_thick_curve_by_no_more_than_needed() -> None:
    flow = _flow(model="power law", consistency="100 Pa*s^n", index="0.4..0.5")
    thick = flow_bounds(flow).thick
    at_low_index = 100.0 * RATES**0.4
    gap = (_stress(thick, RATES) - at_low_index)[RATES <= 1.0] / 100.0

    assert thick.model == "herschel-bulkley"
    assert float(gap.min()) == pytest.approx(0.0, abs=1e-3)
    assert math.isfinite(thick.values["yield_stress"])
