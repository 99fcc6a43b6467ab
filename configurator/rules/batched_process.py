"""Processes of many requests as one, beside `rules.batched` for their materials.

Only what differs becomes an array; the rest stays as it is.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np
from pydantic import BaseModel

from configurator.rules.batched import Column, column_of, spread_of
from configurator.rules.duty import Duty
from configurator.rules.subject import Subject
from configurator.units.interval import Interval
from configurator.units.quantity import Quantity


def process_key(model: BaseModel) -> Hashable:
    """What a process states at all: those with equal keys can be judged as one."""
    return type(model), tuple(
        process_key(value) if isinstance(value, BaseModel) else value is None
        for value in (getattr(model, name) for name in type(model).model_fields)
    )


def with_processes(stack: Subject, subjects: Sequence[Subject], axes: int = 0) -> Subject:
    """Lay the processes of requests with equal `process_key` along the first axis as well.

    The stack holds the same requests with their materials laid along it. Numbers that differ become
    arrays of shape (subjects, 1, ...); words are those of the first.
    """
    column = column_of(np.arange(len(subjects)), axes)
    process = _together([subject.question.process for subject in subjects], column)
    duties = [subject.duty for subject in subjects]
    question = replace(stack.question, process=process)
    return replace(stack, question=question, duty=_duty(duties, column))


def _together(models: Sequence[Any], column: Column) -> Any:
    first = models[0]
    update: dict[str, object] = {}
    for name in type(first).model_fields if any(each is not first for each in models) else ():
        values = [getattr(each, name) for each in models]
        if any(value is not values[0] and value != values[0] for value in values):
            if isinstance(values[0], BaseModel):
                update[name] = _together(values, column)
            elif isinstance(values[0], Quantity):
                update[name] = spread_of(values, column)
    return first.model_copy(update=update) if update else first


def _duty(duties: Sequence[Duty], column: Column) -> Duty:
    update: dict[str, Any] = {}
    for each in fields(Duty):
        values = [getattr(duty, each.name) for duty in duties]
        if all(value is values[0] or value == values[0] for value in values):
            continue
        if isinstance(values[0], Interval):
            update[each.name] = spread_of(values, column)
        elif isinstance(values[0], float):
            update[each.name] = column(values)
    return replace(duties[0], **update)
