"""Message passing on the join tree (Shafer-Shenoy), for any semiring.

The message from cluster ``n`` to its neighbour ``c`` says, for each row of ``c``, what the
part of the tree behind ``n`` sums to if that row is chosen:

``message(n -> c) = send( local(n) * product of message(m -> n) over m other than c )``

with shape ``(rows of n,) -> (rows of c,)``. The belief of a cluster multiplies all incoming
messages with its local weights: shape ``(rows,)``, the sum over all builds that use the row.
Messages are remembered; a fork with other local weights recomputes only those messages that
have a changed cluster behind them.
"""

from collections.abc import Mapping

import numpy as np

from configurator.engine.arrays import AnyArray
from configurator.engine.plan import Plan
from configurator.engine.semiring import Semiring
from configurator.engine.separator import Edge


class MessagePass:
    """Messages of one semiring over one tree.

    Parameters
    ----------
    plan : Plan
        The tree.
    edges : mapping of (u, v) to Edge
        With ``u < v``.
    rows : tuple of int
        Rows of each cluster.
    ring : Semiring
        What multiply and sum mean.
    local : mapping of int to array, optional
        Weights of a cluster's own rows (masks of picks, costs); absent means neutral.
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
        self._local: dict[int, AnyArray] = dict(local or {})
        self._known: dict[tuple[int, int], AnyArray] = {}

    def fork(self, local: Mapping[int, AnyArray]) -> "MessagePass":
        """The same pass with other local weights, keeping every message they do not touch."""
        forked = MessagePass(self._plan, self._edges, self._rows, self.ring, local)
        changed = {
            number
            for number in set(local) | set(self._local)
            if not _same(local.get(number), self._local.get(number))
        }
        forked._known = {
            (source, target): message
            for (source, target), message in self._known.items()
            if changed.isdisjoint(self._plan.behind[source, target])
        }
        return forked

    def message(self, source: int, target: int) -> AnyArray:
        """What the tree behind ``source`` says about each row of ``target``, ``(rows,)``."""
        if (source, target) not in self._known:
            edge = self._edges[min(source, target), max(source, target)]
            weights = self.product(source, leave_out=target)
            self._known[source, target] = edge.send(self.ring, weights, forward=source < target)
        return self._known[source, target]

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


def _same(left: AnyArray | None, right: AnyArray | None) -> bool:
    if left is None or right is None:
        return left is right
    return left is right or np.array_equal(left, right)
