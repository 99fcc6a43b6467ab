"""Figures of a build, by which lists are shown and sorted; the unit is in each name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from configurator.request.orders import ORDERS, order_named
from configurator.rules.at_rest import largest_weep
from configurator.rules.carrier import carried_mass, feed_mass
from configurator.rules.case import Case
from configurator.rules.drive import torque_at_work
from configurator.rules.error_budget import settling, volume_error
from configurator.rules.finding import Finding
from configurator.rules.prices import COMFORT, SHORTFALL, costs
from configurator.rules.restart import least_rating, restart_pressure, stop_allowed
from configurator.rules.side import Side
from configurator.rules.tip_at_rest import mouth_hold
from configurator.workshop.process_figures import (
    container_lasts,
    drop_volume,
    mixing_variation,
    overaged,
    purge_waste,
    refills,
    residence,
    shots_per_container,
    time_pressure_error,
    touching,
    waste_share,
    waste_volume,
    wear_high,
    wear_high_shifts,
    wear_high_shots,
    wear_low,
    wear_low_of_side,
    wear_low_shifts,
    wear_low_shots,
)
from configurator.workshop.purchase_figures import deliveries, delivery, price, price_terms

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Figure:
    """One number of a build."""

    name: str
    """With its unit at the end, as `speed_high_rpm`."""
    title: str
    """In words, for people."""
    read: Callable[[Case], Floats] | None
    """`read(case)` gives the figure over the frame of the case, in the unit of the name; None where
    it is a sum over findings, or the least of their margins."""
    terms: Callable[[Case], list[Floats]] | None = None
    """`terms(case)` gives arrays over the frame whose sum puts builds in the figure's order; left
    out where the figure itself is narrow enough to do so."""
    of_side: Callable[[Case, Side], Floats] | None = None
    """`of_side(case, side)` gives the figure of one side, where the figure is that of the worse
    side."""
    of_finding: Callable[[Finding], int] | None = None
    """`of_finding(finding)` gives what one finding adds, where the figure is their sum; lists are in
    its order anyway."""
    highest_first: bool = False
    """True if more is better."""
    longest_of: Callable[[Case], list[Floats]] | None = None
    """`longest_of(case)` gives narrow arrays over the frame, the largest of which is the figure,
    where it hangs on too many slots to be laid out."""
    whose: str = ""
    """Whose figure it is where a material has two parts; empty if it is that of the whole."""

    @property
    def trades(self) -> bool:
        """False if no trade-off can be asked with it."""
        return self.sorts and self.of_finding is None

    @property
    def sorts(self) -> bool:
        """False if lists cannot be put in its order: it hangs on too many slots at once."""
        return self.name in ORDERS

    def titled(self, *, two_part: bool) -> str:
        """Title, with whose figure it is where a build has two sides."""
        return f"{self.title}, {self.whose}" if two_part and self.whose else self.title


def _per_minute(turns: Floats) -> Floats:
    return np.asarray(turns * 60.0)


def worst_of_sides(
    of_side: Callable[[Case, Side], Floats], *, highest_first: bool = False
) -> Callable[[Case], Floats]:
    """A figure that is the worse side's."""

    def read(case: Case) -> Floats:
        found = np.broadcast_arrays(*(of_side(case, side) for side in case.sides))
        return np.asarray((np.minimum if highest_first else np.maximum).reduce(found))

    return read


def _speed_low(_case: Case, side: Side) -> Floats:
    return _per_minute(side.rotation.flow_low / side.column("cavity", "displacement"))


def _speed_high(_case: Case, side: Side) -> Floats:
    return _per_minute(side.rotation.speed.hard)


def _volume_error(case: Case, side: Side, *, weighed: bool) -> Floats:
    return volume_error(case, side, weighed=weighed) * 100.0


def _shot_turns(case: Case, side: Side) -> Floats:
    shot = case.duty.shot
    if shot is None:
        return np.full(case.frame.shape(()), np.nan)
    return np.asarray(shot.low * side.share.low / side.column("cavity", "displacement"))


def _of_worse_side(
    name: str,
    title: str,
    of_side: Callable[[Case, Side], Floats],
    whose: str = "worse side",
    *,
    highest_first: bool = False,
) -> Figure:
    read = worst_of_sides(of_side, highest_first=highest_first)
    return Figure(
        name, title, read, of_side=of_side, highest_first=highest_first, whose=f"of the {whose}"
    )


def _mass_terms(case: Case) -> list[Floats]:
    terms = []
    for side in case.sides:
        terms.append(side.column("size", "dry_mass") * side.column("body", "mass_share"))
        terms.append(side.column("drive", "mass"))
        terms.append(feed_mass(side))
    terms.append(case.column("outlet", "mass"))
    terms.append(np.nan_to_num(case.column("mixing", "mass"), nan=0.0))
    return terms


def _cost_terms(case: Case) -> list[Floats]:
    frame = case.frame
    return [np.asarray(frame.place(slot, costs(frame, slot))) for slot in frame.slots]


def _cost(case: Case) -> Floats:
    return np.asarray(sum(_cost_terms(case), np.asarray(0.0)))


FIGURES: tuple[Figure, ...] = (
    Figure(
        SHORTFALL,
        "steps short of what rules ask",
        None,
        of_finding=lambda finding: finding.short,
    ),
    Figure(
        COMFORT,
        "steps short of comfort in speed, pressure and feed",
        None,
        of_finding=lambda finding: finding.strained,
    ),
    Figure("cost_index", "cost index", _cost, _cost_terms),
    Figure("price", "price of the parts, in the currency of the catalog", price, price_terms),
    Figure(
        "delivery_days",
        "time until the last part is delivered",
        delivery,
        longest_of=deliveries,
    ),
    _of_worse_side("speed_low_rpm", "rotor speed at the lowest flow", _speed_low, "faster side"),
    _of_worse_side("speed_high_rpm", "rotor speed at the highest flow", _speed_high, "faster side"),
    Figure(
        "back_pressure_bar",
        "pressure behind the outlet",
        lambda case: case.outlet.highest.hard / 1e5,
    ),
    Figure(
        "pressure_allowed_bar",
        "pressure the parts are rated for",
        lambda case: least_rating(case) / 1e5,
        highest_first=True,
    ),
    Figure(
        "restart_pressure_bar",
        "pressure behind the outlet after the longest stop",
        lambda case: restart_pressure(case).hard / 1e5,
    ),
    _of_worse_side(
        "torque_nm", "running torque", lambda case, side: torque_at_work(case, side).hard
    ),
    _of_worse_side(
        "volume_error_pct", "volume error once weighed", partial(_volume_error, weighed=True)
    ),
    _of_worse_side(
        "volume_error_unweighed_pct",
        "volume error before weighing",
        partial(_volume_error, weighed=False),
    ),
    Figure(
        "settling_ms",
        "time in which the flow at the tip follows the rotor",
        lambda case: settling(case) * 1e3,
    ),
    _of_worse_side(
        "shot_revolutions",
        "rotor turns in the smallest shot",
        _shot_turns,
        "side that turns less",
        highest_first=True,  # the place of the rotor evens out over many turns
    ),
    _of_worse_side(
        "weep_ulmin",
        "flow that weeps through the seal lines at rest",
        largest_weep,
        "side that weeps more",
    ),
    Figure("mouth_hold_pa", "pressure that the mouth holds", mouth_hold, highest_first=True),
    Figure("hanging_drop_ul", "largest drop that hangs at the tip", drop_volume),
    Figure(
        "touch_height_mm", "height at which a shot touches the part", touching, highest_first=True
    ),
    Figure("head_mass_kg", "carried mass", carried_mass, _mass_terms),
    Figure(
        "time_pressure_error_pct",
        "volume error of a time-pressure dispenser over the same range",
        time_pressure_error,
    ),
    Figure("mixing_cov", "coefficient of variation after mixing", mixing_variation),
    Figure("residence_s", "age of the oldest mix that leaves the mixer", residence),
    Figure(
        "stop_allowed_min",
        "longest stop before a purge is due",
        lambda case: stop_allowed(case) / 60.0,
        highest_first=True,
    ),
    Figure("overaged_pct", "share of a driven mixer's mix older than its pot life", overaged),
    Figure("purge_waste_ml", "volume of one purge", purge_waste),
    Figure("waste_ml", "waste of a shift", waste_volume),
    Figure("waste_pct", "waste of a shift, of what it lays down", waste_share),
    _of_worse_side(
        "shots_per_container",
        "largest shots that a container gives",
        shots_per_container,
        "side that is empty first",
        highest_first=True,
    ),
    _of_worse_side(
        "container_lasts_min",
        "time that a container lasts",
        container_lasts,
        "side that is empty first",
        highest_first=True,
    ),
    _of_worse_side(
        "refills_per_shift", "containers that a shift takes", refills, "side that takes more"
    ),
    Figure(
        "wear_band_low_hours",
        "wear band, lower end (invented constants)",
        wear_low,
        of_side=wear_low_of_side,
        highest_first=True,
    ),
    Figure(
        "wear_band_high_hours",
        "wear band, upper end (invented constants)",
        wear_high,
        highest_first=True,
    ),
    *(
        Figure(name, f"{title} (invented constants)", read, highest_first=True)
        for name, title, read in (
            ("wear_band_low_shots", "wear band in shots, lower end", wear_low_shots),
            ("wear_band_high_shots", "wear band in shots, upper end", wear_high_shots),
            ("wear_band_low_shifts", "wear band in shifts, lower end", wear_low_shifts),
            ("wear_band_high_shifts", "wear band in shifts, upper end", wear_high_shifts),
        )
    ),
    Figure(
        "least_margin_pct",
        "least share of a limit that is left, in whole per cent",
        None,
        highest_first=True,
    ),
)
"""Figures in the order in which an answer lists them; the first sorts by default."""


def figure_named(name: str, *, option: str = "--sort") -> Figure:
    """The figure with this name, for sorting by it.

    Parameters
    ----------
    name : str
        As typed.
    option : str
        Where it was typed.

    Raises
    ------
    UsageError
        If there is none that lists can be sorted by, with the nearest names.
    """
    order = order_named(name, option)
    return next(figure for figure in FIGURES if figure.name == order)
