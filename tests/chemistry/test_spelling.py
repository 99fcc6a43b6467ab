"""Names as data sheets write them, and what is said of those that nobody knows."""

import pytest

from configurator.chemistry.share import unknown_constituent


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("4,4'-diphenylmethane diisocyanate", "mdi"),
        ("Diphenylmethane-4,4'-diisocyanate", "mdi"),
        ("isophoronediamine", "isophorone-diamine"),
        ("25068-38-6", "bisphenol-a-epoxy"),
        ("  MDI  ", "mdi"),
    ],
)
def test_marks_spaces_and_case_do_not_matter(substances, written, name):
    found = substances.find(written)

    assert found is not None
    assert found.name == name


def test_a_number_that_is_not_listed_is_near_to_none(substances):
    assert unknown_constituent("25068-38-7", substances) == ()


def test_a_slip_in_a_name_offers_the_name(substances):
    assert "toluene" in unknown_constituent("tolluene", substances)
