"""What has to be done beside the runs of a trial."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import rule_named
from configurator.trial.head import Head
from configurator.units.display import show_value
from configurator.units.kinds import PRESSURE, TEMPERATURE


def tasks_of(head: Head, findings: Sequence[Finding]) -> Iterator[tuple[str, str]]:
    """Return what has to be done beside the runs, each with its topic.

    What is unproven in the chemistry of the build asks for an immersion.
    """
    duty = head.subject.duty
    room = show_value(duty.temperature.nominal, TEMPERATURE)
    yield (
        "before",
        (
            f"keep material, head and balance at {room} +/- 1 K for 24 h; write down batch, age and "
            "humidity; prime until the weighed density stays (common practice, no source)"
        ),
    )
    yield (
        "density",
        (
            "measure it on each batch that is weighed, for volume comes from it "
            "(ISO 2811-1; gravimetric reference procedure as in ISO 8655-6)"
        ),
    )
    yield from _pressure_tasks(head)
    yield (
        "gauge study",
        (
            "two people weigh ten shots three times each; their share of the spread stays below "
            "30 %, better 10 % (common practice, no source)"
        ),
    )
    soaked = [
        finding
        for finding in findings
        if _of_chemistry(finding) and finding.state in (State.UNPROVEN, State.MARGINAL)
    ]
    if soaked:
        yield (
            "immersion",
            (
                "168 h at the highest temperature of the process, mass, volume and hardness before "
                "and after; up to 3 % volume and 5 Shore A is satisfactory, up to 8 % and 10 "
                "limited (common practice, no source); `headwright evidence add` keeps it"
            ),
        )
    for finding in soaked:
        yield "immersion", f"{finding.rule}: {finding.reason}"
    if any(component.filler is not None for _, component in head.case.material.components):
        yield (
            "material",
            (
                "particles, density and viscosity before and after the head: a change is damage "
                "(common practice, no source)"
            ),
        )
    if len(head.sides) > 1:
        yield (
            "cure",
            (
                "hardness of cured mixed shots at five spots, at the start, in the middle and at the end "
                "(common practice, no source)"
            ),
        )


def _pressure_tasks(head: Head) -> Iterator[tuple[str, str]]:
    """What keeps the trial below the ratings, and how a side gets a pressure of its own."""
    work, rated = head.pressure_at(head.subject.duty.flow.high), head.pressure_allowed
    if work > rated:
        yield (
            "pressure",
            (
                f"the highest flow takes {show_value(work, PRESSURE)} and the weakest part is rated "
                f"{show_value(rated, PRESSURE)}: first measure the pressure at the slowest speed, and "
                "go no further where the rating would be passed; a wider or shorter tip, a warmer "
                "material or a stronger part comes before the trial"
            ),
        )
    if len(head.sides) > 1:
        yield (
            "sides apart",
            (
                "rows with a side are caught before the mixer, behind a restriction set to the back "
                "pressure of the row; write down the pressure that was read"
            ),
        )


def _of_chemistry(finding: Finding) -> bool:
    rule = rule_named(finding.rule.split(": ", 1)[-1])
    return rule is not None and rule.family == "chemistry"
