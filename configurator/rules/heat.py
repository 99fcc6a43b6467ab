"""Heat: the process temperatures against what stator and seal stand and what the feed keeps."""

from __future__ import annotations

from collections.abc import Callable

from configurator.catalog.parts import Feed
from configurator.rules.case import Case
from configurator.rules.drive import temperature_rule
from configurator.rules.finding import State
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.display import show_interval
from configurator.units.interval import Basis
from configurator.units.kinds import TEMPERATURE


def _kept(case: Case, _side: Side) -> Callable[[Feed], tuple[State, Words]] | None:
    """Whether container and line keep the material at the temperature of the head.

    All that is worked out for the feed, as its line's pressure, is taken at the head's temperature.
    So a feed that is known to stand in a room beyond it is out, and one of which nobody says is
    unproven. What lies within the range of the head is as good as the head.
    """
    head, room = case.duty.temperature, case.duty.room
    most = case.practice.feed_off_temperature.nominal + 1e-6
    colder, warmer = head.low - room.low > most, room.high - head.high > most
    if not colder and not warmer:
        return None
    wanted, around = show_interval(head, TEMPERATURE), show_interval(room, TEMPERATURE)

    def judged(feed: Feed) -> tuple[State, Words]:
        if feed.heated is False and colder:
            state, stands = State.RULED_OUT, f"feed {feed.name} and its line are not heated"
        elif feed.heated and not warmer:
            state, stands = State.FITS, f"feed {feed.name} and its line are heated"
        else:
            state = State.UNPROVEN
            stands = f"nobody says that feed {feed.name} and its line keep the material at that"
        limit = "heated" if feed.heated else "not heated" if feed.heated is False else "not stated"
        reason = f"the head is at {wanted} and the room at {around}; {stands}"
        return state, Words(wanted, limit, reason, Basis.FROM_MEMORY)

    return judged


RULES: tuple[Rule, ...] = (
    temperature_rule("stator", "stator", "chemistry"),
    temperature_rule("seal", "shaft seal", "chemistry"),
    Rule.of_parts(
        "feed",
        _kept,
        name="temperature kept by the feed",
        family="chemistry",
        fields=("heated",),
        asks=("process.temperature", "process.room_temperature"),
        practice=("feed_off_temperature",),
        source="equipment from the catalog; difference of shop practice",
    ),
)
