"""A running head against its record: heads whose drift is known, and files as people write them."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from measured_cavity import MEASURED
from scipy import stats

from configurator.errors import InputError, UsageError
from configurator.trial.recalibration import recalibrate, record_of
from configurator.units.interval import Interval

DENSITY = Interval.exact(1250.0)
RECORD = MEASURED.model_copy(update={"delivered_ml": 0.8, "tolerance_pct": 5.0})
FIRST = date(2026, 1, 5)


@pytest.fixture
def weekly(tmp_path):
    """A file of weekly weighings: level and change a year as shares, spread of a shot."""

    def write(
        level: float = 0.0,
        per_year: float = 0.0,
        weeks: int = 10,
        spread: float = 0.004,
        seed: int = 1,
    ):
        random = np.random.default_rng(seed)
        lines = ["date,mass [g],turns"]
        for week in range(weeks):
            day = FIRST + timedelta(weeks=week)
            for _ in range(5):
                error = level + per_year * week / 52.14 + spread * random.standard_normal()
                lines.append(f"{day},{0.8 * 10 * 1.25 * (1.0 + error):.5f},10")
        path = tmp_path / "weekly.csv"
        path.write_text("\n".join(lines), encoding="utf-8")
        return path

    return write


def judged(path, record=RECORD, **more):
    return recalibrate(path, record, **({"density": DENSITY, "tolerance": None} | more))


def test_a_head_that_stands_is_still_in(weekly):
    found = judged(weekly())

    assert found.word == "still in"
    assert found.again is not None
    assert found.again > found.days[-1].day + timedelta(days=60)


def test_a_head_that_drifts_is_told_with_its_rate_before_it_is_out(weekly):
    found = judged(weekly(per_year=-0.10))
    assert found.per_year is not None

    assert found.word == "drifting"
    assert abs(found.per_year[0] + 0.10) <= found.per_year[1]
    # It reaches -5 % half a year after the first date; the band is there earlier.
    assert found.days[-1].day < found.again < FIRST + timedelta(days=190)
    out = date.fromisoformat(found.reasons[1].partition("it is out on ")[2])
    assert found.again < out
    assert abs(out - (FIRST + timedelta(days=182))) < timedelta(days=60)


def test_a_head_that_is_out_is_told_first(weekly):
    found = judged(weekly(level=-0.07))

    assert found.word == "out"
    assert "outside +/- 5 %" in found.reasons[0]
    assert found.again is None


def test_a_head_that_changed_at_once_is_not_still_in(weekly):
    """The line takes the last date along; the dates before it do not."""
    path = weekly()
    lines = path.read_text("utf-8").splitlines()
    low = [
        ",".join([day, f"{float(mass) * 0.97:.5f}", turns])
        for day, mass, turns in (line.split(",") for line in lines[-5:])
    ]
    path.write_text("\n".join([*lines[:-5], *low]), encoding="utf-8")
    found = judged(path)

    assert found.word == "drifting"
    assert "something changed at once" in found.reasons[0]
    assert found.again is None


def test_two_dates_prove_nothing_about_a_drift(weekly):
    found = judged(weekly(weeks=2))

    assert found.word == "not proven"
    assert found.per_year is None
    assert found.again is None


def test_the_band_is_that_of_scipys_regression(weekly):
    found = judged(weekly(per_year=-0.05))
    days = np.array([(each.day - FIRST).days for each in found.days], dtype=float)
    means = np.array([each.mean for each in found.days])
    line = stats.linregress(days, means)
    t = stats.t.ppf(0.975, len(days) - 2)
    at = float((found.again - FIRST).days)
    residual = means - line.intercept - line.slope * days
    scatter = np.sqrt(residual @ residual / (len(days) - 2))
    wide = scatter * np.sqrt(
        1 / len(days) + (at - days.mean()) ** 2 / ((days - days.mean()) ** 2).sum()
    )

    assert found.per_year == pytest.approx((line.slope * 365, t * line.stderr * 365))
    assert abs(line.intercept + line.slope * at) + t * wide == pytest.approx(0.05, rel=0.02)


def test_a_sound_head_drifts_or_changes_at_once_as_seldom_as_promised(weekly):
    """At 5 and at 1 %, and three deviations of the count more."""
    found = [judged(weekly(seed=seed, weeks=6)) for seed in range(200)]
    at_once = sum("at once" in each.reasons[0] for each in found)

    assert not [each for each in found if each.word == "out"]
    assert at_once <= 0.01 * 200 + 3.0 * (200 * 0.01 * 0.99) ** 0.5
    assert (
        sum(each.word == "drifting" for each in found) - at_once
        <= 0.05 * 200 + 3.0 * (200 * 0.05 * 0.95) ** 0.5
    )


def test_no_head_beyond_twice_the_tolerance_is_still_in(weekly):
    for seed in range(50):
        assert judged(weekly(level=0.10, seed=seed)).word == "out"
        assert judged(weekly(per_year=0.6, seed=seed)).word in {"out", "drifting", "not proven"}


def test_decimal_commas_semicolons_and_dates_with_points_are_read(weekly):
    path = weekly()
    plain = judged(path)
    lines = path.read_text("utf-8").replace(",", ";").replace(".", ",").splitlines()
    german = [
        ";".join([".".join(reversed(day.split("-"))), *rest]) if day[0].isdigit() else line
        for line in lines
        for day, *rest in [line.split(";")]
    ]
    path.write_text("\n".join(german), encoding="cp1252")
    found = judged(path)

    assert found.days == plain.days
    assert found.read_as == "50 weighings, masses in g, semicolons"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "an empty file"),
        ("one,two\n1,2\n", "no column 'date'"),
        ("date,mass [g],turns\n", "at least one row"),
        ("date,mass [g],turns\n" + "03/04/2026,10,10\n" * 60, "59 more like it"),
        ("date,mass [g],turns\n" + "2026-03-04,ten,10\n" * 60, "59 more like it"),
        ("date,mass [g],turns\n2026-03-04,10,0\n", "above zero"),
        ("date,mass,turns\n2026-03-04,10,10\n", "into the column's head"),
    ],
)
def test_what_is_wrong_with_a_file_is_a_line_for_its_kind(tmp_path, text, said):
    path = tmp_path / "weekly.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        judged(path)

    assert said in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_a_density_has_to_come_from_somewhere(weekly, tmp_path):
    with pytest.raises(InputError, match=r"density .*--density"):
        judged(weekly(), density=None)
    path = tmp_path / "own.csv"
    path.write_text(
        "date,mass [g],turns,density [g/cm^3]\n2026-03-04,10,10,1.25\n", encoding="utf-8"
    )
    assert judged(path, density=None).days[0].mean == pytest.approx(0.0)


def test_the_record_of_the_last_trial_counts_unless_another_is_named():
    other = RECORD.model_copy(update={"trial": "0" * 12})

    assert record_of([RECORD, other], None, RECORD.side) is other
    assert record_of([other, RECORD], "0" * 12, RECORD.side) is other
    with pytest.raises(UsageError, match="accepted: "):
        record_of([RECORD], "f" * 12, RECORD.side)
    with pytest.raises(UsageError, match="--side"):
        record_of([RECORD], None, "b")
    with pytest.raises(UsageError, match="no head record"):
        record_of([], None, "")


def test_a_tolerance_has_to_come_from_somewhere(weekly):
    old = RECORD.model_copy(update={"tolerance_pct": None})

    with pytest.raises(UsageError, match="--tolerance"):
        judged(weekly(), old)
    assert judged(weekly(), old, tolerance=0.05).word == "still in"


def test_more_than_any_head_gives_is_refused_and_not_reckoned_with(tmp_path):
    """Found by the fuzz of readers: volumes without end came out as warnings of a library."""
    path = tmp_path / "weekly.csv"
    path.write_text("date,mass [g],turns\n2026-01-05,10,1e-310\n2026-01-06,1e300,10\n")

    with pytest.raises(InputError, match="at most 10 L a turn"):
        judged(path)
