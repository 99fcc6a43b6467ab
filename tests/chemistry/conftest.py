"""The shipped substances, read once for all tests of this folder."""

from collections.abc import Callable
from pathlib import Path

import pytest
import tomli

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import SubstanceFile
from configurator.chemistry.contact import Contact, judge_contact
from configurator.chemistry.evidence import Evidence
from configurator.chemistry.place import Place
from configurator.chemistry.share import MassFraction
from configurator.units.interval import Basis

FOLDER = Path(__file__).parents[2] / "catalogs" / "substances"

ROOM = 296.15

Judge = Callable[..., Contact]


def read_substances(*texts: str) -> Substances:
    """Substances from the text of files, with the basis that the catalog reader gives them."""
    files = [
        SubstanceFile.model_validate(tomli.loads(text), context={"basis": Basis.FROM_MEMORY})
        for text in texts
    ]
    return Substances(
        constituents={entry.name: entry for file in files for entry in file.constituent},
        wetted={entry.code: entry for file in files for entry in file.wetted},
        verdicts=tuple(group for file in files for group in file.verdicts),
        swell=tuple(group for file in files for group in file.swell),
    )


@pytest.fixture(scope="session")
def substances() -> Substances:
    """The shipped substances."""
    return read_substances(*(path.read_text("utf-8") for path in sorted(FOLDER.glob("*.toml"))))


@pytest.fixture(scope="session")
def judge(substances: Substances) -> Judge:
    """Judge a code against names or shares at room temperature, on the shipped substances."""

    def judged(
        code: str,
        *constituents: str | MassFraction,
        temperature: float = ROOM,
        evidence: Evidence | None = None,
        product: str = "",
        grade_name: str = "",
        place: Place = "still seal",
    ) -> Contact:
        shares = tuple(
            MassFraction(item) if isinstance(item, str) else item for item in constituents
        )
        return judge_contact(
            code,
            shares,
            temperature=temperature,
            substances=substances,
            evidence=evidence,
            product=product,
            grade_name=grade_name,
            place=place,
        )

    return judged
