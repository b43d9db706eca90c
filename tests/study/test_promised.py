"""What may be typed, and what counts where nothing is, is a promise to files that exist: it moves only on purpose, here as well."""

from __future__ import annotations

import csv
import importlib
from pathlib import Path

import pytest

from costsim.study.layout import USUAL_LONGEST_M
from costsim.units.fields import QuantityField

with (Path(__file__).parent / "promised.csv").open(encoding="utf-8") as stream:
    PROMISED = list(csv.DictReader(stream))


@pytest.mark.parametrize("module", sorted({row["module"] for row in PROMISED}))
def test_limits_and_defaults_are_those_promised(module: str) -> None:
    """Limits in SI, `>` where the limit itself is refused; of texts and lists their lengths."""
    for row in (one for one in PROMISED if one["module"] == module):
        model = getattr(importlib.import_module(f"costsim.study.{module}"), row["table"])
        field = model.model_fields[row["field"]]
        least, most = "", ""
        for item in field.metadata:
            if isinstance(item, QuantityField):
                least = f">{item.above:g}" if item.above is not None else _text(item.at_least)
                most = _text(item.at_most)
            least = _text(getattr(item, "ge", getattr(item, "min_length", None))) or least
            most = _text(getattr(item, "le", getattr(item, "max_length", None))) or most
        assert (least, most) == (row["least"], row["most"]), row
        if row["default"]:
            given = field.default
            assert (str(given) if isinstance(given, bool | str) else f"{given:.6g}") == row["default"], row
        if isinstance(field.default, int | float) and not isinstance(field.default, bool):
            assert not most or field.default <= float(most)
            assert not least or field.default >= float(least.lstrip(">"))


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def test_usual_longest_loops_of_the_trade() -> None:
    """200, 300, 400, 500 and 750 ft for 3/8, 1/2, 5/8, 3/4 and 1 in; 100 to 120 m for 16 to 20 mm: common practice, no source."""
    feet = {name: value / 0.3048 for name, value in USUAL_LONGEST_M.items() if "PEX" in name}
    assert feet == {
        "3/8 in PEX": pytest.approx(200), "1/2 in PEX": pytest.approx(300), "5/8 in PEX": pytest.approx(400),
        "3/4 in PEX": pytest.approx(500), "1 in PEX": pytest.approx(750),
    }  # fmt: skip
    assert {name: value for name, value in USUAL_LONGEST_M.items() if "PEX" not in name} == {
        "16x2": 100,
        "17x2": 100,
        "20x2": 120,
    }
