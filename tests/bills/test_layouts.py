"""Whatever a writer that knows the truth puts into a table, in any of the layouts of downloads, is read back equal."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from bills.layouts import Written, write_bills, write_readings

from costsim.bills.model import Bills
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import InputError

MOST_OFF = 1e-3


def verdict(written: Written) -> str:
    """``"equal"``, or the question that was asked; silently wrong is an error."""
    try:
        # ends alone do not show a clock that is set at midnight
        made = written.made
        zone = (
            str(made["zone"])
            if made.get("stamps") in ("utc", "epoch") or (made.get("zone") == "Asia/Amman" and made["stamps"] == "end")
            else ""
        )
        [found] = read_bills_csv("use.csv", content=written.raw, zone=zone, meter=str(made.get("meter", "")))
    except InputError as error:
        line = str(error)
        assert line.count("\n") < 3, written.made
        return line
    return compared(found, written)


def compared(found: Bills, written: Written) -> str:
    """``"equal"``; anything else is an error."""
    got = dict(zip(found.start_day.tolist(), found.energy_j.tolist(), strict=True))
    for day, joule in written.truth.items():
        if day in got:
            assert got[day] == pytest.approx(joule, rel=MOST_OFF), (day, written.made, found.notes)
    missing = set(written.truth) - set(got)
    assert len(missing) <= 1, (sorted(missing)[:3], written.made, found.notes)
    assert not set(got) - set(written.truth), (sorted(set(got) - set(written.truth))[:3], written.made, found.notes)
    return "equal"


@pytest.mark.long
@pytest.mark.parametrize("write", [write_readings, write_bills])
def test_any_layout_is_read_back_equal(write) -> None:
    rng = random.Random(f"20 {write.__name__}")
    seen = Counter(verdict(write(rng)) for _ in range(60))
    assert seen["equal"] >= 0.9 * seen.total(), seen.most_common(5)
