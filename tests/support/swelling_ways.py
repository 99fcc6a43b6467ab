"""Ways of the rule about swelling: verdicts that bound it, and soaks that show it."""

from __future__ import annotations

from ways import Changes, Limit, Ways

from configurator.rules.finding import State


def soaked(swelling: float, **more: object) -> Changes:
    """The stator's rubber, soaked in the base liquid by the shop; changes by this many per cent."""
    record = {
        "date": "2026-03-04",
        "material": "RUBBER",
        "substance": "plainol",
        "temperature_c": 20.0,
        "hours": 168.0,
        "swelling_pct": swelling,
    }
    return {"stator.material": "RUBBER", "evidence.records": [{**record, **more}]}


SWELLING_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="fit of a swollen stator",
        holds={"stator.material": "RUBBER"},
        fails=soaked(12.0),
        unknown={"stator.material": "NEW RUBBER"},
        limits=(
            Limit(soaked(3.0), State.FITS),
            Limit(soaked(-3.0), State.FITS),
            Limit(soaked(3.0001), State.MARGINAL),
            Limit(soaked(-3.0001), State.MARGINAL),
            Limit(soaked(8.0), State.MARGINAL),
            Limit(soaked(8.0001), State.RULED_OUT),
            Limit({**soaked(6.0), "practice.swell_reject": "5 %"}, State.RULED_OUT),
            # A satisfactory verdict allows up to 3 %, a limited one up to 8 %.
            Limit({"stator.material": "RUBBER", "practice.swell_refit": "2.9 %"}, State.MARGINAL),
            Limit({"stator.material": "SOFT RUBBER"}, State.MARGINAL),
            Limit(
                {"stator.material": "SOFT RUBBER", "practice.swell_reject": "7.9 %"},
                State.UNPROVEN,
            ),
            # Chemistry rules this one out; it is not counted twice.
            Limit({"stator.material": "BAD RUBBER"}, State.FITS),
            Limit({**soaked(12.0), "stator.kind": "rigid"}, State.FITS),
        ),
    ),
)
