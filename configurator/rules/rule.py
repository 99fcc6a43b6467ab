"""A rule: data with a name, what it reads, a check over arrays, and a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from configurator.catalog.parts import SHARED_SLOTS, Part
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Grades
from configurator.rules.side import Side
from configurator.rules.total import Total
from configurator.units.interval import Basis

Outcome = Comparison | Grades | Total
"""What a check gives: numbers, words, or a sum over many slots."""

Build = Mapping[str, Part]
"""One part a slot."""


MIX_FLOW = tuple(f"material.mix.{key}" for key in ("mixed_viscosity", "pot_life", "ratio", "by"))
"""What of a mix moves its pressure or the flow of each side; its tolerance has a rule of its own."""

BEHIND: Mapping[str, tuple[str, ...]] = {
    "component.flow": (
        "process.temperature",
        "process.back_pressure",
        "component.density",
        "process.production.cycle_time",
        *MIX_FLOW,
    ),
    "process.deposit": ("component.density", *MIX_FLOW),
}
"""Request fields behind one that a rule asks for, which move the rule with it: pressure and slip
follow temperature, mix and the pressure at the mouth; a ratio by mass lets density move flows."""


@dataclass(frozen=True, slots=True)
class Words:
    """What a rule without numbers says of one build."""

    demand: str
    limit: str
    reason: str
    basis: Basis
    settle_with: str = ""
    """The test that would settle what is open; empty where nothing is."""


@dataclass(frozen=True)
class Rule:
    """One check of a head build."""

    name: str
    """In plain words, unique, as `tip bore against largest particle`."""
    family: str
    """metering, pressure, drive, chemistry, filler, mixing, outlet, carrier, fit or ratio."""
    parts: tuple[str, ...]
    """Part figures that it reads, as `outlet.bore`; the slots before the dots are its scope."""
    asks: tuple[str, ...]
    """Request fields that it reads, as `component.filler.d99` or `process.tolerance`."""
    check: Callable[[Case, Side], Outcome | None]
    """`check(case, side)` gives a `Comparison`, `Grades` or `Total` over the frame of the case, or
    None where the rule does not apply to this request."""
    source: str
    """Where the formula or limit comes from."""
    sentence: str = ""
    """Reason with `{demand}`, `{limit}`, `{planned}` (the limit less the margin that a build must
    leave to count as fitting) and `{outer}` (the limit at its nominal end, beyond which a build is
    out where practice states a range), all written with their unit, and slot names for the part, as
    `{outlet}`. Empty for rules that give `Words`."""
    words: Callable[[Case, Side, Build], Words] | None = None
    """`words(case, side, build)` for rules that give `Grades`."""
    practice: tuple[str, ...] = ()
    """Fields of the catalog's shop practice that it reads."""
    one_part: tuple[str, ...] = ()
    """Slots of its scope that move it in the head of a one-part material only."""
    whole: bool = False
    """True if it judges the whole build and not each side of a two-part one by itself."""
    comfort: tuple[float, ...] = ()
    """Shares of the limit; each that the demand passes is a step away from the middle of the window
    that the rule bounds (chosen for this tool)."""
    grows_with_slip: bool = False
    """True if the demand grows with slip and the limit does not hang on it: what a case
    `without_slip` rules out is out with every slip that there may be."""

    def reads(self, field: str) -> bool:
        """Whether a request field, as a file names it, moves the rule; estimates left aside.

        Fields of either component count for both, as the one moves the flow of the other.
        """
        root, _, rest = field.partition(".")
        path = {"process": field}.get(root, f"material.{field}")
        if root in ("component", "a", "b"):
            path = f"component.{rest}"
        behind = (each for ask in self.asks for each in (ask, *BEHIND.get(ask, ())))
        return any(
            f"{path}.".startswith(f"{each}.") or f"{each}.".startswith(f"{path}.")
            for each in behind
        )

    @property
    def slots(self) -> tuple[str, ...]:
        """Slots it depends on, without a side's prefix."""
        return tuple(dict.fromkeys(path.partition(".")[0] for path in self.parts))

    def scope(self, slots: Iterable[str], prefixes: Sequence[str], prefix: str) -> tuple[str, ...]:
        """Slots of a frame that it depends on for a side, in the order of the frame.

        The mixing slot of a one-part material holds nothing and moves nothing.

        Parameters
        ----------
        slots : iterable of str
            Of the frame.
        prefixes : sequence of str
            Of all sides: one empty, or `a.` and `b.`.
        prefix : str
            Of the side.
        """
        wanted = {
            slot if slot in SHARED_SLOTS else each + slot
            for each in (prefixes if self.whole else (prefix,))
            for slot in self.slots
        }
        wanted.difference_update(("mixing",) if len(prefixes) == 1 else self.one_part)
        return tuple(slot for slot in slots if slot in wanted)

    def title(self, prefix: str) -> str:
        """The rule's name with the side it was applied to, as `a: volume error`."""
        return f"{prefix.rstrip('.')}: {self.name}" if prefix else self.name
