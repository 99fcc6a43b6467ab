"""All hypothetical parts of a catalog, by the rules that make them."""

from __future__ import annotations

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import SLOTS
from configurator.screen.hypothetical import bores
from configurator.screen.hypothetical.part import Derivation, Hypothetical, told_apart, with_only
from configurator.screen.hypothetical.sizes import (
    DISPLACEMENT,
    FOR_A_SIZE,
    SIZE,
    STAGES,
    cavities,
    fitted,
    sizes,
)
from configurator.screen.hypothetical.steps import DRY, INTERFACE, RATING, STIRRED, ratings

DERIVATIONS: tuple[Derivation, ...] = (
    bores.BORE,
    bores.LENGTH,
    DISPLACEMENT,
    STAGES,
    FOR_A_SIZE,
    SIZE,
    RATING,
    INTERFACE,
    DRY,
    STIRRED,
    bores.TUBE,
    bores.ELEMENTS,
    bores.CHAMBER,
)
"""Every rule by which a part is invented; a table of docs/batch.md says the same."""

CAVEAT = (
    "Hypothetical parts are invented by rule from the parts of the catalog: nothing says that "
    "they can be made, or what they cost."
)


def hypothetical_parts(catalog: Catalog) -> tuple[Hypothetical, ...]:
    """Return all parts that the rules make of a catalog, slot by slot.

    The order of the catalog's files moves nothing. Ratings for explosive atmospheres, temperatures
    and chemical resistance are never invented.
    """
    ordered = with_only(
        catalog,
        {slot: sorted(parts, key=lambda part: part.name) for slot, parts in catalog.parts.items()},
    )
    makers = (bores.tips, cavities, fitted, sizes, ratings, bores.mixers)
    made = told_apart((each for maker in makers for each in maker(ordered)), ordered)
    return tuple(sorted(made, key=lambda each: (SLOTS.index(each.slot), each.is_set, each.name)))
