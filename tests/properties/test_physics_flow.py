"""Laws of flow, tried on random materials, tubes and seals."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    FlowCurve,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)
from configurator.physics.short_tube import taper_pressure_drop
from configurator.physics.slip import newtonian_leakage, slit_leakage
from configurator.physics.slip_calibration import (
    gap_from_rated_point,
    opening_from_rated_point,
    opening_gap,
)
from configurator.physics.tube_flow import (
    end_loss,
    flow_from_pressure,
    newtonian_wall_rate,
    reynolds_metzner_reed,
    tube_pressure_drop,
    wall_shear_rate,
    wall_stress,
)

LAWFUL = settings(max_examples=40, deadline=None, derandomize=True)


def decades(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers spread evenly over decades."""
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


VISCOSITY = decades(1e-3, 1e4)
INDEX = st.floats(0.15, 1.4)
YIELD = decades(1e-2, 5e3)


@st.composite
def measured(draw: st.DrawFn) -> MeasuredCurve:
    steps = draw(st.lists(st.floats(0.5, 3.0), min_size=1, max_size=6))
    slopes = draw(st.lists(st.floats(0.05, 1.2), min_size=len(steps), max_size=len(steps)))
    log_rates = np.log(draw(decades(1e-3, 10.0))) + np.concatenate([[0.0], np.cumsum(steps)])
    rises = np.concatenate([[0.0], np.cumsum(np.array(steps) * np.array(slopes))])
    stresses = draw(decades(1.0, 1e3)) * np.exp(rises)
    return MeasuredCurve(rates=np.exp(log_rates).tolist(), stresses=stresses.tolist())


CURVES: st.SearchStrategy[FlowCurve] = st.one_of(
    st.builds(Newtonian, VISCOSITY),
    st.builds(PowerLaw, VISCOSITY, INDEX),
    st.builds(Bingham, YIELD, VISCOSITY),
    st.builds(Casson, YIELD, VISCOSITY),
    st.builds(HerschelBulkley, YIELD, VISCOSITY, INDEX),
    st.builds(
        lambda top, share, time, index: Carreau(top, share * top, time, index),
        VISCOSITY,
        st.floats(0.0, 1.0),
        decades(1e-4, 1e3),
        st.floats(0.1, 1.0),
    ),
    measured(),
)
TUBES = st.fixed_dictionaries(
    {"flow_rate": decades(1e-12, 1e-4), "bore": decades(1e-4, 2e-2), "length": decades(1e-3, 5.0)}
)
SEALS = st.fixed_dictionaries(
    {
        "width": decades(5e-3, 0.2),
        "gap": decades(2e-6, 2e-4),
        "land_length": decades(5e-4, 1e-2),
        "pressure_per_stage": decades(1e4, 1e6),
        "density": decades(700.0, 4000.0),
        "sliding_speed": st.one_of(st.just(0.0), decades(1e-3, 1.0)),
    }
)


@LAWFUL
@given(curve=CURVES, rate=decades(1e-4, 1e5))
def test_rate_and_stress_undo_each_other(curve: FlowCurve, rate: float) -> None:
    stress = float(curve.stress(rate))
    # Close above a yield stress the rate hangs on the last digits of the stress.
    excess = (stress - np.nan_to_num(float(curve.yield_stress))) / stress

    if excess > 1e-3:
        assert curve.rate(stress) == pytest.approx(rate, rel=1e-8)
    assert curve.viscosity(rate) == pytest.approx(stress / rate, rel=1e-12)


@LAWFUL
@given(curve=CURVES, rate=decades(1e-4, 1e5))
def test_the_slope_is_the_derivative_of_the_logarithms(curve: FlowCurve, rate: float) -> None:
    step = 1e-5
    up, down = (float(np.log(float(curve.stress(rate * np.exp(s))))) for s in (step, -step))
    numeric = (up - down) / (2 * step)
    if isinstance(curve, MeasuredCurve):
        ends = sorted(float(curve.slope(rate * np.exp(s))) for s in (step, -step))
        assert ends[0] - 1e-6 <= numeric <= ends[1] + 1e-6
    else:
        assert curve.slope(rate) == pytest.approx(numeric, abs=1e-5)


@LAWFUL
@given(curve=CURVES, factor=decades(0.1, 10.0), rate=decades(1e-3, 1e4))
def test_scaling_multiplies_the_stress_at_every_rate(
    curve: FlowCurve, factor: float, rate: float
) -> None:
    assert curve.scaled(factor).stress(rate) == pytest.approx(factor * float(curve.stress(rate)))
    assert type(curve.scaled(factor)) is type(curve)


@LAWFUL
@given(curve=CURVES, tube=TUBES)
def test_pressure_and_flow_undo_each_other(curve: FlowCurve, tube: dict[str, float]) -> None:
    pressure = float(tube_pressure_drop(curve=curve, **tube))
    start = 4 * np.nan_to_num(float(curve.yield_stress)) * tube["length"] / tube["bore"]
    flow = flow_from_pressure(
        curve=curve, pressure_drop=pressure, bore=tube["bore"], length=tube["length"]
    )

    if pressure > 1.001 * start:
        assert flow == pytest.approx(tube["flow_rate"], rel=1e-7)
    assert pressure >= start


@LAWFUL
@given(curve=CURVES, tube=TUBES, more=st.floats(1.01, 10.0))
def test_the_loss_grows_with_flow_length_and_thickness_and_falls_with_the_bore(
    curve: FlowCurve, tube: dict[str, float], more: float
) -> None:
    def loss(shape: FlowCurve = curve, **change: float) -> float:
        return float(tube_pressure_drop(curve=shape, **{**tube, **change}))

    base = loss()
    # A material that yields may be so slow that the flow does not show in the last digit.
    assert loss(flow_rate=more * tube["flow_rate"]) >= base
    assert loss(length=more * tube["length"]) == pytest.approx(more * base)
    assert loss(bore=more * tube["bore"]) < base
    assert loss(shape=curve.scaled(more)) == pytest.approx(more * base, rel=1e-9)


@LAWFUL
@given(yield_stress=YIELD, consistency=VISCOSITY, index=INDEX, tube=TUBES)
def test_herschel_bulkley_reduces_to_each_simpler_model(
    yield_stress: float, consistency: float, index: float, tube: dict[str, float]
) -> None:
    def loss(curve: FlowCurve) -> Any:
        return pytest.approx(float(tube_pressure_drop(curve=curve, **tube)), rel=1e-9)

    assert tube_pressure_drop(curve=HerschelBulkley(0.0, consistency, index), **tube) == loss(
        PowerLaw(consistency, index)
    )
    assert tube_pressure_drop(
        curve=HerschelBulkley(yield_stress, consistency, 1.0), **tube
    ) == loss(Bingham(yield_stress, consistency))
    for curve in (
        HerschelBulkley(0.0, consistency, 1.0),
        Bingham(0.0, consistency),
        Casson(0.0, consistency),
        Carreau(consistency, 0.0, 1.0, 1.0),
        Carreau(consistency, consistency, 1.0, 0.3),
    ):
        assert tube_pressure_drop(curve=curve, **tube) == loss(Newtonian(consistency))


@LAWFUL
@given(consistency=VISCOSITY, index=st.floats(0.15, 1.0), tube=TUBES)
def test_points_on_a_power_law_flow_like_it(
    consistency: float, index: float, tube: dict[str, float]
) -> None:
    rates = np.geomspace(1e-3, 1e5, 9)
    points = MeasuredCurve(rates.tolist(), (consistency * rates**index).tolist())

    assert tube_pressure_drop(curve=points, **tube) == pytest.approx(
        float(tube_pressure_drop(curve=PowerLaw(consistency, index), **tube)), rel=1e-9
    )


@LAWFUL
@given(curve=CURVES, tube=TUBES)
def test_the_wall_rate_lies_where_the_rabinowitsch_bounds_say(
    curve: FlowCurve, tube: dict[str, float]
) -> None:
    duct = {"flow_rate": tube["flow_rate"], "bore": tube["bore"]}
    apparent = float(newtonian_wall_rate(**duct))
    true = float(wall_shear_rate(curve=curve, **duct))

    assert true > 0.75 * apparent
    assert wall_stress(curve=curve, **duct) == pytest.approx(float(curve.stress(true)))


@LAWFUL
@given(consistency=VISCOSITY, index=INDEX, tube=TUBES, density=decades(700.0, 4000.0))
def test_the_reynolds_number_of_a_power_law_is_the_written_one(
    consistency: float, index: float, tube: dict[str, float], density: float
) -> None:
    bore, speed = tube["bore"], 4 * tube["flow_rate"] / (np.pi * tube["bore"] ** 2)
    expected = (
        density
        * speed ** (2 - index)
        * bore**index
        / (8 ** (index - 1) * consistency * ((3 * index + 1) / (4 * index)) ** index)
    )

    reynolds = reynolds_metzner_reed(
        curve=PowerLaw(consistency, index), density=density, flow_rate=tube["flow_rate"], bore=bore
    )

    assert reynolds == pytest.approx(expected, rel=1e-9)


@LAWFUL
@given(curve=CURVES, tube=TUBES, wider=st.floats(1.0, 8.0))
def test_a_cone_loses_less_than_its_narrow_end_and_more_than_its_wide_end(
    curve: FlowCurve, tube: dict[str, float], wider: float
) -> None:
    narrow = float(tube_pressure_drop(curve=curve, **tube))
    wide = float(tube_pressure_drop(curve=curve, **{**tube, "bore": wider * tube["bore"]}))

    cone, turned = (
        float(
            taper_pressure_drop(
                curve=curve,
                flow_rate=tube["flow_rate"],
                bore_in=ends[0],
                bore_out=ends[1],
                length=tube["length"],
            )
        )
        for ends in ((wider * tube["bore"], tube["bore"]), (tube["bore"], wider * tube["bore"]))
    )

    assert wide * (1 - 1e-9) <= cone <= narrow * (1 + 1e-9)
    # Creeping flow does not know which end is the outlet.
    assert turned == pytest.approx(cone, rel=1e-7)


@LAWFUL
@given(curve=CURVES, tube=TUBES)
def test_both_ends_cost_as_much_as_a_little_more_length(
    curve: FlowCurve, tube: dict[str, float]
) -> None:
    extra = 3 * np.pi / 8 * tube["bore"] / 2

    stress = wall_stress(curve=curve, flow_rate=tube["flow_rate"], bore=tube["bore"])
    ends = end_loss(stress=stress)

    assert ends == pytest.approx(
        float(tube_pressure_drop(curve=curve, **{**tube, "length": extra})), rel=1e-9
    )


@LAWFUL
@given(curve=CURVES, seal=SEALS)
def test_the_bounds_of_the_leakage_are_in_order_and_inertia_only_takes_away(
    curve: FlowCurve, seal: dict[str, float]
) -> None:
    leakage = slit_leakage(curve=curve, **seal)
    weightless = slit_leakage(curve=curve, **{**seal, "density": 1e-9})

    assert 0.0 <= float(leakage.low) <= float(leakage.high)
    assert float(leakage.low) <= float(weightless.low) * (1 + 1e-9)
    assert float(leakage.high) <= float(weightless.high) * (1 + 1e-9)


@LAWFUL
@given(curve=CURVES, seal=SEALS, more=st.floats(1.05, 3.0))
def test_leakage_grows_with_gap_and_pressure_and_falls_with_thickness(
    curve: FlowCurve, seal: dict[str, float], more: float
) -> None:
    base = slit_leakage(curve=curve, **seal)
    for change in (
        {"gap": more * seal["gap"]},
        {"pressure_per_stage": more * seal["pressure_per_stage"]},
    ):
        larger = slit_leakage(curve=curve, **{**seal, **change})
        assert float(larger.low) >= float(base.low) * (1 - 1e-9)
    thicker = slit_leakage(curve=curve.scaled(more), **seal)
    assert float(thicker.low) <= float(base.low) * (1 + 1e-9)
    assert float(thicker.high) <= float(base.high) * (1 + 1e-9)


@LAWFUL
@given(yield_stress=YIELD, consistency=VISCOSITY, index=st.floats(0.15, 1.0), seal=SEALS)
def test_a_moving_rotor_never_leaks_less_than_a_film_as_thin_as_its_sliding_makes_it(
    yield_stress: float, consistency: float, index: float, seal: dict[str, float]
) -> None:
    curve = HerschelBulkley(yield_stress, consistency, index)
    sliding = seal["sliding_speed"] or 0.05
    film = {
        key: seal[key] for key in ("width", "gap", "land_length", "pressure_per_stage", "density")
    }
    at_sliding = newtonian_leakage(viscosity=curve.viscosity(sliding / seal["gap"]), **film)

    leakage = slit_leakage(curve=curve, sliding_speed=sliding, **film)

    assert float(leakage.high) >= float(at_sliding) * (1 - 1e-9)


@LAWFUL
@given(viscosity=VISCOSITY, seal=SEALS)
def test_the_gap_comes_back_from_the_leakage_it_makes(
    viscosity: float, seal: dict[str, float]
) -> None:
    film = {key: seal[key] for key in ("width", "land_length", "pressure_per_stage", "density")}
    leakage = newtonian_leakage(viscosity=viscosity, gap=seal["gap"], **film)

    gap = gap_from_rated_point(viscosity=viscosity, leakage=leakage, **film)

    assert gap == pytest.approx(seal["gap"], rel=1e-9)


@LAWFUL
@given(share=st.floats(0.0, 1.0), seal=SEALS)
def test_an_elastomer_does_not_leak_up_to_its_opening_pressure(
    share: float, seal: dict[str, float]
) -> None:
    film = {key: seal[key] for key in ("width", "land_length", "density")}
    opening = 2e5
    kappa = opening_from_rated_point(
        viscosity=1e-3, pressure_per_stage=4e5, opening_pressure=opening, leakage=1e-7, **film
    )
    gap = opening_gap(
        compliance=kappa, opening_pressure=opening, pressure_per_stage=share * opening
    )

    for curve in (Newtonian(1e-3), HerschelBulkley(10.0, 5.0, 0.5)):
        leakage = slit_leakage(
            curve=curve, gap=gap, pressure_per_stage=share * opening, sliding_speed=0.1, **film
        )
        assert leakage.low == leakage.high == 0.0


@LAWFUL
@given(
    thin=decades(0.1, 10.0),
    spread=st.floats(1.0, 5.0),
    flow=decades(1e-9, 1e-6),
    share=st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4),
)
def test_the_corners_of_a_range_bound_every_point_inside(
    thin: float, spread: float, flow: float, share: list[float]
) -> None:
    lows = np.array([thin, flow, 0.5e-3, 10e-3])
    highs = lows * np.array([spread, 1.5, 1.2, 1.1])
    inside = lows + np.array(share) * (highs - lows)

    def loss(viscosity: float, rate: float, bore: float, length: float) -> float:
        curve = HerschelBulkley(20.0, 10.0, 0.5).scaled(viscosity)
        return float(tube_pressure_drop(curve=curve, flow_rate=rate, bore=bore, length=length))

    worst = loss(highs[0], highs[1], lows[2], highs[3])
    best = loss(lows[0], lows[1], highs[2], lows[3])

    assert best * (1 - 1e-12) <= loss(*inside) <= worst * (1 + 1e-12)


def test_the_efficiency_does_not_depend_on_the_viscosity_when_the_tip_makes_the_pressure() -> None:
    # Slip and tip loss both scale with the viscosity: V n (1 - q/(V n)) with dp = R Q / 3 seals.
    efficiencies = []
    for viscosity in (1.0, 10.0, 100.0):
        resistance = (
            float(
                tube_pressure_drop(
                    curve=Newtonian(viscosity), flow_rate=1e-6, bore=0.84e-3, length=12.7e-3
                )
            )
            / 1e-6
        )
        leak = float(
            newtonian_leakage(
                viscosity=viscosity,
                density=1e-6,
                width=30e-3,
                gap=20e-6,
                land_length=2e-3,
                pressure_per_stage=1.0,
            )
        )
        efficiencies.append(1 / (1 + leak * resistance / 3))

    assert efficiencies == pytest.approx([0.99655] * 3, abs=5e-6)
