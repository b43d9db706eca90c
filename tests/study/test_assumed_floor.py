"""A floor that a study does not describe: laid where no other emitter heats, told as assumed, and refused where no floor heats."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from cases import study

from costsim.__main__ import main
from costsim.errors import InputError
from costsim.study.assumed_floor import with_assumed_floor
from costsim.study.case import read_study, write_study
from costsim.views.assumed_floor import assumed_floor_lines

OIL = {"kind": "oil", "output": "20 kW", "efficiency": "84 %"}
UP = {"name": "Upstairs", "emitter": "baseboard"}


def levels(count: int = 1, *zones: dict[str, str], **more: Any) -> tuple[list[tuple[str, float]], str]:
    """Names and areas of the levels of a house of 100 m², and the lines that tell them."""
    case = with_assumed_floor(study(OIL, house__zone=list(zones), **more), count, "si")
    assert case.floor is not None and case.floor.layout is not None  # noqa: PT018
    found = [(one.name, one.area_m2 or 0.0) for one in case.floor.layout.level]
    return found, "\n".join(assumed_floor_lines(case, "si"))


def test_tubes_lie_where_no_other_emitter_heats() -> None:
    whole, told = levels()
    assert whole == [("Floor 1", 100.0)]
    assert "one level with tubes, 100 m², all of the heated area;" in told
    assert (
        "1/2 in PEX tubes 305 mm apart, 100 mm (4 in) concrete slab on insulation (1.8 m² K/W), no floor covering"
        in told
    )
    beside, told = levels(2, UP | {"area": "40 m2"})
    assert beside == [("Floor 1", 30.0), ("Floor 2", 30.0)]
    assert "2 levels with tubes, 30 m² each, of the heated 100 m² less Upstairs, 40 m²;" in told
    half, told = levels(1, UP | {"load": "50 %"}, {"name": "Beds", "area": "20 m2"})
    assert half == [("Floor 1", 50.0)]
    assert "less Upstairs, 50 m²;" in told
    under, told = levels(1, {"name": "Up", "emitter": "radiant_floor_joists", "area": "40 m2"})
    assert under == [("Floor 1", 60.0)]
    assert "Up has tubes too: they are not laid here" in told


def test_the_kind_of_floor_tells_what_the_tubes_lie_in() -> None:
    """Between joists two tubes in each bay of 16 in, 8 in apart."""
    _, told = levels(house__emitter="radiant_floor_joists")
    assert "tubes 203 mm apart, aluminum plates under a wooden subfloor" in told
    assert "wooden panels with aluminum plates" in levels(house__emitter="radiant_floor_dry")[1]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"house__emitter": "radiators"}, "no floor heats this house but the radiators"),
        ({"house__zone": [UP | {"area": "100 m2"}]}, "zones with another emitter have all of this house"),
    ],
)
def test_where_no_floor_heats_none_is_laid(more: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        with_assumed_floor(study(OIL, **more), 1, "us")


def test_a_floor_that_is_described_stays() -> None:
    case = read_study("two_levels")
    assert with_assumed_floor(case, 1, "us") is case


@pytest.mark.long
def test_layout_runs_on_a_study_of_five_answers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """1,000 ft² a foot apart in loops of 300 ft at most with 2 × 10 ft of leads: 4 of 270 ft; its share of 48 kBtu/h is 20.0."""
    data = study(
        OIL, house__zone=[UP | {"area": "1400 ft2"}], house__floor_area="2400 ft2", house__design_heat_loss="48 kBtu/h"
    ).typed
    path, copy = tmp_path / "five.toml", tmp_path / "laid.toml"
    path.write_text(write_study(data), encoding="utf-8")
    assert main(["layout", str(path), "--units", "us", "-o", str(copy)]) == 0
    out = capsys.readouterr().out
    assert out.startswith(
        "Assumed, since the study describes no floor:\n  one level with tubes, 1,000 ft², of the heated 2,400 ft² less Upstairs, 1,400 ft²;"
    )
    assert "4 loops of 1/2 in PEX (1,080 ft of tube)" in out
    assert "carry 20.0 kBtu/h" in out
    laid = read_study(str(copy))
    assert laid.floor is not None
    assert laid.floor.area_m2 == pytest.approx(1000 * 0.3048**2, rel=0.01)
    assert main(["layout", str(path), "--levels", "2", "--json", "-"]) == 0
    assert json.loads(capsys.readouterr().out)["assumed"][1].startswith("  2 levels with tubes")
    for given, said in (
        (["two_levels", "--levels", "2"], "describes no floor"),
        ([str(path), "--levels", "0"], "no number"),
    ):
        assert main(["layout", *given]) == 2
        assert said in capsys.readouterr().err
