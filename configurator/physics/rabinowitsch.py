"""The one integral behind every laminar duct: how the profile relates flow to the wall rate.

For any curve, with t the rate as a share of the wall rate and ``J_k`` the mean of
``(stress / wall stress)**k`` over t from 0 to 1, integrating the flow by parts gives

- round tube: ``4 Q / (pi R^3) = wall_rate * 4/3 * (1 - J_3)``
- flat slit:  ``6 q / (b h^2)  = wall_rate * 3/2 * (1 - J_2)``

Both right sides are the Newtonian (apparent) wall rate. Closed forms stand here for the models
that have one; measured points are piecewise closed; everything else is a fixed quadrature.
"""

from functools import partial

import numpy as np

from configurator.physics.domain import Array, Floats, array, weighted_sum
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import each_model
from configurator.physics.rheology import Casson, HerschelBulkley, MeasuredCurve, Newtonian

TUBE, SLIT = 3, 2
"""Power of the stress in the integral by parts of each duct."""

BLOCK = 512
"""Wall rates taken together, so that the points of their quadrature stay in the cache."""

_STRETCH = 6
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(56)
# t = s**6 crowds the points at low rates, where thinning and yield bend the curve.
_SHARES: Array = (0.5 * (_NODES + 1.0)) ** _STRETCH
_SHARE_WEIGHTS: Array = 0.5 * _WEIGHTS * _STRETCH * (0.5 * (_NODES + 1.0)) ** (_STRETCH - 1)


def _herschel_bulkley_ratio(curve: HerschelBulkley, wall_rate: Array, power: int) -> Array:
    index = array(curve.index)
    sheared = curve.sheared(wall_rate)
    plug = 1.0 - sheared
    first, second = 1.0 / (index + 1.0), 1.0 / (2.0 * index + 1.0)
    if power == SLIT:
        shape = sheared * second + plug * first
        return array(3.0 * index * sheared * shape)
    shape = sheared**2 / (3.0 * index + 1.0) + 2.0 * plug * sheared * second + plug**2 * first
    return array(4.0 * index * sheared * shape)


def _casson_ratio(curve: Casson, wall_rate: Array, power: int) -> Array:
    # r = sqrt(yield stress / wall stress). The polynomials of the textbooks have a triple zero
    # at r = 1; it is divided out here, for they lose every digit near the yield point.
    sheared = curve.sheared(wall_rate)
    r = 1.0 - sheared
    if power == SLIT:
        shape = (10.0 + r * (6.0 + r * (3.0 + r))) / 10.0
    else:
        shape = (21.0 + r * (15.0 + r * (10.0 + r * (6.0 + r * (3.0 + r))))) / 21.0
    return array(sheared * shape)


def _mean_power_by_quadrature(curve: FlowCurve, wall_rate: Array, power: int) -> Array:
    if wall_rate.size <= BLOCK:
        return _mean_power(curve, wall_rate, power)
    wall = wall_rate.reshape(-1)
    mean = np.empty(wall.size)
    for start in range(0, wall.size, BLOCK):
        places = np.arange(start, min(start + BLOCK, wall.size))
        some = curve.at(places, wall_rate.shape)
        mean[places] = _mean_power(some, wall[places], power)
    return mean.reshape(wall_rate.shape)


def _mean_power(curve: FlowCurve, wall_rate: Array, power: int) -> Array:
    rates = _SHARES.reshape((-1,) + (1,) * wall_rate.ndim) * wall_rate
    share = curve.stress_of(rates) / curve.stress_of(wall_rate)
    # Written as products: a general power would cost as much as the curve itself.
    powered = share * share if power == SLIT else share * share * share
    return weighted_sum(_SHARE_WEIGHTS, powered)


def newtonian_rate_ratio(*, curve: FlowCurve, wall_rate: Floats, power: int) -> Array:
    r"""Newtonian wall rate of a duct flow over the true wall rate.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour; its parameters must broadcast with `wall_rate`. [curve]
    wall_rate : Floats
        True shear rate at the wall, positive. [1/s]
    power : int
        `TUBE` or `SLIT`. [-]

    Returns
    -------
    ratio : Array
        1 for Newtonian, below 1 for shear-thinning, above for thickening. [-]

    Notes
    -----
    .. math:: 4/3 (1 - J_3) \quad\text{or}\quad 3/2 (1 - J_2)

    Quadrature: 56 Gauss points in the sixth root of the rate; better than 1e-8 for Carreau
    curves with an index from 0.1 and wall rates up to 1e6 over the reciprocal relaxation time.

    Source: Rabinowitsch, Mooney and Schuemmer forms of laminar duct flow (from memory), derived
    here by parts and tested against quadrature of the stress form.
    """
    with np.errstate(all="ignore"):
        return each_model(curve, partial(_ratio, power=power), array(wall_rate))[0]


def _ratio(curve: FlowCurve, wall: Array, power: int) -> tuple[Array]:
    match curve:
        case Newtonian():
            return (np.where(np.isnan(array(curve.constant) + wall), np.nan, 1.0),)
        case HerschelBulkley():
            return (_herschel_bulkley_ratio(curve, wall, power),)
        case Casson():
            return (_casson_ratio(curve, wall, power),)
        case MeasuredCurve():
            mean = curve.mean_power(wall, power)
        case _:
            mean = _mean_power_by_quadrature(curve, wall, power)
    return (array((power + 1.0) / power * (1.0 - mean)),)
