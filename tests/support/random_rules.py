"""Random rules over a small two-part frame: two heads that meet in mixer and tip."""

from types import SimpleNamespace

import numpy as np
from two_part_world import TWO_PART

from configurator.rules.comparison import Bound, Comparison
from configurator.rules.evaluation import Evaluation
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.outcome import Grades, Outcome
from configurator.rules.propagation import Propagation
from configurator.rules.rule import Rule
from configurator.rules.ruleset import RuleSet
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
        self.frame = Frame(
            {
                slot: [SimpleNamespace(figure=number) for number in range(size)]
                for slot, size in SIZES.items()
            }
        )
        self.outcomes: list[Outcome] = []
        self.rules: list[Rule] = []
        self.comfort: list[tuple[float, ...]] = []
        for prefix in ("a.", "b."):
            for number, (need, allow) in enumerate(
                [
                    (("cavity", "mixing", "outlet"), ("drive",)),
                    (("cavity", "mixing", "outlet"), ("cavity", "drive", "outlet")),
                    (("mixing", "outlet"), ("size",)),
                    (("size", "cavity"), ("drive",)),
                ]
            ):
                self.of_side(f"{prefix} {number}", prefix, need, allow)
        self.of_both("through the outlet", ("cavity", "mixing", "outlet"))
        self.of_both("mass", ("size", "drive"))
        self.of_both("moment", ("size", "drive"))
        self.in_words("joint", ("mixing", "outlet"))
        self.in_words("housing", ("size", "outlet"), "a.")
        self.in_words("cavity alone", ("cavity",), "b.")

    @property
    def left(self) -> Propagation:
        """What the rules leave of the parts."""
        return Propagation(
            Evaluation(RuleSet(self.frame, ("a.", "b."), self.rules), [TWO_PART.answer.subject])
        )

    def figures(self, slots: list[str], *, falling: bool) -> Bound:
        """Three ordered ends; few different figures, some unknown, some parts alike."""
        shape = self.frame.shape(slots)
        ends = np.sort(self.rng.integers(1, 9, (3, *shape)), axis=0).astype(float)
        ends[:, self.rng.random(shape) < 0.05] = np.nan
        for slot in slots:
            axis = self.frame.slots.index(slot) + 1
            ends = np.take(ends, self.rng.integers(0, SIZES[slot], SIZES[slot]), axis=axis)
        estimated = bool(self.rng.random() < 0.5)
        return Bound(*(ends[::-1] if falling else ends), estimated=estimated)

    def comparison(self, need: list[str], allow: list[str], *, spare: float = 7) -> Comparison:
        limit = self.figures(allow, falling=True)
        limit = Bound(*(spare + end for end in (limit.kind, limit.nominal, limit.hard)))
        cap = State.UNPROVEN if self.rng.random() < 0.1 else State.RULED_OUT
        demand = self.figures(need, falling=False)
        return Comparison(demand, limit, FRACTION, caution=0.1, cap=cap)

    def of_side(self, name, prefix, need, allow) -> None:
        on_side = [[self.slot(prefix, slot) for slot in slots] for slots in (need, allow)]
        self.add(name, {*need, *allow}, self.comparison(*on_side), prefix=prefix)

    def of_both(self, name, slots) -> None:
        on_sides = [[self.slot(prefix, slot) for slot in slots] for prefix in ("a.", "b.")]
        self.add(name, set(slots), self.comparison(*on_sides))

    def in_words(self, name, slots, prefix="") -> None:
        shape = self.frame.shape([self.slot(prefix, slot) for slot in slots])
        states = self.rng.choice(4, shape, p=[0.75, 0.1, 0.1, 0.05]).astype(np.int8)
        self.add(name, set(slots), Grades(states), prefix=prefix)

    def add(self, name, slots, outcome, *, prefix="") -> None:
        """A rule of one side, or of the whole build, that says what stands in an outcome."""
        parts = tuple(f"{slot}.figure" for slot in sorted(slots))

        def check(case, side):
            return outcome.cut(self.places(case)) if side.prefix == (prefix or "a.") else None

        comfort = (0.6, 0.9) if isinstance(outcome, Comparison) and "0" in name else ()
        self.comfort.append(comfort)
        rule = Rule(name, "mixing", parts, (), check, "invented", comfort=comfort, whole=not prefix)
        self.rules.append(rule)
        self.outcomes.append(outcome)

    @staticmethod
    def places(case):
        """By axis, which of all parts a frame holds."""
        parts = case.frame.parts
        return {
            axis: np.array([part.figure for part in parts[slot]], dtype=np.intp)
            for axis, slot in enumerate(SIZES)
        }

    @staticmethod
    def slot(prefix: str, slot: str) -> str:
        return slot if slot in {"mixing", "outlet"} else prefix + slot

    def passes(self, level: State) -> np.ndarray:
        """Every build, true where no rule is worse than the level: the oracle."""
        full = np.ones(tuple(SIZES.values()), dtype=np.bool_)
        for outcome in self.outcomes:
            full &= outcome.states <= level
        return full

    @property
    def steps(self) -> np.ndarray:
        """Of every build: steps short of all rules together."""
        return sum(outcome.steps for outcome in self.outcomes) + np.zeros(tuple(SIZES.values()))

    @property
    def strain(self) -> np.ndarray:
        """Of every build: steps from the middle of all windows together."""
        asked = zip(self.outcomes, self.comfort, strict=True)
        found = (outcome.strained(shares) for outcome, shares in asked if shares)
        return sum(found) + np.zeros(tuple(SIZES.values()))
