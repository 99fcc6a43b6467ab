"""What a running head's weighings say, as text and JSON."""

from __future__ import annotations

import math
from datetime import date

from configurator.report.lines import WIDTH, columns, labelled, listed, wrapped
from configurator.report.machine import answer_json, data_of, number
from configurator.trial.recalibration import CONFIDENCE, LONGEST, Day, Recalibration
from configurator.units.display import figures

_HEADS = ("date", "n", "mean %", "+/- %")


def recalibration_table(found: Recalibration, *, width: int = WIDTH) -> str:
    """Return the verdict first, then by when to weigh again, and every date."""
    record = found.record
    head = f"Verdict: {found.word}"
    again = []
    if found.again is not None:
        far = (found.again - found.days[-1].day).days >= LONGEST
        when = f"not within {LONGEST // 365} years" if far else f"on {found.again}"
        again = [
            (
                f"at {CONFIDENCE * 100:.0f} % it may reach the tolerance {when}: weigh again "
                f"{'each year' if far else f'by {_half_way(found)}'}, half of the way"
            )
        ]
    told = labelled(
        [
            (
                "Record",
                (
                    f"trial {record.trial}, {record.date or 'no date'}, {record.material}: "
                    f"{record.cavity}{f', side {record.side}' if record.side else ''}, "
                    f"{record.delivered_ml or record.displacement_ml:.5g} mL a turn, "
                    f"+/- {figures(found.tolerance * 100)} %"
                ),
            )
        ],
        width,
    )
    rows = [
        [each.day.isoformat(), str(each.count), f"{each.mean * 100:+.2f}", _half(each)]
        for each in found.days
    ]
    laid_out = columns(_HEADS, rows, width, right=frozenset(_HEADS[1:]))
    words = (
        f"intervals at {CONFIDENCE * 100:.0f} %; the line goes through the means of the dates, whose "
        "own scatter counts"
    )
    notes = [*wrapped(words, width)]
    if found.outliers:
        days = ", ".join(dict.fromkeys(each.day.isoformat() for each in found.outliers))
        notes += wrapped(f"Outliers, which count all the same: {days}. Look them up.", width)
    blocks = [
        listed(head, [*found.reasons, *again], width),
        told,
        [*(line for entry in laid_out for line in entry), *notes],
    ]
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _half(each: Day) -> str:
    return f"{each.half * 100:.2g}" if math.isfinite(each.half) else "unknown"


def _half_way(found: Recalibration) -> date | None:
    """Half of the way from the last date to the day on which the line may have left."""
    last = found.days[-1].day
    return None if found.again is None else last + (found.again - last) // 2


def recalibration_json(found: Recalibration) -> str:
    """Return the same as JSON."""
    slope, half = found.per_year or (None, None)
    again = _half_way(found)
    return answer_json(
        **data_of(found.record, "trial", "material", "side", "cavity"),
        verdict=found.word,
        tolerance_pct=number(found.tolerance * 100.0),
        reasons=list(found.reasons),
        change_pct_a_year=number(None if slope is None else slope * 100.0),
        change_half_pct_a_year=number(None if half is None else half * 100.0),
        may_leave_on=None if found.again is None else found.again.isoformat(),
        weigh_again_by=None if again is None else again.isoformat(),
        dates=[
            {
                "date": each.day.isoformat(),
                "count": each.count,
                "mean_pct": number(each.mean * 100.0),
                "half_pct": number(each.half * 100.0),
            }
            for each in found.days
        ],
        outliers=[each.day.isoformat() for each in found.outliers],
    )
