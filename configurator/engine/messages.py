"""Message passing on the join tree (Shafer-Shenoy), for any semiring.

The message from cluster ``n`` to its neighbour ``c`` says, for each row of ``c``, what the
part of the tree behind ``n`` sums to if that row is chosen:

``message(n -> c) = send( local(n) * product of message(m -> n) over m other than c )``

with shape ``(rows of n,) -> (rows of c,)``. The belief of a cluster multiplies all incoming
messages with its local weights: shape ``(rows,)``, the sum over all builds that use the row.
Messages are remembered; a fork with local weights in some clusters works out only those
messages that have one of these behind them, and asks for all others where it comes from.
"""

from collections.abc import Mapping

from configurator.engine.arrays import AnyArray
from configurator.engine.plan import Plan
from configurator.engine.semiring import Semiring
from configurator.engine.separator import Edge


class MessagePass:
    """Messages of one semiring over one tree, its edges by `(u, v)` with ``u < v``.

    `local` are weights of a cluster's own rows (masks of picks, costs); absent means neutral.
    """

    def __init__(
        self,
        plan: Plan,
        edges: Mapping[tuple[int, int], Edge],
        rows: tuple[int, ...],
        ring: Semiring,
        local: Mapping[int, AnyArray] | None = None,
    ) -> None:
        self._plan = plan
        self._edges = edges
        self._rows = rows
        self.ring = ring
        self._local: Mapping[int, AnyArray] = local or {}
        self._known: dict[tuple[int, int], AnyArray] = {}
        self._base: MessagePass | None = None

    def fork(self, local: Mapping[int, AnyArray]) -> "MessagePass":
        """The same pass with local weights, where this one has none."""
        forked = MessagePass(self._plan, self._edges, self._rows, self.ring, local)
        forked._base = self
        return forked

    def message(self, source: int, target: int) -> AnyArray:
        """What the tree behind ``source`` says about each row of ``target``, ``(rows,)``."""
        way = source, target
        if way not in self._known:
            if self._base is not None and self._plan.behind[way].isdisjoint(self._local):
                self._known[way] = self._base.message(source, target)
            else:
                edge = self._edges[way if source < target else (target, source)]
                weights = self.product(source, leave_out=target)
                self._known[way] = edge.send(self.ring, weights, forward=source < target)
        return self._known[way]

    def product(self, cluster: int, leave_out: int = -1, *, with_local: bool = True) -> AnyArray:
        """Product of the incoming messages of a cluster, all but one, and its local weights."""
        weights: AnyArray | None = self._local.get(cluster) if with_local else None
        for beside in self._plan.neighbours[cluster]:
            if beside != leave_out:
                message = self.message(beside, cluster)
                weights = message if weights is None else self.ring.times(weights, message)
        return self.ring.ones(self._rows[cluster]) if weights is None else weights

    def belief(self, cluster: int) -> AnyArray:
        """Sum over all builds that use each row of the cluster, ``(rows,)``."""
        return self.product(cluster)
