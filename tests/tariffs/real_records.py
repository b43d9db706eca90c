"""Four records of the open US utility-rate database, as its public copies hold them (open data, CC0), schedules written shortly.

The label of each finds it in the database. What is left out here says nothing of money: revisions and addresses.
"""

from __future__ import annotations

from typing import Any

from tariffs.rate_records import FLAT, grid

COOL = (0, 1, 2, 3, 4, 9, 10, 11)
SUMMER = range(5, 9)


def rows(hours: dict[range, int], cool: dict[range, int], base: int = 0) -> list[list[int]]:
    """Weekdays of summer, which start from `base`, and of the other months."""
    start = [[base if month in SUMMER else 0] * 24 for month in range(12)]
    found = grid(hours, SUMMER, start)
    for month in COOL:
        found = grid(cool, range(month, month + 1), found)
    return found


_SCE = rows({range(8, 12): 3, range(12, 18): 4, range(18, 23): 3}, {range(8, 21): 1}, base=2)
_MORNING = {range(6, 10): 1, range(18, 22): 1}
_FPL = grid({range(12, 21): 1}, range(3, 10), grid(_MORNING, range(3), grid(_MORNING, range(10, 12))))
_VEPCO = rows({range(10, 22): 1}, {range(7, 22): 1})
_CONED = rows({range(8, 18): 3, range(18, 22): 2}, {range(8, 22): 1})

REAL: dict[str, dict[str, Any]] = {
    "55fc81d7682bea28da64f9ae": {
        "utility": "Southern California Edison Co", "name": "Time of Use, General Service, Demand Metered, Option B: GS-2 TOU B, Single Phase",
        "sector": "Commercial", "eiaid": 17609, "startdate": 1433116800, "enddate": 1451520000, "approved": True, "country": "USA",
        "peakkwcapacitymin": 20, "peakkwcapacitymax": 200, "peakkwcapacityhistory": 12, "voltagecategory": "Primary", "voltageminimum": 2000,
        "voltagemaximum": 50000, "phasewiring": "Single Phase", "fixedmonthlycharge": 259.2,
        "description": "- Energy tiered charge = generation charge + delivery charge\r\n\r\n- Time of day demand charges (generation-based) are to"
                       " be added to the monthly demand charge(Delivery based).",
        "energyattrs": [{"Voltage Discount (2KV-<50KV)": "$-0.00106/Kwh"}, {"Voltage Discount (>50 KV<220 KV)": "$-0.00238/Kwh"},
                        {"Voltage Discount at 220 KV": "$-0.0024/Kwh"}, {"California Climate credit": "$-0.00669/kwh"}],
        "demandattrs": [{"Facilties Voltage Discount (2KV-<50KV)": "$-0.18/KW"}],
        "energyratestructure": [[{"rate": rate, "unit": "kWh"}] for rate in (0.0712, 0.09368, 0.066, 0.08888, 0.1355)],
        "energyweekdayschedule": _SCE, "energyweekendschedule": [[2 if month in SUMMER else 0] * 24 for month in range(12)],
        "flatdemandstructure": [[{"rate": 13.2}]], "flatdemandunit": "kW", "flatdemandmonths": [0] * 12,
        "demandratestructure": [[{"rate": 0}], [{"rate": 5.3}], [{"rate": 18.11}]], "demandrateunit": "kW",
        "demandweekdayschedule": rows({range(8, 12): 1, range(12, 18): 2, range(18, 23): 1}, {}), "demandweekendschedule": FLAT,
    },
    "6776f98328a262f68a0081be": {
        "utility": "Florida Power & Light Co.", "name": "GSLDT-1 (General Service Large Demand - Time-Of-Use)", "sector": "Commercial",
        "servicetype": "Bundled", "eiaid": 6452, "startdate": 1735718400, "is_default": False, "peakkwcapacitymin": 500, "peakkwcapacitymax": 2000,
        "demandunits": "kW", "phasewiring": "Single and 3-Phase", "fixedchargefirstmeter": 88.67, "fixedchargeunits": "$/month",
        "flatdemandunit": "kW", "demandrateunit": "kW", "demandratestructure": [[{"rate": 0.79, "adj": 2.06}], [{"rate": 12.81, "adj": 2.06}]],
        "demandweekdayschedule": _FPL, "demandweekendschedule": FLAT,
        "demandcomments": "Adjustment = Conservation + Capacity + Storm Protection + Transition Credit.",
        "energyratestructure": [[{"unit": "kWh", "rate": 0.01413, "adj": 0.03389}], [{"unit": "kWh", "rate": 0.03254, "adj": 0.03905}]],
        "energyweekdayschedule": _FPL, "energyweekendschedule": FLAT, "dgrules": "Net Metering",
        "energycomments": "Adjustments = Fuel Charge + Storm charge  + Environmental + 2025 Interim Storm Restoration Recovery Surcharge",
    },
    "64fa78e8f757c94ea209a3a1": {
        "utility": "Virginia Electric & Power Co", "name": "GS-3 (Large General Service Secondary Voltage)", "sector": "Commercial",
        "servicetype": "Bundled", "eiaid": 19876, "startdate": 1693555200, "enddate": 1704009600, "peakkwcapacitymin": 500, "demandunits": "kW",
        "demandrateunit": "kW", "demandratestructure": [[{"rate": 2.007, "adj": 4.114}], [{"rate": 14.094, "adj": 4.114}]],
        "demandweekdayschedule": _VEPCO, "demandweekendschedule": FLAT, "demandreactivepowercharge": 0.141,
        "energyratestructure": [[{"unit": "kWh", "rate": 0.002412, "adj": 0.034252}], [{"unit": "kWh", "rate": 0.00355, "adj": 0.034252}]],
        "energyweekdayschedule": _VEPCO, "energyweekendschedule": FLAT, "dgrules": "Net Metering",
        "fixedchargefirstmeter": 112.58, "fixedchargeunits": "$/month",
    },
    "67b78db9c1ba7352cd0c0853": {
        "utility": "Consolidated Edison Co-NY Inc", "name": "SC-9 - General Large Voluntary TOD Service - Zone J [NYC]", "sector": "Commercial",
        "servicetype": "Delivery with Standard Offer", "eiaid": 4226, "startdate": 1738393200, "demandunits": "kW",
        "flatdemandunit": "kW", "flatdemandstructure": [[{"rate": 7.51}], [{"rate": 26.2}]],
        "flatdemandmonths": [0, 0, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0], "demandrateunit": "kW",
        "demandratestructure": [[{"rate": 0}], [{"rate": 17.74, "adj": 10.01}], [{"rate": 27.4}], [{"rate": 40.17, "adj": 10.01}]],
        "demandweekdayschedule": _CONED, "demandweekendschedule": FLAT,
        "energyratestructure": [[{"unit": "kWh", "rate": 0.10171, "adj": 0.031}]], "energyweekdayschedule": FLAT, "energyweekendschedule": FLAT,
        "dgrules": "Net Metering", "fixedchargefirstmeter": 71, "fixedchargeunits": "$/month",
    },
}  # fmt: skip
TOLD = {
    "55fc81d7682bea28da64f9ae": ("commercial", "ended on 2015-12-31", "California Climate credit", "Facilties Voltage", "peakkwcapacitymax: 200",
                                 "voltageminimum", "Time of day demand charges"),
    "6776f98328a262f68a0081be": ("Fuel Charge", "Transition Credit", "own generation", "peakkwcapacitymin: 500", "holidays"),
    "64fa78e8f757c94ea209a3a1": ("reactive power (demandreactivepowercharge): 0.141", "ended on 2023-12-31"),
    "67b78db9c1ba7352cd0c0853": ("its service is Delivery with Standard Offer",),
}  # fmt: skip
"""What the import must tell of each."""
