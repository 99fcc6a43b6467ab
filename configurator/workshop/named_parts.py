"""Parts that somebody names: whether there are such slots and parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from configurator.catalog.catalog import Catalog
from configurator.catalog.slot_words import slot_meant
from configurator.errors import Fault, InputError, did_you_mean


def check_names(
    catalog: Catalog,
    slots: Sequence[str],
    picks: Mapping[str, str],
    without: Mapping[str, frozenset[str]],
) -> None:
    """Refuse picks and exclusions of slots or parts that there are not.

    Parameters
    ----------
    catalog : Catalog
        What can be built from.
    slots : sequence of str
        Those that may be named.
    picks : Mapping[str, str]
        Part fixed by slot.
    without : Mapping[str, frozenset[str]]
        Parts excluded, by slot.

    Raises
    ------
    InputError
        With every fault, and the nearest name for each.
    """
    named = [("--pick", slot, name) for slot, name in picks.items()]
    named += [
        ("--without", slot, name) for slot, names in without.items() for name in sorted(names)
    ]
    check_named(catalog, slots, named)


def check_named(
    catalog: Catalog, slots: Sequence[str], named: Iterable[tuple[str, str, str]]
) -> None:
    """Refuse slots and parts that there are not, each after the option that names it.

    Raises
    ------
    InputError
        With every fault, and the nearest name for each.
    """
    faults = []
    for option, slot, name in named:
        if slot not in slots:
            faults.append(Fault(option, "slot", slot, ", ".join(slots), slot_meant(slot, slots)))
            continue
        names = [part.name for part in catalog.slot(slot)]
        if name not in names:
            hint = did_you_mean(name, names)
            faults.append(Fault(option, slot, name, f"a {slot} of the catalog", hint))
    if faults:
        raise InputError(tuple(faults))
