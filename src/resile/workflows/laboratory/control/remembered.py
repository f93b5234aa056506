"""What was computed once for a state of the record is not computed again while that state lasts.

The key names everything that an answer follows from: the state of the values of a product
(`resile.storage.lists.production.state_of_values`), the revisions of its charts, days. Nothing is ever
thrown away because it might be old: a change gives another key, and the old answer is forgotten in its turn.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, TypeVar, cast

_MOST = 96
"""Answers that are kept; one of 2000 lots takes about three megabytes."""

Answer = TypeVar("Answer")
_lock = Lock()
_answers: OrderedDict[Hashable, Any] = OrderedDict()


def remembered(key: Hashable, compute: Callable[[], Answer]) -> Answer:
    """Give an answer that was computed before, or compute it.

    Parameters
    ----------
    key : hashable
        Everything that the answer follows from; its first part names the kind of answer.
    compute : callable
        Gives the answer; it must not be changed by those who get it.
    """
    with _lock:
        if key in _answers:
            _answers.move_to_end(key)
            return cast("Answer", _answers[key])
    answer = compute()  # two readers may both compute it: better than one that waits for the other
    with _lock:
        _answers[key] = answer
        while len(_answers) > _MOST:
            _answers.popitem(last=False)
    return answer
