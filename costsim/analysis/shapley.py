"""What each of several causes adds, where they act together."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations


def shapley(use: Callable[..., float]) -> tuple[float, ...]:
    """Each of three switches' part of what all together change: the mean over every order of turning them on.

    Examples
    --------
    >>> shapley(lambda a, b, c: 1.0 + 2.0 * a + 3.0 * b + 4.0 * a * c)
    (4.0, 3.0, 2.0)
    """
    total = [0.0, 0.0, 0.0]
    orders = list(permutations(range(3)))
    for order in orders:
        state = [False, False, False]
        before = use(*state)
        for switch in order:
            state[switch] = True
            after = use(*state)
            total[switch] += after - before
            before = after
    return tuple(value / len(orders) for value in total)
