"""Paragraphs of an explanation: what is told together, and what apart."""

from __future__ import annotations

from shipped import shipped_answer

from configurator.explain.measure import measurements
from configurator.explain.paragraphs import SOAKS_APART, measurement_paragraphs
from configurator.request.movable import SOAK


def test_many_contacts_that_nobody_knows_are_one_list():
    answer = shipped_answer("lens-adhesive", "lens-ring")
    found = measurements(answer)
    soaks = [each for each in found.useful if each.effort is SOAK]
    assert len(soaks) > SOAKS_APART
    paragraphs = list(measurement_paragraphs(found))
    texts = [sentence.text for paragraph in paragraphs for sentence in paragraph]

    assert sum(f"{len(soaks)} contacts are unknown" in text for text in texts) == 1
    for each in soaks:
        assert sum(text.startswith(f"{each.field}: ") for text in texts) == 1
    heads = [paragraph[0].text for paragraph in paragraphs if paragraph[0].form == "entry"]
    assert [int(text.partition(".")[0]) for text in heads] == list(range(1, len(heads) + 1))
    assert len(heads) == len(found.useful) - len(soaks) + 1
