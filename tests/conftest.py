"""Fixtures shared by all tests."""

from __future__ import annotations

import csv
import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

PUBLISHED = Path(__file__).parent / "published"


@dataclass(frozen=True)
class PublishedValue:
    """One row of tests/published/*.csv."""

    id: str
    quantity: str
    value: float
    unit: str
    tolerance: float
    source: str
    status: str

    def check(self, actual: float) -> None:
        """Assert that `actual` agrees with the published value within its tolerance."""
        assert abs(actual - self.value) <= self.tolerance, (
            f"{self.id}: got {actual!r}, published {self.value!r} {self.unit} ± {self.tolerance:g} ({self.source})"
        )


@functools.cache
def load_published(topic: str) -> dict[str, PublishedValue]:
    """Read one table of published values."""
    with (PUBLISHED / f"{topic}.csv").open(newline="", encoding="utf-8") as stream:
        return {row["id"]: _row(row) for row in csv.DictReader(stream)}


def _row(row: dict[str, str]) -> PublishedValue:
    value, text = float(row["value"]), row["tolerance"].strip()
    tolerance = abs(value) * float(text[:-1]) / 100 if text.endswith("%") else float(text)
    return PublishedValue(row["id"], row["quantity"], value, row["unit"], tolerance, row["source"], row["status"])


@pytest.fixture(scope="session")
def published() -> Callable[[str], dict[str, PublishedValue]]:
    """Give the loader of published values: ``published("floor")["en1264_dt5"].check(q)``."""
    return load_published
