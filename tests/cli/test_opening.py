"""Where catalogs and examples come from."""

from __future__ import annotations

import pytest

from configurator.cli.opening import examples_folder, open_catalog
from configurator.errors import CatalogError


def test_without_an_option_the_shipped_catalog_is_used():
    catalog = open_catalog(None)

    assert (catalog.name, catalog.where) == ("generic", "shipped")
    assert catalog.substances.constituents


def test_a_folder_of_ones_own_is_named_in_the_answer(small_catalog):
    assert open_catalog(small_catalog).where == str(small_catalog)


def test_a_missing_folder_is_a_bad_catalog(tmp_path):
    with pytest.raises(CatalogError, match="no such folder"):
        open_catalog(tmp_path / "none")


def test_examples_are_there():
    assert (examples_folder() / "materials" / "lid-sealant.toml").is_file()
