"""The conflict of a space against brute force: unsatisfiable and minimal."""

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

    def minimal_conflicts(self):
        """All of them, by trying every subset from the smallest up."""
        found = []
        for size in range(len(self.blames) + 1):
            for members in combinations(sorted(self.blames), size):
                chosen = frozenset(members)
                if not any(known <= chosen for known in found) and not self.satisfiable(chosen):
                    found.append(chosen)
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
