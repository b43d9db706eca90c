"""Records of the open rate database: imported, shown, and billed to the cent as an independent script bills them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tariffs.rate_records import FLAT, RECORDS, energy, grid, hours_of_use, one, plain_bill
from tariffs.real_records import REAL, TOLD

from costsim.cli.main import main
from costsim.errors import InputError
from costsim.study.tariff_file import price_models, read_price_tables
from costsim.tariffs.bill import bill, monthly_energy_j, monthly_peaks_w, plain_calendar, price_month_period
from costsim.tariffs.rate_record import read_record
from costsim.views.text_tariff import picture

KWH = 3.6e6
USE = hours_of_use(7)


def raw(record: object) -> bytes:
    return json.dumps(record).encode()


@pytest.mark.parametrize("kind", [*RECORDS, *REAL])
def test_a_record_is_billed_to_the_cent(kind: str, tmp_path: Path) -> None:
    source, out = tmp_path / "record.json", tmp_path / "tariff.toml"
    record = (RECORDS | REAL)[kind]
    source.write_bytes(raw({"items": [{"label": kind, "utility": "Invented Power", "name": kind, **record}]}))
    assert main(["tariff", "import", str(source), "-o", str(out)]) == 0
    tariff = price_models(read_price_tables(out), "t")["electricity"].tariff("electricity")
    use = np.array([kwh for _, kwh in USE]) * KWH
    expected = plain_bill(record, USE)
    assert bill(tariff, plain_calendar(), use).total == pytest.approx(expected, abs=0.005)
    sums, peaks = (
        monthly_energy_j(tariff, plain_calendar(), use).T[None],
        monthly_peaks_w(tariff, plain_calendar(), use)[None],
    )
    assert price_month_period(tariff, sums, peaks) == pytest.approx([expected], abs=0.005)


@pytest.mark.parametrize("label", REAL)
def test_nothing_of_a_real_record_is_dropped_silently(label: str) -> None:
    found = read_record(raw({"label": label, **REAL[label]}), "r.json")
    told = "\n".join(found.left_out)
    for words in TOLD[label]:
        assert words in told
    # a key that nobody has thought of is told by its name, in the record and in its tiers
    structure = [[{**tier, "ramp": 3} for tier in rate] for rate in REAL[label]["energyratestructure"]]
    more = read_record(raw({**REAL[label], "newcharge": [7.5], "energyratestructure": structure}), "r.json").left_out
    assert set(more) - set(found.left_out) == {"newcharge: [7.5]", "a tier of energyratestructure says ramp = 3"}


def test_what_a_record_says_and_a_table_cannot_is_listed() -> None:
    record = {
        **RECORDS["time of use"], "dgrules": "Net Metering", "demandratchetpercentage": [0.0] * 11 + [0.5], "demandwindow": 15,
        "energycomments": "A surcharge applies.", "flatdemandstructure": [[{"rate": 1.0}]], "flatdemandmonths": [0] * 12,
        "energyratestructure": [[{"rate": 0.1, "sell": 0.05, "unit": "kWh/hp", "max": 9}, {"rate": 0.2}], one(0.1), one(0.2)],
        "fixedchargefirstmeter": 5, "fixedchargeunits": "$/season",
    }  # fmt: skip
    told = "\n".join(read_record(raw(record), "r.json").left_out)
    for word in (
        "ratchet",
        "Net Metering",
        "15 minutes",
        "A surcharge applies",
        "sold to the grid",
        "kWh/hp",
        "$/season",
        "holidays",
    ):
        assert word in told


@pytest.mark.parametrize(
    ("more", "share"),
    [
        ({"lookbackrange": 0}, "85 %"), ({"lookbackrange": 11}, "85 %"),
        ({"lookbackrange": 12, "lookbackmonths": [0] * 12}, "85 %"), ({"lookbackrange": 3}, None),
        ({"lookbackmonths": [1] * 6 + [0] * 6}, None), ({"lookbackrange": 11, "lookbackmonths": [1] * 6 + [0] * 6}, None),
    ],
)  # fmt: skip
def test_a_look_back_over_a_year_is_a_ratchet_and_any_other_is_told(more: dict[str, Any], share: str | None) -> None:
    plain = {key: value for key, value in RECORDS["look-back"].items() if key != "lookbackmonths"}
    found = read_record(raw({**plain, **more}), "r.json")
    assert {charge.get("ratchet") for charge in found.table["charge"]} == {share}
    assert ("look-back" in "\n".join(found.left_out)) == (share is None)


def test_two_fixed_charges_that_differ_are_told_and_alike_ones_are_not() -> None:
    for second, told in ((7.0, True), (5.0, False)):
        record = {**RECORDS["flat"], "fixedchargefirstmeter": 5.0, "fixedmonthlycharge": second}
        found = read_record(raw(record), "r.json")
        assert found.table["fixed"] == "5 $/month"
        assert any("fixedmonthlycharge is 7.0" in line for line in found.left_out) == told


@pytest.mark.parametrize(
    ("record", "line"),
    [
        ({"energyRateStrux": []}, "is a record of an older form (energyRateStrux)"),
        ({"version": 99}, "is no record of a known form"),
        (
            {"version": 99, **RECORDS["flat"]},
            "version: 99 is not a known version of the record; give one of versions 3 to 8",
        ),
        ([RECORDS["flat"], RECORDS["flat"]], "holds 2 records"),
        ([], "holds 0 records;"),
        ([{"label": str(at)} for at in range(5)], "holds 5 records (0, 1, 2, 3, 4);"),
        ([{"label": str(at)} for at in range(6)], "holds 6 records (0, 1, 2, 3, 4 …);"),
        ({**energy([one(0.1)] * 2, grid({range(2): 7}))}, "energyweekdayschedule: names rate 7, but there are 2"),
        ({**energy([one(0.1)] * 2, FLAT[:11])}, "is no schedule of twelve months"),
        ({**energy([[{"rate": 0.1}, {"rate": 0.2}]])}, "has a tier before the last without an end"),
        ({**energy([one(float("nan"))])}, "is not a number"),
        ({**energy([]), "fixedmonthlycharge": "seven"}, "'seven' is not a number"),
    ],
)
def test_a_record_that_cannot_be_read_gets_one_line(record: Any, line: str) -> None:
    with pytest.raises(InputError) as caught:
        read_record(raw(record), "r.json")
    assert line in str(caught.value)
    assert len(caught.value.faults) == 1


def test_not_json() -> None:
    with pytest.raises(InputError, match="is not JSON"):
        read_record(b"rate,price\n", "r.json")


def test_the_picture_has_a_row_a_month_and_a_column_an_hour(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, out = tmp_path / "record.json", tmp_path / "tariff.toml"
    source.write_bytes(raw(RECORDS["time of use"]))
    assert main(["tariff", "import", str(source), "-o", str(out)]) == 0
    assert main(["tariff", "import", str(source), "-o", str(out)]) == 2
    capsys.readouterr()
    assert main(["tariff", "show", str(out), "--use", "6000 kWh/year"]) == 0
    text = capsys.readouterr().out
    rows = dict(line.split(maxsplit=1) for line in text.splitlines() if line[:3] in ("Jan", "Jul"))
    assert rows["Jan"] == f"{'1' * 16}33333111  {'1' * 24}"
    assert rows["Jul"] == f"{'2' * 16}33333222  {'2' * 24}"
    assert "3 $0.3500/kWh" in text
    assert "6,000 kWh in the year" in text
    assert max(map(len, text.splitlines())) <= 120
    assert main(["tariff", "show", str(out), "--price", "gas"]) == 2
    assert main(["tariff", "show", str(out), "--use", "plenty"]) == 2


def test_many_prices_are_shown_in_spans() -> None:
    calendar = plain_calendar()
    shown = picture(np.linspace(0.1, 0.4, 8760) / KWH, calendar, KWH, "kWh", "€")
    assert shown.count("€") == 18
    assert shown.splitlines()[2].split()[1] == "1" * 24


def test_a_tariff_in_another_currency_is_shown_in_it_and_two_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rider = '[[prices.electricity.charge]]\nkind = "tiers"\ntier = [{ energy = "28.6 p/kWh" }]\n'
    (tmp_path / "t.toml").write_text(rider, encoding="utf-8")
    assert main(["tariff", "show", str(tmp_path / "t.toml")]) == 0
    assert "£0.2860/kWh" in capsys.readouterr().out
    (tmp_path / "t.toml").write_text(f'[prices.electricity]\nfixed = "5 €/month"\n{rider}', encoding="utf-8")
    assert main(["tariff", "show", str(tmp_path / "t.toml")]) == 2
    assert "is in £, but prices.electricity.fixed = '5 €/month' is in €" in capsys.readouterr().err
