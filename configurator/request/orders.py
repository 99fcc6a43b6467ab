"""The orders in which builds can be listed, by name: no more than a help text needs to load."""

from __future__ import annotations

from configurator.errors import UsageError, did_you_mean

ORDERS = (
    "shortfall_steps",
    "comfort_steps",
    "cost_index",
    "price",
    "delivery_days",
    "speed_low_rpm",
    "speed_high_rpm",
    "back_pressure_bar",
    "restart_pressure_bar",
    "torque_nm",
    "volume_error_pct",
    "volume_error_unweighed_pct",
    "shot_revolutions",
    "head_mass_kg",
    "time_pressure_error_pct",
    "mixing_cov",
    "residence_s",
    "purge_waste_ml",
    "waste_ml",
    "waste_pct",
    "shots_per_container",
    "container_lasts_min",
    "refills_per_shift",
    "wear_band_low_hours",
    "least_margin_pct",
)
"""Figures that builds of the same state can be ordered by; the first does unless asked."""


def order_named(name: str, option: str = "--sort") -> str:
    """Return a name if it is that of an order.

    Parameters
    ----------
    name : str
        As typed.
    option : str
        Where it was typed.

    Raises
    ------
    UsageError
        If there is none of that name, with the nearest names.
    """
    if name not in ORDERS:
        raise UsageError(
            f"{option}: given '{name}'; accepted: {', '.join(ORDERS)}", did_you_mean(name, ORDERS)
        )
    return name


UNITS = {
    **{unit: unit for unit in ("rpm", "bar", "kg", "s", "ms", "min")},
    "nm": "N m",
    "pct": "%",
    "ml": "mL",
    "ul": "uL",
    "ulmin": "uL/min",
    "mm": "mm",
    "pa": "Pa",
    "hours": "h",
    "days": "d",
}
"""Units as people write them, by the end of a figure's name."""


def unit_of(figure: str) -> str:
    """Unit of a figure as people write it; empty where it has none."""
    return UNITS.get(figure.rpartition("_")[2], "")
