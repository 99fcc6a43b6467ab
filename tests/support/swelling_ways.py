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


def at(temperature: str, swelling: float) -> Changes:
    """Such a soak, as warm as the process ever gets."""
    return {
        **soaked(swelling, temperature_c=60.0),
        "process.temperature": temperature,
        "stator.temperature_low": "-20 degC",
        "stator.temperature_high": "90 degC",
    }


SWELLING_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="fit of the stator",
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
            # A satisfactory verdict allows up to 3 %, of which half is counted; a limited one 8 %.
            Limit({"stator.material": "RUBBER", "practice.swell_refit": "1.5 %"}, State.FITS),
            Limit({"stator.material": "RUBBER", "practice.swell_refit": "1.4 %"}, State.MARGINAL),
            Limit({"stator.material": "SOFT RUBBER"}, State.MARGINAL),
            Limit(
                {"stator.material": "SOFT RUBBER", "practice.swell_reject": "7.9 %"},
                State.UNPROVEN,
            ),
            # Chemistry rules this one out; it is not counted twice.
            Limit({"stator.material": "BAD RUBBER"}, State.FITS),
            Limit({**soaked(12.0), "stator.kind": "rigid"}, State.FITS),
            # A fit allows 3 % or, beyond a room of 18 to 28 degC, 15 K: 0.2 % a kelvin.
            Limit(at("43 degC", 0.0), State.FITS),
            Limit(at("20..43 degC", 0.0), State.FITS),
            Limit(at("43.001 degC", 0.0), State.MARGINAL),
            Limit(at("3 degC", 0.0), State.FITS),
            Limit(at("2.999 degC", 0.0), State.MARGINAL),
            Limit({**at("80 degC", 0.0), "stator.kind": "rigid"}, State.FITS),
            # Warm with most swelling, cold with least; swelling makes up for no cold, as a new
            # lining has not swollen yet.
            Limit(at("33 degC", 2.0), State.FITS),
            Limit(at("33.001 degC", 2.0), State.MARGINAL),
            Limit(at("13 degC", -2.0), State.FITS),
            Limit(at("12.999 degC", -2.0), State.MARGINAL),
            Limit(at("8 degC", 2.0), State.FITS),
            # Between 10 and 60 degC a lining moves by 0.048 % for each kelvin beyond a room's ten.
            Limit(at("10..60 degC", 6.08), State.MARGINAL),
            Limit(at("10..60 degC", 6.081), State.UNPROVEN),
            Limit(at("10..60 degC", 8.001), State.RULED_OUT),
        ),
    ),
)
