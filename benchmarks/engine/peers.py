"""The peers, each on the same instance. Every function returns (answer, seconds).

The seconds are processor time and cover building the peer's own model and solving it, as they
do for the engine.
"""

from collections.abc import Callable
from functools import partial
from itertools import pairwise, product
from math import ceil, log2
from time import process_time
from typing import Any

import numpy as np

from benchmarks.engine.instances import Instance
from configurator.engine import BuildSpace

Timed = tuple[Any, float]


def timed(work: Callable[[], Any]) -> Timed:
    """What the work answers, and its processor time: other work on the machine adds none."""
    start = process_time()
    answer = work()
    return answer, process_time() - start


def space_of(case: Instance) -> BuildSpace:
    return BuildSpace(case.domains, case.relations, [case.threshold])


def engine_count(case: Instance) -> Timed:
    return timed(lambda: space_of(case).count())


def brute_force_count(case: Instance) -> Timed:
    """numpy over the whole product, one value of the first slot at a time."""

    def spread(scope: tuple[str, ...], table: Any) -> Any:
        names = list(case.domains)
        table = np.transpose(table, np.argsort([names.index(slot) for slot in scope]))
        return table.reshape([case.domains[s] if s in scope else 1 for s in names])

    def work() -> int:
        first = next(iter(case.domains))
        shape = tuple(case.domains.values())
        limit = case.threshold
        total = 0
        for value in range(case.domains[first]):
            valid = np.ones((1, *shape[1:]), dtype=bool)

            def slab(table: Any, at: int = value) -> Any:
                return table[at : at + 1] if table.shape[0] > 1 else table

            for each in case.relations:
                valid &= slab(spread(each.scope, each.allowed))
            need = slab(spread(limit.need_scope, limit.need))
            valid &= need <= slab(spread(limit.allow_scope, limit.allow))
            total += int(np.count_nonzero(valid))
        return total

    return timed(work)


def python_constraint_count(case: Instance) -> Timed:
    """The whole problem handed to python-constraint, every solution enumerated."""
    from constraint import OptimizedBacktrackingSolver, Problem

    def work() -> int:
        problem = Problem(OptimizedBacktrackingSolver(forwardcheck=False))
        for slot, size in case.domains.items():
            problem.addVariable(slot, list(range(size)))
        for each in case.relations:
            table = each.allowed.tolist()
            if each.allowed.ndim == 2:
                problem.addConstraint(lambda a, b, t=table: t[a][b], list(each.scope))
            else:
                problem.addConstraint(lambda a, b, c, t=table: t[a][b][c], list(each.scope))
        need, allow = case.threshold.need.tolist(), case.threshold.allow.tolist()
        problem.addConstraint(
            lambda a, b, c, d, e, f, g: need[a][b][c] <= allow[d][e][f][g],
            [*case.threshold.need_scope, *case.threshold.allow_scope],
        )
        return sum(1 for _ in problem.getSolutionIter())

    return timed(work)


def cp_sat_model(case: Instance) -> tuple[Any, dict[str, Any]]:
    """Allowed tuples for tables; two number columns and a comparison for the threshold."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    slots = {slot: model.new_int_var(0, size - 1, slot) for slot, size in case.domains.items()}
    for each in case.relations:
        model.add_allowed_assignments(
            [slots[slot] for slot in each.scope], np.argwhere(each.allowed).tolist()
        )
    numbers = []
    limit = case.threshold
    for scope, table in ((limit.need_scope, limit.need), (limit.allow_scope, limit.allow)):
        number = model.new_int_var(int(table.min()), int(table.max()), "")
        rows = [[*index, int(table[index])] for index in product(*(range(n) for n in table.shape))]
        model.add_allowed_assignments([*(slots[slot] for slot in scope), number], rows)
        numbers.append(number)
    model.add(numbers[0] <= numbers[1])
    return model, slots


def cp_sat_count(case: Instance) -> Timed:
    """CP-SAT told to enumerate all solutions, one worker (it asks for one)."""
    from ortools.sat.python import cp_model

    class Tally(cp_model.CpSolverSolutionCallback):
        def __init__(self) -> None:
            super().__init__()
            self.found = 0

        def on_solution_callback(self) -> None:
            self.found += 1

    def work() -> int:
        model, _ = cp_sat_model(case)
        solver = cp_model.CpSolver()
        solver.parameters.enumerate_all_solutions = True
        solver.parameters.num_workers = 1
        tally = Tally()
        solver.solve(model, tally)
        return tally.found

    return timed(work)


def cp_sat_remaining(case: Instance, picks: list[tuple[str, int]]) -> Timed:
    """For every pick, one decision a value of every other slot; seconds of each pick."""
    from ortools.sat.python import cp_model

    model, slots = cp_sat_model(case)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1

    def possible(picked: str, value: int) -> dict[str, list[bool]]:
        answer: dict[str, list[bool]] = {}
        for slot, size in case.domains.items():
            answer[slot] = []
            for other in range(size):
                trial = model.clone()
                if slot != picked:
                    trial.add(trial.get_int_var_from_proto_index(slots[picked].index) == value)
                trial.add(trial.get_int_var_from_proto_index(slots[slot].index) == other)
                answer[slot].append(solver.solve(trial) in (cp_model.OPTIMAL, cp_model.FEASIBLE))
        return answer

    runs = [timed(partial(possible, slot, value)) for slot, value in picks]
    return [run[0] for run in runs], [run[1] for run in runs]  # type: ignore[return-value]


def _program(case: Instance) -> str:
    """The instance as a ground logic program: one choice a slot, facts, integrity rules."""
    lines = [f"1 {{ {slot}(0..{size - 1}) }} 1." for slot, size in case.domains.items()]

    def body(scope: tuple[str, ...]) -> str:
        return ", ".join(f"{slot}(V{number})" for number, slot in enumerate(scope))

    def values(scope: tuple[str, ...]) -> str:
        return ",".join(f"V{number}" for number in range(len(scope)))

    for number, each in enumerate(case.relations):
        lines += [
            f"no{number}({','.join(map(str, row))})." for row in np.argwhere(~each.allowed).tolist()
        ]
        lines.append(f":- {body(each.scope)}, no{number}({values(each.scope)}).")
    limit = case.threshold
    for name, scope, table in (
        ("need", limit.need_scope, limit.need),
        ("allow", limit.allow_scope, limit.allow),
    ):
        for index in product(*(range(n) for n in table.shape)):
            lines.append(f"{name}t({','.join(map(str, index))},{int(table[index])}).")
        lines.append(f"{name}(N) :- {body(scope)}, {name}t({values(scope)},N).")
    levels = sorted(set(limit.need.reshape(-1).tolist()) | set(limit.allow.reshape(-1).tolist()))
    lines += [f"level({a},{b})." for a, b in pairwise(levels)]
    lines += [
        "over(N) :- need(N).",
        "over(A) :- over(B), level(A,B).",
        ":- over(B), level(A,B), allow(A).",
    ]
    lines += [f"#show {slot}/1." for slot in case.domains]
    return "\n".join(lines)


def clingo_count(case: Instance) -> Timed:
    """clingo told to enumerate all stable models."""
    import clingo

    def work() -> int:
        control = clingo.Control(["0", "--warn=none"])
        control.add("base", [], _program(case))
        control.ground([("base", [])])
        found = 0
        with control.solve(yield_=True) as models:
            for _ in models:
                found += 1
        return found

    return timed(work)


def clingo_remaining(case: Instance, picks: list[tuple[str, int]]) -> Timed:
    """Brave consequences under the pick as assumption, ground once; seconds of each pick."""
    import clingo

    control = clingo.Control(["0", "--enum-mode=brave", "--warn=none"])
    control.add("base", [], _program(case))
    control.ground([("base", [])])

    def consequences(assumed: list[tuple[str, int]]) -> dict[str, list[bool]]:
        answer = {slot: [False] * size for slot, size in case.domains.items()}
        literals = [(clingo.Function(s, [clingo.Number(v)]), True) for s, v in assumed]
        with control.solve(assumptions=literals, yield_=True) as models:
            for model in models:
                last = [(s.name, s.arguments[0].number) for s in model.symbols(shown=True)]
        for name, number in last:
            answer[name][number] = True
        return answer

    def possible(slot: str, value: int) -> dict[str, list[bool]]:
        """A second call without the pick gives the alternatives to it."""
        answer = consequences([(slot, value)])
        answer[slot] = consequences([])[slot]
        return answer

    runs = [timed(partial(possible, slot, value)) for slot, value in picks]
    return [run[0] for run in runs], [run[1] for run in runs]  # type: ignore[return-value]


def engine_remaining(case: Instance, picks: list[tuple[str, int]]) -> Timed:
    """The counts under each pick; seconds of each pick, after a first query."""
    space = space_of(case)
    space.remaining({picks[-1][0]: picks[-1][1]})
    runs = [timed(partial(space.remaining, {slot: value})) for slot, value in picks]
    answers = [{slot: left.tolist() for slot, left in run[0].items()} for run in runs]
    return answers, [run[1] for run in runs]  # type: ignore[return-value]


BDD_ORDER = ("s7", "s8", "s9", "s10", "s12", "s2", "s0", "s1", "s4", "s6", "s3", "s5", "s11")
"""Slots of one table, and the threshold's two sides, stand close together."""


class Diagram:
    """Constraints as BDDs over binary-coded slots."""

    def __init__(self, domains: dict[str, int]) -> None:
        from oxidd.bdd import BDDManager

        self._bits = {slot: max(1, ceil(log2(size))) for slot, size in domains.items()}
        self._manager = BDDManager(1 << 24, 1 << 22, 1)
        numbers = iter(self._manager.add_vars(self.variables))
        self._value: dict[tuple[str, int], Any] = {}
        for slot in BDD_ORDER:
            variables = [next(numbers) for _ in range(self._bits[slot])]
            for number in range(domains[slot]):
                self._value[slot, number] = self._cube(variables, number)

    @property
    def variables(self) -> int:
        return sum(self._bits.values())

    def nothing(self) -> Any:
        return self._manager.false()

    def everything(self) -> Any:
        return self._manager.true()

    def value(self, slot: str, number: int) -> Any:
        return self._value[slot, number]

    def table(self, scope: tuple[str, ...], allowed: Any) -> Any:
        """Expansion over the scope in variable order."""
        places = sorted(range(len(scope)), key=lambda place: BDD_ORDER.index(scope[place]))
        return self._expand([scope[place] for place in places], np.transpose(allowed, places))

    def _cube(self, variables: list[int], number: int) -> Any:
        cube = self.everything()
        for place, variable in enumerate(variables):
            on = number >> place & 1
            cube &= self._manager.var(variable) if on else self._manager.not_var(variable)
        return cube

    def _expand(self, scope: list[str], allowed: Any) -> Any:
        if not scope:
            return self.everything() if allowed else self.nothing()
        found = self.nothing()
        for number in range(allowed.shape[0]):
            if allowed[number].any():
                rest = self._expand(scope[1:], allowed[number])
                found |= self._value[scope[0], number] & rest
        return found


def bdd_of(case: Instance) -> tuple[Diagram, Any]:
    """OxiDD: conjunction of all constraints, smallest first."""
    diagram = Diagram(case.domains)
    limit = case.threshold
    fits = diagram.nothing()
    for level in np.unique(limit.need).tolist():
        fits |= diagram.table(limit.need_scope, limit.need == level) & diagram.table(
            limit.allow_scope, limit.allow >= level
        )
    parts = [fits]
    parts += [
        diagram.table((slot,), np.ones(size, dtype=bool)) for slot, size in case.domains.items()
    ]
    parts += [diagram.table(each.scope, each.allowed) for each in case.relations]
    parts.sort(key=lambda part: part.node_count())
    whole = diagram.everything()
    for part in parts:
        whole &= part
    return diagram, whole


def bdd_count(case: Instance) -> Timed:
    """Exact model count of the diagram."""

    def work() -> int:
        diagram, whole = bdd_of(case)
        return int(whole.sat_count(diagram.variables))

    return timed(work)


def bdd_remaining(case: Instance, picks: list[tuple[str, int]]) -> Timed:
    """The diagram is built once; then, after each pick, a model count for every value."""
    diagram, whole = bdd_of(case)

    def counts(picked: str, value: int) -> dict[str, list[int]]:
        under = whole & diagram.value(picked, value)
        return {
            slot: [
                int(
                    ((whole if slot == picked else under) & diagram.value(slot, other)).sat_count(
                        diagram.variables
                    )
                )
                for other in range(size)
            ]
            for slot, size in case.domains.items()
        }

    runs = [timed(partial(counts, slot, value)) for slot, value in picks]
    return [run[0] for run in runs], [run[1] for run in runs]  # type: ignore[return-value]
