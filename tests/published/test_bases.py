"""What outside values rest on is counted in DEVELOPERS.md, and no row is of an unknown kind."""

from bases import BASES, counted, standing, table


def test_the_table_counts_the_rows_as_they_are() -> None:
    assert standing() == table(), "renew it: python tests/support/bases.py"


def test_every_row_is_of_a_known_basis_and_many_are_others_own() -> None:
    rows = counted()

    assert {basis for each in rows.values() for basis in each} <= set(BASES)
    assert sum(rows["measured.toml"].values()) >= 25
    assert set(rows["measured.toml"]) == {"measured", "printed"}
