"""Ends a screening at any step that changes the disk."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from screened import StandIn, kept, setup

from configurator.screen.results import Form
from configurator.screen.run import Pace, screen
from configurator.screen.tally import Tally

FORMS: tuple[Form, ...] = ("csv", "jsonl", "parquet")


STEPS = ("write", "fsync", "ftruncate", "replace", "unlink", "open")


class Killed(BaseException):
    """Stands for the end of the process: nothing of the program handles it."""


def run(out: Path, listed: StandIn, form: Form = "csv", chunk: int = 3, **options: bool) -> Tally:
    asked = setup(form, ("pour", "seam"))
    with kept(out, asked, **options) as store:
        return screen(listed, asked, store, pace=Pace(rows=chunk, most=chunk))


@contextlib.contextmanager
def ended_at(step: int, *, before: bool) -> Iterator[Callable[[], int]]:
    """End the run at its n-th call that changes the disk, before it or just after it."""
    calls = 0
    true = {name: getattr(os, name) for name in STEPS}

    def made(name: str) -> Callable[..., object]:
        def call(*arguments: object, **options: object) -> object:
            nonlocal calls
            calls += 1
            if calls != step:
                return true[name](*arguments, **options)
            if not before:
                with contextlib.suppress(OSError):
                    true[name](*arguments, **options)
            elif name == "write":
                handle, piece = arguments
                true[name](handle, piece[: len(piece) // 2])
            raise Killed

        return call

    with pytest.MonkeyPatch.context() as patch:
        for name in STEPS:
            patch.setattr(os, name, made(name))
        yield lambda: calls
