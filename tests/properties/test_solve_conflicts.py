"""Conflicts and relaxations against brute force: unsatisfiable, minimal, complete."""

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.engine import Blame, BuildSpace, Relation, Threshold

SETTINGS = settings(max_examples=120, deadline=None, derandomize=True)


def spread(domains, scope, table):
    names = list(domains)
    table = np.transpose(table, np.argsort([names.index(slot) for slot in scope]))
    return table.reshape([domains[slot] if slot in scope else 1 for slot in names])


class Case:
    """A random instance, dense enough in constraints that it is often impossible."""

    def __init__(self, seed):
        rng = np.random.default_rng(seed)
        slots = int(rng.integers(2, 5))
        self.domains = {f"s{number}": int(rng.integers(1, 4)) for number in range(slots)}
        names = list(self.domains)

        def scope(largest):
            return tuple(rng.permutation(names)[: rng.integers(1, largest + 1)].tolist())

        def shape(of):
            return [self.domains[slot] for slot in of]

        self.relations = []
        for number in range(int(rng.integers(1, 5))):
            reads = scope(2)
            self.relations.append(Relation(f"r{number}", reads, rng.random(shape(reads)) < 0.5))
        self.thresholds = []
        for number in range(int(rng.integers(0, 3))):
            need, allow = scope(2), scope(2)
            self.thresholds.append(
                Threshold(
                    f"t{number}",
                    need,
                    rng.integers(0, 8, shape(need)),
                    allow,
                    rng.integers(0, 8, shape(allow)),
                )
            )
        if rng.random() < 0.3 and len(self.relations) > 1:
            last = self.relations.pop()
            self.relations.append(Relation("r0", last.scope, last.allowed))
        self.picks = {
            slot: int(rng.integers(size)) if rng.random() < 0.7 else {0, size - 1}
            for slot, size in self.domains.items()
            if rng.random() < 0.6
        }
        self.space = BuildSpace(self.domains, self.relations, self.thresholds)
        self.blames = (
            {
                Blame("pick", s, (p,) if isinstance(p, int) else tuple(sorted(p)))
                for s, p in self.picks.items()
            }
            | {Blame("relation", each.name) for each in self.relations}
            | {Blame("threshold", each.name) for each in self.thresholds}
        )

    def satisfiable(self, members):
        names = {member.name for member in members if member.kind != "pick"}
        valid = np.ones(tuple(self.domains.values()), dtype=bool)
        for each in self.relations:
            if each.name in names:
                valid &= spread(self.domains, each.scope, each.allowed)
        for each in self.thresholds:
            if each.name in names:
                valid &= spread(self.domains, each.need_scope, each.need) <= spread(
                    self.domains, each.allow_scope, each.allow
                )
        for member in members:
            if member.kind == "pick":
                mask = np.zeros(self.domains[member.name], dtype=bool)
                mask[list(member.values)] = True
                valid &= spread(self.domains, (member.name,), mask)
        return bool(valid.any())

    def minimal_conflicts(self, background=frozenset()):
        """All of them, by trying every subset from the smallest up."""
        found = []
        free = sorted(member for member in self.blames if member.name not in background)
        fixed = {member for member in self.blames if member.name in background}
        for size in range(len(free) + 1):
            for members in combinations(free, size):
                chosen = set(members)
                if not any(known <= chosen for known in found) and not self.satisfiable(
                    chosen | fixed
                ):
                    found.append(frozenset(chosen))
        return found


@SETTINGS
@given(st.integers(0, 2**32 - 1))
def test_a_conflict_is_one_of_the_minimal_ones_and_absent_if_builds_exist(seed):
    case = Case(seed)

    conflict = case.space.conflict(case.picks)

    if case.satisfiable(case.blames):
        assert conflict is None
    else:
        assert conflict in case.minimal_conflicts()


@SETTINGS
@given(st.integers(0, 2**32 - 1))
def test_enumerated_conflicts_are_all_the_minimal_ones(seed):
    case = Case(seed)

    conflicts = case.space.conflicts(case.picks, limit=1000)

    assert len(conflicts) == len(set(conflicts))
    assert set(case.minimal_conflicts()) == set(conflicts)
    assert conflicts[:2] == case.space.conflicts(case.picks, limit=2)


@SETTINGS
@given(st.integers(0, 2**32 - 1))
def test_relaxations_are_the_minimal_hitting_sets_of_the_conflicts(seed):
    case = Case(seed)
    conflicts = case.minimal_conflicts()
    members = sorted(set().union(*conflicts))
    expected = []
    for size in range(len(members) + 1):
        for chosen in map(frozenset, combinations(members, size)):
            if all(chosen & conflict for conflict in conflicts) and not any(
                known <= chosen for known in expected
            ):
                expected.append(chosen)

    relaxations = case.space.relaxations(case.picks, limit=1000)

    assert set(expected) == set(relaxations)
    assert [len(each) for each in relaxations] == sorted(len(each) for each in relaxations)


@SETTINGS
@given(st.integers(0, 2**32 - 1))
def test_background_names_are_never_blamed_and_always_hold(seed):
    case = Case(seed)
    names = sorted(member.name for member in case.blames)
    background = set(names[:: 1 + seed % 3])

    conflict = case.space.conflict(case.picks, background=sorted(background))

    expected = case.minimal_conflicts(background)
    assert conflict in expected if expected else conflict is None
