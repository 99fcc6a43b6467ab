"""Fits of published flow curves (package rheopy-rheodata 0.1.1) against scipy and noted values.

Sources of the points: Seth et al. 2011, doi 10.1038/nmat3119; Paredes et al. 2013, doi
10.1103/PhysRevLett.111.015701; Dinkgreve et al. 2015, doi 10.1103/PhysRevE.92.012305; Mason et al.
1996, doi 10.1006/jcis.1996.0235; Ghosh et al. 2019, doi 10.1039/c8sm02014k; three community series
without a paper. The noted values are fits made beforehand with scipy. Identifiers are loader keys.
"""

import numpy as np
import pytest
import rheodata
from scipy.optimize import least_squares

from configurator.physics.fitting import Fit, Points, fit_flow_curves
from configurator.physics.rheology import Carreau, HerschelBulkley, MeasuredCurve
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate

# key, sample, yield stress [Pa], consistency [Pa s^m], index, rms of ln(stress)
HERSCHEL_BULKLEY = [
    ("seth2011_S4a", "phi_0.92", 70.08, 34.13, 0.4774, 0.006),
    ("seth2011_S4a", "phi_0.79", 64.11, 26.50, 0.4863, 0.005),
    ("seth2011_S4b", "phi_0.86", 123.6, 17.16, 0.5068, 0.005),
    ("seth2011_S4b", "phi_0.75", 48.61, 7.993, 0.5308, 0.007),
    ("paredes2013_fig1", "phi_0.8", 38.91, 7.143, 0.5233, 0.015),
    ("paredes2013_fig1", "phi_0.72", 4.402, 3.082, 0.5117, 0.049),
    ("dinkgreve2015_fig2", "phi_0.8", 45.60, 9.837, 0.6275, 0.014),
    ("mason1996_fig5", "phi_0.65", 17.53, 8.555, 0.3374, 0.022),
    ("ghosh2019_fig3", "phi_0.881", 12.95, 8.624, 0.4651, 0.017),
    ("caggioni_pg_carbopol_2pct", None, 22.13, 19.03, 0.6001, 0.061),
    ("caggioni_carbopol_glycerin_temp", "T_20", 8.094, 102.8, 0.5232, 0.024),
    ("caggioni_carbopol_glycerin_temp", "T_30", 6.592, 66.14, 0.5168, 0.024),
    ("caggioni_carbopol_glycerin_temp", "T_40", 5.554, 43.76, 0.5168, 0.020),
]


def points(key: str, sample: str | None) -> tuple[np.ndarray, np.ndarray]:
    table = rheodata.load(key).df
    if sample is not None:
        table = table[table["sample_id"] == sample]
    return (table["shear_rate_1/s"].to_numpy(float), table["stress_Pa"].to_numpy(float))


def fitted(key: str, sample: str | None, model: str | None = None) -> Fit:
    rates, stresses = points(key, sample)
    return fit_flow_curves(points=[Points(rates, stresses, model)])[0]


@pytest.mark.parametrize("noted", HERSCHEL_BULKLEY, ids=lambda noted: f"{noted[0]} {noted[1]}")
def test_yielding_materials_are_found_with_their_noted_parameters(
    noted: tuple[str, str | None, float, float, float, float],
) -> None:
    key, sample, yield_stress, consistency, index, rms = noted
    fit = fitted(key, sample)

    assert isinstance(fit.curve, HerschelBulkley)
    assert fit.accepted
    assert fit.curve.yield_stress == pytest.approx(yield_stress, rel=0.002)
    assert fit.curve.consistency == pytest.approx(consistency, rel=0.002)
    assert fit.curve.index == pytest.approx(index, abs=0.0005)
    assert fit.rms_ln == pytest.approx(rms, abs=0.0006)


def test_the_own_solver_finds_what_scipy_finds() -> None:
    rates, stresses = points("seth2011_S4b", "phi_0.75")
    other = least_squares(
        lambda p: np.log(np.exp(p[0]) + np.exp(p[1]) * rates ** np.exp(p[2])) - np.log(stresses),
        x0=[3.0, 2.0, -0.5],
        xtol=1e-14,
        ftol=1e-14,
    )

    fit = fitted("seth2011_S4b", "phi_0.75", "Herschel-Bulkley")

    assert isinstance(fit.curve, HerschelBulkley)
    found = [fit.curve.yield_stress, fit.curve.consistency, fit.curve.index]
    assert np.log(np.array(found)) == pytest.approx(other.x, abs=1e-5)


def test_a_polymer_solution_is_refused_as_herschel_bulkley() -> None:
    fit = fitted("caggioni_linear_polymer_flow", None, "Herschel-Bulkley")

    assert not fit.accepted
    assert fit.rms_ln == pytest.approx(0.443, abs=0.001)


def test_a_polymer_solution_is_found_as_carreau() -> None:
    fit = fitted("caggioni_linear_polymer_flow", None)

    assert isinstance(fit.curve, Carreau)
    assert fit.accepted
    assert fit.curve.zero_viscosity == pytest.approx(1.999, rel=0.01)
    assert fit.curve.relaxation_time == pytest.approx(0.1967, rel=0.01)
    assert fit.curve.index == pytest.approx(0.4134, abs=0.002)


def test_a_refused_model_would_have_been_wrong_on_the_tip_by_more_than_a_third() -> None:
    rates, stresses = points("caggioni_linear_polymer_flow", None)
    tip = {"flow_rate": 1e-6 / 60, "bore": 0.838e-3, "length": 12.7e-3}
    refused = fitted("caggioni_linear_polymer_flow", None, "Herschel-Bulkley").curve
    # The measured points need no model; their noise makes a few steps fall, which are left out.
    order = np.argsort(rates)
    kept = [order[0]]
    for place in order[1:]:
        if rates[place] > rates[kept[-1]] and stresses[place] > stresses[kept[-1]]:
            kept.append(place)
    measured = MeasuredCurve(rates=rates[kept].tolist(), stresses=stresses[kept].tolist())

    right = tube_pressure_drop(curve=fitted("caggioni_linear_polymer_flow", None).curve, **tip)

    assert tube_pressure_drop(curve=measured, **tip) == pytest.approx(right, rel=0.1)
    wrong = tube_pressure_drop(curve=refused, **tip)
    assert abs(wrong / right - 1) > 1 / 3


def test_two_modes_are_too_much_for_one_carreau_curve() -> None:
    fit = fitted("caggioni_wlm_polymer_temp_series", "T_18")

    assert not fit.accepted
    assert isinstance(fit.curve, Carreau)
    assert fit.curve.zero_viscosity == pytest.approx(15.35, rel=0.01)
    assert fit.rms_ln == pytest.approx(0.108, abs=0.001)


def test_warming_a_gel_in_glycerol_shifts_the_curve_down_at_every_rate() -> None:
    cold = fitted("caggioni_carbopol_glycerin_temp", "T_20").curve
    warm = fitted("caggioni_carbopol_glycerin_temp", "T_40").curve
    assert isinstance(cold, HerschelBulkley)
    assert isinstance(warm, HerschelBulkley)
    rates = np.geomspace(1e-2, 1e2, 9)

    assert warm.consistency / cold.consistency == pytest.approx(0.426, rel=0.01)
    assert np.all(np.asarray(warm.stress(rates)) < np.asarray(cold.stress(rates)))


def test_a_tip_runs_faster_than_any_published_curve_was_measured() -> None:
    fit = fitted("seth2011_S4b", "phi_0.75")
    rate = wall_shear_rate(curve=fit.curve, flow_rate=1e-6 / 6, bore=0.3e-3)

    highest = points("seth2011_S4b", "phi_0.75")[0].max()

    assert highest == pytest.approx(1.5e3, rel=0.05)
    assert rate > highest
