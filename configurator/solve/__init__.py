"""Exact finite-domain engine: tables and thresholds in; counts, best builds, conflicts out."""

from configurator.solve.conflict import Blame
from configurator.solve.model import Removal
from configurator.solve.pareto import ParetoPoint
from configurator.solve.picks import Picks
from configurator.solve.relation import MalformedSpaceError, Relation, Threshold
from configurator.solve.space import Build, BuildSpace, Cost

__all__ = [
    "Blame",
    "Build",
    "BuildSpace",
    "Cost",
    "MalformedSpaceError",
    "ParetoPoint",
    "Picks",
    "Relation",
    "Removal",
    "Threshold",
]
