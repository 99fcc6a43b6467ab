"""Rows of section 3 as safety data sheets write them: written before the tables were looked at.

`section3_rows.psv` has name, CAS, EC and share of each row, and what it means: the number of the
substance, `class` for a word that names a class, or `secret`. Its names and numbers are from
memory; check digits and CAS numbers were held against the `chemicals` package.
"""

import csv
from pathlib import Path

import pytest
from pydantic import ValidationError

from configurator.catalog.substances import Constituent
from configurator.chemistry.process_cautions import hazards_of
from configurator.chemistry.share import MassFraction, unknown_constituent
from configurator.request.constituents import Share
from configurator.request.material_sense import look_at_shares
from configurator.units.interval import Basis

with (Path(__file__).parent / "section3_rows.psv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file, delimiter="|", quoting=csv.QUOTE_NONE))

with (Path(__file__).parent / "plain_names.psv").open(encoding="utf-8") as file:
    PLAIN = list(csv.DictReader(file, delimiter="|", quoting=csv.QUOTE_NONE))
"""Names without any number, as people say them, each with the CAS numbers that it may mean: written
from memory before the tables were looked at."""

LEAST = 0.85
UMBRELLA = {"231-545-4"}
"""EC numbers that cover several CAS numbers: by itself one means the form that is not stated."""


def share_of(row: dict[str, str]) -> Share:
    fields = {key: row[key] for key in ("name", "cas", "ec") if row[key]}
    if row["share"]:
        fields["mass_fraction"] = row["share"]
    return Share.model_validate(fields, context={"basis": Basis.DATASHEET})


def is_right(found: Constituent, means: str) -> bool:
    kinds = {"class": "class", "secret": "undisclosed"}
    if means in kinds:
        return found.kind == kinds[means]
    return means in (found.cas, found.ec, *found.synonyms)


def test_rows_are_recognised_and_none_wrongly(substances):
    assert len(ROWS) >= 200
    found = [
        (substances.find(share.name, share.numbers), row)
        for row in ROWS
        for share in [share_of(row)]
    ]
    wrong = [row for entry, row in found if entry is not None and not is_right(entry, row["means"])]
    right = sum(entry is not None for entry, _ in found)

    assert wrong == []
    assert right >= LEAST * len(ROWS)


def test_plain_names_are_recognised_and_none_wrongly(substances):
    found = [(substances.find(row["name"]), row) for row in PLAIN]
    wrong = [
        (row["name"], entry.name)
        for entry, row in found
        if entry is not None and entry.cas and entry.cas not in row["cas"].split(" or ")
    ]

    assert wrong == []
    assert sum(entry is not None for entry, _ in found) >= LEAST * len(PLAIN)


@pytest.mark.parametrize("key", ["name", "cas", "ec"])
def test_each_column_by_itself_is_recognised_and_none_wrongly(substances, key):
    rows = [row for row in ROWS if row[key][:1].isalnum() or key == "name"]
    found = [(substances.find(row[key]), row) for row in rows if row[key] not in UMBRELLA]
    wrong = [row for entry, row in found if entry is not None and not is_right(entry, row["means"])]

    assert wrong == []
    assert sum(entry is not None for entry, _ in found) >= LEAST * len(found)


def test_every_share_of_a_sheet_is_read_as_bounds_in_per_cent():
    for row in ROWS:
        share = share_of(row).mass_fraction
        if row["share"] == "balance":
            assert share is None
        else:
            assert share is not None
            assert 0.0 <= share.low < share.high <= 1.0


@pytest.mark.parametrize(
    ("written", "low", "high"),
    [
        (">= 10 - < 25 %", 0.10, 0.25),
        ("\u2265 0,1 - < 0,3 %", 0.001, 0.003),
        ("10-25", 0.10, 0.25),
        ("< 5 %", 0.0, 0.05),
        ("> 50 %", 0.5, 1.0),
        ("30 to 60 % (w/w)", 0.30, 0.60),
        ("10 \u2013 20 Gew.-%", 0.10, 0.20),
        ("5 %", 0.05, 0.05),
    ],
)
def test_a_share_is_read_as_sheets_write_it(written, low, high):
    share = Share.model_validate(
        {"name": "x", "mass_fraction": written}, context={"basis": Basis.DATASHEET}
    )

    assert (share.mass_fraction.low, share.mass_fraction.high) == pytest.approx((low, high))


def test_a_bare_range_within_one_is_refused_since_it_may_be_either():
    with pytest.raises(ValidationError):
        Share.model_validate(
            {"name": "x", "mass_fraction": "0.1 - 0.5"}, context={"basis": Basis.DATASHEET}
        )


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"name": "acetone", "cas": "67-64-2"}, "[1].cas"),
        ({"name": "acetone", "ec": "200-662-3"}, "[1].ec"),
        ({"cas": "67-64-2"}, "[1].cas"),
        ({"name": "67-64-2"}, "[1].name"),
    ],
)
def test_digits_that_cannot_be_are_refused(row, field):
    remarks = list(look_at_shares((Share.model_validate(row),)))

    assert field in [remark.field for remark in remarks]


def test_a_row_may_do_without_a_name_and_with_words_for_a_number(substances):
    nameless = Share.model_validate({"cas": "67-64-1"})
    secret = Share.model_validate({"name": "Blend 7", "cas": "proprietary"})

    assert substances.find(nameless.name, nameless.numbers).name == "acetone"
    assert substances.find(secret.name, secret.numbers).kind == "undisclosed"
    assert list(look_at_shares((nameless, secret))) == []


def test_two_secret_rows_of_one_name_are_two_constituents(substances, judge):
    rows = [MassFraction("trade secret", 0.05, 0.10), MassFraction("trade secret", 0.0, 0.02)]

    assert list(look_at_shares((Share(name="trade secret"), Share(name="trade secret")))) == []
    assert judge("316L", *rows).grade == "unknown"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("acetone; propanone", "acetone"),
        ("zinc; sulfate", None),
        ("toluene; xylene", None),
        ("copper (II)", None),
        ("resin of an unknown kind, 67-64-1", "acetone"),
        ("phosphoric acid 75 %", "phosphoric-acid"),
        ("Isophorondiamin", "isophorone-diamine"),
        ("silicon", "silicon-powder"),
        ("silicone", "class-silicone"),
    ],
)
def test_brackets_strengths_and_second_names_change_no_substance(substances, text, name):
    found = substances.find(text)

    assert (None if found is None else found.name) == name


def test_a_number_is_never_matched_by_its_spelling(substances):
    assert unknown_constituent("231-791-3", substances) == ()
    assert unknown_constituent("7732-18-4", substances) == ()


def test_an_unknown_name_takes_the_hazards_of_its_own_words_alone(substances):
    brought = hazards_of(
        [MassFraction("mica schist", 0.1, 0.2), MassFraction("blocked isocyanat X")], substances
    )

    assert brought.by_topic == {"isocyanate": ("blocked isocyanat X",)}
