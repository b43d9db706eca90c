"""Records of the rate database and units of fuels: what becomes a charge and what is told, on both sides of every condition."""

from __future__ import annotations

import json
from typing import Any

import pytest

from costsim.errors import InputError
from costsim.tariffs.charges import FuelUnits
from costsim.tariffs.rate_record import read_record
from costsim.units.quantity import read_quantity

KWH = 3.6e6


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"sector": "Commercial"}, "it is a commercial rate (sector)"), ({"sector": "Residential"}, ""),
        ({"servicetype": "Delivery"}, "its service is Delivery"),
        ({"servicetype": "Bundled"}, ""), ({"usenetmetering": True}, "rules for own generation: net metering"),
        ({"enddate": 86400}, "the rate ended on 1970-01-02"),
        ({"enddate": 0}, ""), ({"enddate": 1e300}, "the rate ended on 1e+300"), ({"fueladjustmentsmonthly": [0.0] * 12}, ""),
        ({"fueladjustmentsmonthly": [1]}, "that are not twelve"),
        ({"fixedmonthlycharge": 5, "fixedchargeunits": "$/day"}, ""), ({"fixedchargefirstmeter": -5}, ""), ({"fixedchargefirstmeter": 5,
        "fixedchargeunits": "$/week"}, "a fixed charge of 5 $/week"),
        ({"mincharge": 5, "minchargeunits": "$/week"}, "a minimum bill of 5 $/week"), ({"annualmincharge": 50}, ""), ({"minmonthlycharge": 5}, ""),
        ({"demandreactivepowercharge": 3}, "a charge on reactive power (demandreactivepowercharge): 3"), ({"foo": [0, [0]]}, ""),
        ({"foo": "x" * 401}, "foo: " + "x" * 400 + " …"),
        ({"foo": "x" * 400}, "foo: " + "x" * 400), ({"version": "8"}, ""), ({"energycomments": " a  b "}, "a comment of the record: a b"),
    ],
)  # fmt: skip
def test_what_a_record_says_is_in_the_table_or_told(more: dict[str, Any], said: str) -> None:
    record = {"label": "r", "energyratestructure": [[{"rate": 0.1, "unit": "kWh"}]], **more}
    found = read_record(json.dumps(record).encode(), "r.json")
    assert found.table["energy"] == "0.1 $/kWh"
    assert [note for note in found.left_out if said in note] == list(found.left_out) if said else not found.left_out
    assert len(found.left_out) == bool(said)


def test_records_become_charges_by_their_units() -> None:
    def table(**more: Any) -> Any:
        return read_record(
            json.dumps({"energyratestructure": [[{"rate": 0.1, "adj": 0.02}]], **more}).encode(), "r.json"
        ).table

    assert table()["energy"] == "0.12 $/kWh"
    assert table(fixedchargefirstmeter=5)["fixed"] == "5 $/month"
    assert table(fixedchargefirstmeter=0.5, fixedchargeunits="$/day")["charge"] == [
        {"kind": "standing", "name": "fixed charge", "amount": "0.5 $/day"}
    ]
    assert table(fixedchargefirstmeter=-5)["charge"][0]["amount"] == "-5 $/month"
    assert table(mincharge=7)["minimum_bill"] == "7 $/month"
    assert table(annualmincharge=70)["charge"] == [
        {"kind": "minimum", "name": "minimum bill by the year", "amount": "70 $/year"}
    ]
    adjusted = table(fueladjustmentsmonthly=[0.01, *[0] * 10, -0.02])["charge"]
    assert [(one["months"], one["energy"]) for one in adjusted] == [("Jan", "0.01 $/kWh"), ("Dec", "-0.02 $/kWh")]
    flat = {
        "flatdemandstructure": [[{"rate": 3.0}], [{"rate": 5.0, "max": 10}, {"rate": 6.0}]],
        "flatdemandmonths": [0] * 6 + [1] * 6,
    }
    (power,) = table(**flat)["charge"]
    assert power["weekday"] == ["a" * 24] * 6 + ["b" * 24] * 6
    assert power["rate"][1] == {"step": [{"up_to": "10 kW", "price": "5 $/kW"}, {"price": "6 $/kW"}]}
    assert "ratchet" not in power
    for share, ratchet in ((0.8, "80 %"), (80, "80 %"), (1, "100 %")):
        assert table(**flat, lookbackpercent=share, lookbackmonths=[1] * 12)["charge"][0]["ratchet"] == ratchet
        assert table(**flat, demandratchetpercentage=[share] * 12)["charge"][0]["ratchet"] == ratchet
    daily = {
        "flatdemandstructure": [[{"rate": 0.3}], [{"rate": 0.0}]],
        "flatdemandmonths": [0] * 6 + [1] * 6,
        "flatdemandunit": "kW daily",
    }
    assert table(**daily)["charge"] == [
        {
            "kind": "power",
            "name": "power",
            "months": "Jan, Feb, Mar, Apr, May, Jun",
            "top_days": 31,
            "step": [{"price": "0.3 $/kW/day"}],
        }
    ]
    for months_of_power in (None, "all", [0] * 11, [0] * 13):
        with pytest.raises(InputError, match="is no list of twelve months"):
            table(**{**flat, "flatdemandmonths": months_of_power})
    months = [[0] * 24] * 6 + [[1] * 24] * 6
    for unit, per in (("kWh", "kWh/month"), ("kWh daily", "kWh/day"), ("kWh/kW", "kWh/kW")):
        tiered = {"energyratestructure": [[{"rate": 0.1, "max": 300, "unit": unit}, {"rate": 0.2, "unit": unit}], [{"rate": 0.3}]],
                  "energyweekdayschedule": months, "energyweekendschedule": months}  # fmt: skip
        (charge,) = table(**tiered)["charge"]
        assert charge["rate"][0]["tier"] == [{"up_to": f"300 {per}", "energy": "0.1 $/kWh"}, {"energy": "0.2 $/kWh"}]
        assert "weekend" not in charge


def test_fuels_are_priced_by_the_units_they_are_sold_in() -> None:
    propane = FuelUnits.of("propane")
    assert propane.per_j(read_quantity("1 $/kWh")) == pytest.approx(1 / KWH)
    assert propane.per_j(read_quantity("2 $/m3")) == pytest.approx(2 / propane.content_j_per_unit)
    assert propane.joules(read_quantity("3 m3")) == pytest.approx(3 * propane.content_j_per_unit)
    assert propane.joules(read_quantity("3 kWh/day")) == pytest.approx(3 * KWH / 86400)
    by_mass = FuelUnits.of("propane", read_quantity("50 MJ/kg"))
    assert by_mass.per_j(read_quantity("2 $/kg")) == pytest.approx(2 / 50e6)
    assert by_mass.joules(read_quantity("2 kg/s")) == pytest.approx(2 * 50e6)
    for units, text, said in (
        (by_mass, "2 $/m3", "heat_content is per volume and a price"),
        (propane, "2 $/kg", "is not sold that way, but by the gal or L"),
        (FuelUnits(), "2 $/m3", "is not sold that way"),
    ):
        with pytest.raises(ValueError, match=said):
            units.per_j(read_quantity(text))
