"""No reader is silently wrong by more than a thousandth, slow, or raises; the large run is `python tests/fuzz/truth.py`."""

from __future__ import annotations

import pytest
from fuzz.truth import READERS, SLOWEST_S, run


@pytest.mark.long
@pytest.mark.parametrize("name", READERS)
def test_what_a_writer_knows_is_read_back(name: str) -> None:
    seen, slowest, tried = run(name, 100, 60.0)
    assert not seen["WRONG"] + seen["RAISED"], seen
    assert slowest < SLOWEST_S
    assert seen["equal"] >= 0.9 * tried, seen.most_common(5)
