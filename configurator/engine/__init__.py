"""Exact finite-domain engine: tables and thresholds in; counts, best builds, conflicts out."""

from configurator.engine.conflict import Blame
from configurator.engine.pareto import ParetoPoint
from configurator.engine.relation import MalformedSpaceError, Picks, Relation, Threshold
from configurator.engine.space import Build, BuildSpace, Cost

__all__ = [
    "Blame",
    "Build",
    "BuildSpace",
    "Cost",
    "MalformedSpaceError",
    "ParetoPoint",
    "Picks",
    "Relation",
    "Threshold",
]
