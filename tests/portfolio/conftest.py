"""What several tests of homes share."""

from __future__ import annotations

import pytest
from portfolio.small import CASE, HEADINGS, WEATHER

from costsim.portfolio import columns
from costsim.portfolio.plan import PortfolioPlan, prepare


@pytest.fixture(scope="module")
def plan() -> PortfolioPlan:
    """The built-in study made ready for a table of these headings."""
    return prepare(CASE, WEATHER, columns.read_layout(HEADINGS, CASE, "homes.csv"))
