"""Variable elimination on the primal graph: which slots go into one cluster.

Vertices are the slots with more than one live value, and one *order vertex* for every
threshold. The order vertex stands for "how the two sides compare": it is joined to the slots
of the need side and to those of the allow side, but the sides are not joined to each other.
If elimination keeps it until late, the sides end in two clusters and the threshold becomes a
staircase edge between them; if it is eliminated early, both sides share a cluster.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import log2

from configurator.engine.model import LiveTable, Model

Bag = int
"""A set of vertices as a bit mask: bit v for vertex v."""

Score = Callable[[Bag, int, int], tuple[float, ...]]
"""What a vertex costs to eliminate: from its bag, the fill-in, and its number."""

TRIVIAL_ROWS = 2_000
"""Expected rows below which the first order found is taken."""

CHEAP_ROWS = 30_000
"""Expected rows below which no further elimination orders are tried."""

FEW_VALUES = 2.0
"""log2 of the values below which a slot is eliminated late, in one of the orders."""

VARIED_ROUNDS = 4
"""How often the orders are tried again with disturbed scores while the rows stay many."""


@dataclass(frozen=True)
class PrimalGraph:
    """Cliques over vertices ``0..slots-1`` (slots) and ``slots..`` (order vertices).

    ``sides[t]`` holds the two scopes of threshold ``t`` as bit masks; ``weights[v]`` is log2
    of the number of values of a vertex; ``around[s]`` are the tables over slot ``s``, with
    their scopes as bit masks, and ``reach[s]`` the slots of all of them.
    """

    slots: int
    active: tuple[int, ...]
    cliques: tuple[Bag, ...]
    sides: tuple[tuple[Bag, Bag], ...]
    weights: tuple[float, ...]
    around: tuple[tuple[tuple[Bag, LiveTable], ...], ...]
    reach: tuple[Bag, ...]
    _growths: dict[tuple[int, Bag], float] = field(default_factory=dict, repr=False)

    def rows(self, bag: Bag) -> float:
        """log2 of the rows that a cluster over this bag may be expected to have.

        Slot by slot, the values that a slot may be expected to take beside the slots before
        it. An order vertex adds the number of levels that its sides can still take: none if
        one of them is inside.
        """
        total = 0.0
        done: Bag = 0
        for vertex in members(bag):
            weight = self.weights[vertex]
            if vertex >= self.slots:
                for side in self.sides[vertex - self.slots]:
                    open_slots = members(side & ~bag)
                    weight = min(weight, sum(self.weights[slot] for slot in open_slots))
                total += weight
            else:
                total += self._growth(vertex, done & self.reach[vertex])
                done |= 1 << vertex
        return total

    def _growth(self, slot: int, beside: Bag) -> float:
        """log2 of the values that a slot takes on average beside some others.

        Each table, cut down to these slots, leaves some share of the values; the tables are
        taken to be independent, but something is always left: where one table makes the slot
        a function of the others, the rest cannot filter it any further.
        """
        key = slot, beside
        if key not in self._growths:
            weight = growth = self.weights[slot]
            for scope, table in self.around[slot]:
                before = table.onto(tuple(members(scope & beside))).size
                after = table.onto(tuple(members(scope & beside | 1 << slot))).size
                growth += log2(after / before) - weight
            self._growths[key] = max(growth, 0.0)
        return self._growths[key]


def members(bag: Bag) -> list[int]:
    """The vertices of a bag, ascending."""
    found = []
    while bag:
        lowest = bag & -bag
        found.append(lowest.bit_length() - 1)
        bag ^= lowest
    return found


def bag_of(vertices: Sequence[int]) -> Bag:
    """The bit mask of some vertices."""
    mask = 0
    for vertex in vertices:
        mask |= 1 << vertex
    return mask


def union(bags: Iterable[Bag]) -> Bag:
    """The vertices of any of some bags."""
    mask = 0
    for bag in bags:
        mask |= bag
    return mask


def primal_graph(model: Model, extra_scopes: Sequence[tuple[int, ...]] = ()) -> PrimalGraph:
    """Graph of a model; ``extra_scopes`` (cost scopes) are forced into one cluster each."""
    slots = len(model.names)
    active = [slot for slot in range(slots) if model.width(slot) > 1]
    active_bag = bag_of(active)
    cliques = [bag_of(table.scope) for table in model.tables]
    cliques += [bag_of(scope) & active_bag for scope in extra_scopes]
    sides = []
    weights = [log2(max(model.width(slot), 1)) for slot in range(slots)]
    for number, comparison in enumerate(model.comparisons):
        vertex = 1 << (slots + number)
        low, high = bag_of(comparison.low_scope), bag_of(comparison.high_scope)
        cliques += [low | vertex, high | vertex]
        sides.append((low, high))
        cells = min(comparison.low.size, comparison.high.size)
        weights.append(log2(min(comparison.levels, cells) + 1))
    around = [
        tuple((bag_of(table.scope), table) for table in model.tables if slot in table.scope)
        for slot in range(slots)
    ]
    return PrimalGraph(
        slots=slots,
        active=tuple(active + [slots + number for number in range(len(sides))]),
        cliques=tuple(cliques),
        sides=tuple(sides),
        weights=tuple(weights),
        around=tuple(around),
        reach=tuple(union(scope for scope, _ in tables) for tables in around),
    )


def clusters_by_elimination(graph: PrimalGraph) -> list[Bag]:
    """Maximal bags of the cheapest of several greedy orders.

    Tried are min-weight (fewest expected rows of the bag), min-separator (fewest of what
    stays behind), sums of both, min-fill (fewest new edges), and min-separator with slots of few
    values last. Ties fall to the lower vertex number, so the result depends on nothing but the graph.
    """
    rows = _remembered(graph.rows)

    def weight(bag: Bag, fill: int, _vertex: int) -> tuple[float, ...]:
        return (rows(bag), float(fill))

    def separator(bag: Bag, _fill: int, vertex: int) -> tuple[float, ...]:
        return (rows(bag & ~(1 << vertex)), rows(bag))

    def both(bag: Bag, fill: int, vertex: int) -> tuple[float, ...]:
        return (rows(bag) + rows(bag & ~(1 << vertex)), float(fill))

    def larger(bag: Bag, fill: int, vertex: int) -> tuple[float, ...]:
        return (max(rows(bag), rows(bag & ~(1 << vertex))), float(fill))

    def fill_in(bag: Bag, fill: int, _vertex: int) -> tuple[float, ...]:
        return (float(fill), rows(bag))

    def few_last(bag: Bag, _fill: int, vertex: int) -> tuple[float, ...]:
        # Classes of a slot stay where they stand for many values, or those go from bag to bag.
        return (graph.weights[vertex] < FEW_VALUES, *separator(bag, 0, vertex))

    best: list[Bag] = []
    best_cost = float("inf")
    scores: list[Score] = [weight, separator, both, larger, fill_in, few_last]
    for turn in range((1 + VARIED_ROUNDS) * len(scores)):
        if best_cost < (TRIVIAL_ROWS if turn < len(scores) else CHEAP_ROWS):
            break
        score = scores[turn % len(scores)]
        bags = maximal_bags(graph, score if turn < len(scores) else _varied(score, turn))
        cost = sum(2.0 ** rows(bag) for bag in bags)
        if cost < best_cost * (1 - 1e-9):
            best, best_cost = bags, cost
    return best


def maximal_bags(graph: PrimalGraph, score: Score) -> list[Bag]:
    """Maximal bags of the greedy elimination order that a score leads to."""
    return _maximal(_eliminate(graph, score))


def _varied(score: Score, seed: int) -> Score:
    """The score with a small disturbance that depends on seed and vertex only."""

    def varied(bag: Bag, fill: int, vertex: int) -> tuple[float, ...]:
        mixed = ((vertex + 1) * 2654435761 + seed * 40503) % 4294967296
        mixed = (mixed ^ mixed >> 15) * 2246822519 % 4294967296
        first, *others = score(bag, fill, vertex)
        return (first + 2.0 * mixed / 4294967296, *others)

    return varied


def _eliminate(graph: PrimalGraph, score: Score) -> list[Bag]:
    neighbours: dict[int, Bag] = dict.fromkeys(graph.active, 0)
    for clique in graph.cliques:
        for vertex in members(clique):
            neighbours[vertex] |= clique & ~(1 << vertex)
    bags: list[Bag] = []
    scores: dict[int, tuple[float, ...]] = {}
    while neighbours:
        for vertex, around in neighbours.items():
            if vertex not in scores:
                fill = _fill(neighbours, around)
                scores[vertex] = score(around | 1 << vertex, fill, vertex)
        chosen = min(neighbours, key=lambda vertex: (scores[vertex], vertex))
        around = neighbours.pop(chosen)
        bags.append(around | 1 << chosen)
        touched = around
        for vertex in members(around):
            touched |= neighbours[vertex]
            neighbours[vertex] = (neighbours[vertex] | around) & ~(1 << vertex | 1 << chosen)
        for vertex in [*members(touched), chosen]:
            scores.pop(vertex, None)
    return bags


def _fill(neighbours: dict[int, Bag], around: Bag) -> int:
    return sum((around & ~neighbours[v] & ~(1 << v)).bit_count() for v in members(around)) // 2


def _maximal(bags: Sequence[Bag]) -> list[Bag]:
    kept: list[Bag] = []
    for bag in sorted(bags, key=lambda bag: (-bag.bit_count(), bag)):
        if not any(bag & ~larger == 0 for larger in kept):
            kept.append(bag)
    return kept


def _remembered(function: Callable[[Bag], float]) -> Callable[[Bag], float]:
    known: dict[Bag, float] = {}

    def remembered(bag: Bag) -> float:
        if bag not in known:
            known[bag] = function(bag)
        return known[bag]

    return remembered
