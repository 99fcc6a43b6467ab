"""Random rules over a small two-part frame: two heads that meet in mixer and tip."""

from types import SimpleNamespace

import numpy as np

from configurator.engine import BuildSpace
from configurator.rules.applied import Applied
from configurator.rules.comparison import Bound, Comparison, Grades
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.tables import Tables
from configurator.units.kinds import FRACTION

SIZES = {
    "a.size": 2,
    "a.cavity": 4,
    "a.drive": 3,
    "b.size": 2,
    "b.cavity": 3,
    "b.drive": 3,
    "mixing": 4,
    "outlet": 5,
}


class RandomBuilds:
    """Rules with random figures over a small two-part frame, and all builds laid out."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        frame = Frame({slot: range(size) for slot, size in SIZES.items()})
        self.case = SimpleNamespace(
            frame=frame, prefixes=("a.", "b."), material=SimpleNamespace(two_part=True)
        )
        self.applied = [
            *(
                self.rule(f"{prefix} {number}", prefix, need, allow)
                for prefix in ("a.", "b.")
                for number, (need, allow) in enumerate(
                    [
                        (("cavity", "mixing", "outlet"), ("drive",)),
                        (("cavity", "mixing", "outlet"), ("cavity", "drive", "outlet")),
                        (("mixing", "outlet"), ("size",)),
                        (("size", "cavity"), ("drive",)),
                    ]
                )
            ),
            self.both("through the outlet", ("cavity", "mixing", "outlet")),
            self.both("mass", ("size", "drive")),
            self.both("moment", ("size", "drive")),
            self.words("joint", ("mixing", "outlet")),
            self.words("housing", ("size", "outlet"), "a."),
        ]

    def figures(self, slots: list[str], *, falling: bool) -> Bound:
        """Three ordered ends; few different figures, some unknown, some parts alike."""
        shape = self.case.frame.shape(slots)
        ends = np.sort(self.rng.integers(1, 9, (3, *shape)), axis=0).astype(float)
        ends[:, self.rng.random(shape) < 0.05] = np.nan
        for slot in slots:
            axis = self.case.frame.slots.index(slot) + 1
            ends = np.take(ends, self.rng.integers(0, SIZES[slot], SIZES[slot]), axis=axis)
        estimated = bool(self.rng.random() < 0.5)
        return Bound(*(ends[::-1] if falling else ends), estimated=estimated)

    def comparison(self, need: list[str], allow: list[str], *, spare: float = 7) -> Comparison:
        limit = self.figures(allow, falling=True)
        limit = Bound(*(spare + end for end in (limit.kind, limit.nominal, limit.hard)))
        cap = State.UNPROVEN if self.rng.random() < 0.1 else State.RULED_OUT
        demand = self.figures(need, falling=False)
        return Comparison(demand, limit, FRACTION, caution=0.1, cap=cap)

    def rule(
        self, name: str, prefix: str, need: tuple[str, ...], allow: tuple[str, ...]
    ) -> Applied:
        on_side = [[self.slot(prefix, slot) for slot in slots] for slots in (need, allow)]
        return self.applied_rule(name, prefix, {*need, *allow}, self.comparison(*on_side))

    def both(self, name: str, slots: tuple[str, ...]) -> Applied:
        on_sides = [[self.slot(prefix, slot) for slot in slots] for prefix in ("a.", "b.")]
        outcome = self.comparison(*on_sides)
        return self.applied_rule(name, "a.", set(slots), outcome, whole=True)

    def words(self, name: str, slots: tuple[str, ...], prefix: str = "") -> Applied:
        shape = self.case.frame.shape([self.slot(prefix, slot) for slot in slots])
        states = self.rng.choice(4, shape, p=[0.75, 0.1, 0.1, 0.05]).astype(np.int8)
        return self.applied_rule(name, prefix or "a.", set(slots), Grades(states), whole=not prefix)

    def applied_rule(self, name, prefix, slots, outcome, *, whole=False) -> Applied:
        parts = tuple(f"{slot}.figure" for slot in sorted(slots))
        rule = Rule(name, "mixing", parts, (), lambda *_: outcome, "invented", whole=whole)
        return Applied(rule, self.case, SimpleNamespace(prefix=prefix), outcome)

    def over(self, slots: set[str], name: str, outcome: Comparison) -> Applied:
        """A rule over any slots of the frame, whichever side they are on."""
        rule = Rule(name, "fit", (), (), lambda *_: outcome, "invented", whole=True)
        applied = Applied(rule, self.case, SimpleNamespace(prefix="a."), outcome)
        applied.__dict__["scope"] = tuple(slot for slot in SIZES if slot in slots)
        return applied

    @staticmethod
    def slot(prefix: str, slot: str) -> str:
        return slot if slot in {"mixing", "outlet"} else prefix + slot

    def passes(self, level: State) -> np.ndarray:
        """Every build, true where no rule is worse than the level: the oracle."""
        full = np.ones(tuple(SIZES.values()), dtype=np.bool_)
        for applied in self.applied:
            full &= applied.outcome.states <= level
        return full

    def space(self, level: State) -> BuildSpace:
        found = Tables(self.applied).at(level)
        return BuildSpace(SIZES | found.helpers, found.relations, found.thresholds)
