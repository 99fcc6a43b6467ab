"""The lookup: records by pair, chains of stand-ins, and its own short life."""

import gc

import tomli

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import SubstanceFile
from configurator.chemistry import lookup as module
from configurator.chemistry.lookup import lookup_of
from configurator.chemistry.share import unknown_constituent

LOOPED = """
schema = 1
title = "A loop of stand-ins"

[[constituent]]
name = "a"
title = "substance a"
counts_from = "1 %"
like = "b"

[[constituent]]
name = "b"
title = "substance b"
counts_from = "1 %"
like = "a"
"""


def looped() -> Substances:
    file = SubstanceFile.model_validate(tomli.loads(LOOPED))
    return Substances({entry.name: entry for entry in file.constituent}, {}, ())


def test_a_loop_of_stand_ins_ends():
    kept = looped()

    assert lookup_of(kept).name_chain == {"a": ("a", "b"), "b": ("b", "a")}


def test_a_lookup_is_built_once_and_goes_with_its_substances():
    kept = looped()
    key = id(kept)

    assert lookup_of(kept) is lookup_of(kept)
    assert key in module._KEPT
    del kept
    gc.collect()
    assert key not in module._KEPT


def test_misspelt_names_get_the_nearest_ones(substances):
    assert unknown_constituent("tolune", substances)[0] == "toluene"
    assert unknown_constituent("ethyl cyanoacrilate", substances)[0] == "ethyl cyanoacrylate"
    assert unknown_constituent("isopropanole", substances)[0] == "isopropanol"
    assert unknown_constituent("qqqqqqqqqq", substances) == ()
    assert len(unknown_constituent("acid", substances)) <= 3
