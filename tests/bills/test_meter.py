"""A year of readings without dates: how many rows an hour, which units, which numbers, and 29 February; by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from costsim.bills import meter
from costsim.bills.meter import _column, _joule, _numbers, fit_to_year, read_heat, read_meter_year
from costsim.errors import InputError

KWH = 3.6e6


def year(each: int, hours: int = 8760, head: str = "electricity [kWh]", value: str = "0.5") -> bytes:
    """A file of so many rows an hour."""
    return (f"{head}\n" + f"{value}\n" * (each * hours)).encode()


@pytest.mark.parametrize(("each", "hours"), [(1, 8760), (1, 8784), (2, 8760), (4, 8784)])
def test_an_hour_has_one_two_or_four_rows(each: int, hours: int) -> None:
    found, notes = read_meter_year("m.csv", content=year(each, hours))
    assert (found.shape, notes) == ((hours,), ())
    assert found[0] == found[-1] == pytest.approx(0.5 * each * KWH)
    assert read_heat("m.csv", year(each, hours, "heat [kW]"), "use[1].hours", "s.toml")[0] == pytest.approx(0.5 * KWH)


@pytest.mark.parametrize(("each", "hours"), [(3, 8760), (1, 8759), (1, 8761), (8, 8760)])
def test_any_other_number_of_rows_is_no_year(each: int, hours: int) -> None:
    with pytest.raises(InputError, match=f"{each * hours} rows are no whole year of 15, 30 or 60 minutes"):
        read_heat("m.csv", year(each, hours, "heat [kWh]"), "use[1].hours", "s.toml")


def test_what_is_no_reading_is_told_by_its_row_five_at_most() -> None:
    assert _numbers([["0"], ["1e12"], [], [" ", ""], [" 7 "]], 0, "m").tolist() == [0.0, 1e12, 7.0]

    def wrong(*rows: list[str]) -> list[tuple[str, str]]:
        with pytest.raises(InputError) as caught:
            _numbers([["1", "2"], *rows], 1, "m")
        return [(one.field, one.problem) for one in caught.value.faults]

    assert wrong(["3", "-0.1"], ["4"], ["5", "1.05e12"], ["", "nan"]) == [
        ("row 3", "'-0.1' is not a reading"), ("row 4", "'' is not a reading"), ("row 5", "'1.05e12' is not a reading"),
        ("row 6", "'nan' is not a reading"),
    ]  # fmt: skip
    assert len(wrong(*[["1", "x"]] * 5)) == 5
    assert wrong(*[["1", "x"]] * 7)[5:] == [("", "2 more rows are wrong")]


def test_energy_of_an_hour_is_summed_and_power_is_its_mean() -> None:
    """Four quarters of 1, 2, 3 and 4 kWh are 10 kWh, of kW they are 2.5 kWh; a MJ is a MJ."""
    quarters = np.array([[1.0, 2.0, 3.0, 4.0]])
    for unit, joule in (("kWh", 10 * KWH), ("kW", 2.5 * KWH), ("MJ", 10e6), ("W", 2.5 * 3600), ("Wh", 10 * 3600)):
        assert _joule(quarters, unit, "m", "").tolist() == pytest.approx([joule])
    with pytest.raises(InputError, match="'m2' is neither energy nor power"):
        _joule(quarters, "m2", "m", "")


def test_the_first_column_of_the_heading_is_taken_and_its_lack_is_told() -> None:
    heads = ["time", "Electricity [Wh]", "electricity [kWh]"]
    assert _column(heads, "m", meter._HEADING, "") == (1, "Wh")
    for wanted, shown in ((meter._HEADING, "electricity [kWh]"), (meter._HEAT, "heat [kW]")):
        with pytest.raises(InputError) as caught:
            _column(["time"], "m", wanted, "")
        assert f"has no column headed '{shown}'" in str(caught.value)
    with pytest.raises(InputError, match="no column headed"):
        read_heat("m.csv", b"", "use[1].hours", "s.toml")


def test_a_file_of_twenty_megabytes_is_read_and_a_byte_more_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    known: Any = (np.zeros(1), ("read",))
    monkeypatch.setattr(meter, "_dated", lambda raw, name: known)
    assert read_meter_year("m.csv", content=b"," * 20_000_000) is known
    with pytest.raises(InputError, match="is 20 MB large"):
        read_meter_year("m.csv", content=b"," * 20_000_001)
    monkeypatch.setattr(meter, "check_lines", lambda text, name, example: None)
    monkeypatch.setattr(meter, "MOST_CSV_BYTES", 5)
    for content, said in ((b"12345", "no column headed"), (b"1234567", "is 0 MB large")):
        with pytest.raises(InputError, match=said):
            read_heat("m.csv", content, "use[1].hours", "s.toml")


def test_29_february_is_left_out_or_the_day_before_stands_for_it_too() -> None:
    """January has 744 hours and February 672: the 29th is hours 1,416 to 1,439 from zero."""
    leap, plain = np.arange(8784.0), np.arange(8760.0)
    shorter, longer = fit_to_year(leap, 8760), fit_to_year(plain, 8784)
    assert (shorter[1415], shorter[1416], len(shorter)) == (1415.0, 1440.0, 8760)
    assert (longer[1416], longer[1439], longer[1440], len(longer)) == (1392.0, 1415.0, 1416.0, 8784)
    assert fit_to_year(plain, 8760) is plain
