"""Broken lists of materials: every one ends, in clear lines, in bounded memory."""

from __future__ import annotations

import time
import tracemalloc
from collections import Counter

from hypothesis import example, given, settings
from hypothesis import strategies as st
from list_mutations import Case, Mutator, outcome

COUNT = 500
"""The whole fuzzer, 100 000 files of every kind, is `python benchmarks/fuzz_readers.py`."""

SIGNS = st.text(st.sampled_from("\",;\t\n\r'=:(){}[]%\\ \0a1é"), max_size=80)


def test_mutated_lists_are_read_or_refused_in_clear_lines() -> None:
    mutator = Mutator(seed=8)
    seen: Counter[str] = Counter()
    for _ in range(COUNT):
        case = mutator.case()
        start = time.process_time()
        seen[outcome(case)] += 1
        assert time.process_time() - start < 5.0

    # A fuzzer that never gets past the header, or never breaks anything, tests nothing.
    assert seen["all rows good"] + seen["rows good and bad"] > COUNT / 10
    assert seen["rows good and bad"] + seen["all rows bad"] > COUNT / 10
    assert seen["list refused at its head"] > COUNT / 50


def test_memory_after_many_broken_lists_is_what_it_was() -> None:
    mutator = Mutator(seed=9)
    for _ in range(100):
        outcome(mutator.case())
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    for _ in range(150):
        outcome(mutator.case())
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()

    # Quantities that were read are kept in a cache with a bound; nothing else is.
    assert grown < 8_000_000


@settings(max_examples=150, deadline=None)
@given(header=SIGNS, body=SIGNS)
@example(header="", body='"')
@example(header="sep=", body="")
def test_a_list_of_nothing_but_signs_is_read_or_refused(header: str, body: str) -> None:
    for text in (f"{header}\n{body}", f"name,at,{header}\n{body}", f'{{"name":{header}}}\n{body}'):
        for form in ("csv", "jsonl", None):
            outcome(Case(text.encode("utf-8"), form, None))


@settings(max_examples=100, deadline=None)
@given(data=st.binary(max_size=200), encoding=st.sampled_from([None, "latin-1", "utf-16-le"]))
def test_any_bytes_are_read_or_refused(data: bytes, encoding: str | None) -> None:
    outcome(Case(data, None, encoding))
    outcome(Case(b"name,at\n" + data, None, encoding))
