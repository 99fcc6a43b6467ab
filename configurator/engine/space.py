"""``BuildSpace``: every build of a finite-domain problem, without ever listing them all."""

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.assembly import JoinTree
from configurator.engine.compilation import Compiled, compile_space, tighten
from configurator.engine.conflict import Blame, find_conflict
from configurator.engine.digits import CostTable
from configurator.engine.model import live_slice
from configurator.engine.pareto import ParetoPoint, Progress, pareto_front
from configurator.engine.relation import (
    Picks,
    Relation,
    Threshold,
    check_shapes,
    check_table,
    integers,
    pick_masks,
)

Build = dict[str, int]
"""One value for every slot."""

Cost = tuple[tuple[str, ...], IntArray]
"""An additive cost: a scope and an integer for each of its value tuples."""


class BuildSpace:
    """The set of all value tuples that satisfy relations and thresholds, compiled.

    Parameters
    ----------
    domains : mapping of str to int
        Slot to number of values; the order of the slots is the order of everything.
    relations : sequence of Relation
        Tables of allowed tuples.
    thresholds : sequence of Threshold
        ``need <= allow`` between two sides.
    cost_scopes : sequence of tuple of str
        Scopes that costs will have later. A cost over several slots needs them in one
        cluster; named here, no second space has to be compiled when it is first asked.

    Raises
    ------
    MalformedSpaceError
        If shapes, scopes and domains do not fit.

    Notes
    -----
    Compiling enumerates the clusters of a join tree with python-constraint. Queries are
    message passes over the rows; a pick is a mask. Slots may have no relation, no value or
    one value; counts are exact at any size.

    Examples
    --------
    >>> import numpy as np
    >>> space = BuildSpace(
    ...     domains={"colour": 3, "size": 2},
    ...     relations=[Relation("fits", ("colour", "size"), np.array(
    ...         [[True, True], [True, False], [False, False]]))])
    >>> space.count(), space.remaining({"size": 1})["size"].tolist()
    (3, [2, 1])
    """

    def __init__(
        self,
        domains: Mapping[str, int],
        relations: Sequence[Relation] = (),
        thresholds: Sequence[Threshold] = (),
        *,
        cost_scopes: Sequence[tuple[str, ...]] = (),
    ) -> None:
        check_shapes(domains, relations, thresholds)
        for scope in cost_scopes:
            check_table("cost scope", domains, scope, np.empty([domains[s] for s in scope], "?"))
        compiled = compile_space(domains, relations, thresholds, cost_scopes)
        self._set(domains, relations, thresholds, cost_scopes, compiled)

    def _set(
        self,
        domains: Mapping[str, int],
        relations: Sequence[Relation],
        thresholds: Sequence[Threshold],
        cost_scopes: Sequence[tuple[str, ...]],
        compiled: Compiled,
    ) -> None:
        self.domains = dict(domains)
        self.relations = tuple(relations)
        self.thresholds = tuple(thresholds)
        self._cost_scopes = tuple(cost_scopes)
        self.compiled = compiled
        """The model, join tree and counter behind the answers."""
        self._widths = tuple(len(values) for values in compiled.model.live)

    def count(self, picks: Picks | None = None) -> int:
        """Exact number of builds under the picks."""
        masks = self._masks(picks)
        counter = self.compiled.counter
        return 0 if counter is None else counter.total(masks)

    def remaining(self, picks: Picks | None = None) -> dict[str, AnyArray]:
        """For each slot, the builds left if each value were picked in place of its pick.

        Returns
        -------
        remaining : dict of str to int array
            Shape ``(size,)`` a slot. int64, or Python integers in an object array where a
            number is beyond 64 bits.
        """
        masks = self._masks(picks)
        counter, live = self.compiled.counter, self.compiled.model.live
        if counter is None:
            return {slot: np.zeros(size, dtype=np.int64) for slot, size in self.domains.items()}
        answer: dict[str, AnyArray] = {}
        counts = counter.remaining(masks)
        for (slot, size), values, left in zip(self.domains.items(), live, counts, strict=True):
            answer[slot] = left
            if len(left) < size:
                answer[slot] = np.zeros(size, dtype=left.dtype)
                answer[slot][values] = left
        return answer

    def pareto(
        self,
        costs_by_figure: Mapping[str, Sequence[Cost]],
        picks: Picks | None = None,
        progress: Progress | None = None,
    ) -> list[ParetoPoint]:
        """Exact Pareto front: one entry for every non-dominated vector of figures.

        All figures are minimised. Entries are sorted by their figures in the order given;
        of several builds with the same figures the first in value order stands for all.

        Notes
        -----
        A cost whose scope lies in no cluster makes the space compile a second one, in which
        it does; the newest is kept for the next call. Name it in ``cost_scopes`` to avoid it.
        """
        space = self._holding([cost for costs in costs_by_figure.values() for cost in costs])
        if space is not self:
            return space.pareto(costs_by_figure, picks, progress)
        tree = self._restricted(picks)
        if tree is None:
            return []
        figures = {name: self._live_costs(costs) for name, costs in costs_by_figure.items()}
        front = pareto_front(tree, self._widths, figures, progress)
        return [ParetoPoint(vector, self._build(positions)) for vector, positions in front]

    def tightened(
        self, relations: Sequence[Relation] = (), thresholds: Sequence[Threshold] = ()
    ) -> "BuildSpace":
        """The space with further constraints, from the rows already enumerated.

        Equal in every answer to a fresh space with all constraints. Constraints whose scopes
        lie in a cluster (those of existing ones do) filter rows; any other scope makes the
        space compile afresh. Relations that the space has already change nothing.
        """
        known = {id(relation) for relation in self.relations}
        relations = [relation for relation in relations if id(relation) not in known]
        check_shapes(self.domains, relations, thresholds)
        every = [*self.relations, *relations]
        limits = [*self.thresholds, *thresholds]
        compiled = tighten(self.compiled, limits, (relations, thresholds))
        if compiled is None:
            compiled = compile_space(self.domains, every, limits, self._cost_scopes)
        narrower = object.__new__(BuildSpace)
        narrower._set(self.domains, every, limits, self._cost_scopes, compiled)
        return narrower

    def conflict(
        self,
        picks: Picks | None = None,
        background: Collection[str] = (),
        known: Iterable[frozenset[Blame]] = (),
    ) -> frozenset[Blame] | None:
        """One minimal set of picks, relations and thresholds that leaves no build.

        Minimal means that without any one of its members a build exists. None if builds
        exist; the empty set if an empty domain alone leaves none. Constraints named in
        ``background`` define a slot of the same name as a function of their other slots: they
        are never blamed. A conflict of ``known`` that holds here too, and is minimal, is taken
        before any other is looked for.
        """
        return find_conflict(self, picks or {}, background, known)

    def _masks(self, picks: Picks | None) -> dict[int, BoolArray]:
        masks = pick_masks(self.domains, picks or {})
        return {slot: mask[self.compiled.model.live[slot]] for slot, mask in masks.items()}

    def _restricted(self, picks: Picks | None) -> JoinTree | None:
        """The join tree of the builds under the picks; None if there are none."""
        masks = self._masks(picks)
        tree = self.compiled.tree
        return None if tree is None else tree.restricted(masks)

    def _build(self, positions: Sequence[int]) -> Build:
        live = self.compiled.model.live
        return {
            slot: int(live[number][position])
            for number, (slot, position) in enumerate(zip(self.domains, positions, strict=True))
        }

    def _live_costs(self, costs: Sequence[Cost]) -> list[CostTable]:
        place = {slot: number for number, slot in enumerate(self.domains)}
        live = self.compiled.model.live
        return [live_slice(place, live, scope, integers("cost", table)) for scope, table in costs]

    def _holding(self, costs: Sequence[Cost]) -> "BuildSpace":
        """A space in which every cost's scope lies in one cluster: mostly this one."""
        for scope, table in costs:
            check_table("cost", self.domains, tuple(scope), np.asarray(table))
        tree = self.compiled.tree
        if tree is None:
            return self
        homeless = [
            tuple(scope)
            for (scope, _), (slots, _) in zip(costs, self._live_costs(costs), strict=True)
            if tree.home(slots) is None
        ]
        if not homeless:
            return self
        # It may take a hundred megabytes, and the next question has other costs: nothing keeps it.
        scopes = (*self._cost_scopes, *sorted(set(homeless)))
        return BuildSpace(self.domains, self.relations, self.thresholds, cost_scopes=scopes)
