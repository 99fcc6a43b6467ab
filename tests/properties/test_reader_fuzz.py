"""Broken files of every kind: read or refused in clear lines, never anything else."""

from __future__ import annotations

import time
from collections import Counter

import pytest
from list_mutations import Mutator
from reader_mutations import READERS, next_of, read_one

COUNT = 60
"""The whole fuzzer, 100 000 files, is `python benchmarks/fuzz_readers.py`."""


@pytest.mark.parametrize("kind", READERS)
def test_good_files_are_read(kind: str) -> None:
    assert {read_one(kind, name, data) for name, data in READERS[kind].good()} == {"read"}


@pytest.mark.parametrize("kind", READERS)
def test_broken_files_are_read_or_refused_in_clear_lines(kind: str) -> None:
    mutator = Mutator(seed=3)
    seen: Counter[str] = Counter()
    for _ in range(COUNT):
        _, _, read = next_of(mutator, kind)
        start = time.process_time()
        seen[read()] += 1
        assert time.process_time() - start < 2.0

    # A fuzzer that never breaks anything, tests nothing.
    assert seen["refused"] > COUNT / 10 or kind == "head records"
