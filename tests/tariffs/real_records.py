"""Eight records of the open US utility-rate database, as its public copies hold them (open data, CC0), schedules written shortly.

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
_PGE = grid({range(8, 21): 1}, (0, 1, 2, 3, 10, 11), [[2 if 4 <= month < 10 else 0] * 24 for month in range(12)])
_PGE = grid({range(8, 21): 3, range(12, 18): 4}, range(4, 10), _PGE)
_LADWP = rows({range(10, 20): 4, range(13, 17): 5}, {range(10, 20): 1, range(13, 17): 2}, base=3)
_SMUD = rows({range(16, 21): 3}, {range(9): 1, range(9, 16): 2, range(21, 24): 1}, base=4)
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
    "6758b27bd731a5d4d806802e": {
        "utility": "Pacific Gas & Electric Co", "name": "A-10 Medium General Demand Service TOU (Secondary Voltage)", "sector": "Commercial",
        "servicetype": "Bundled", "eiaid": 14328, "startdate": 1727762400, "peakkwcapacitymax": 500, "voltagecategory": "Secondary",
        "basicinformationcomments": "Fixed Monthly Charge is the Meter Charge Rate per meter per day averaged out for a month. There is also an"
                                    " optional meter data access charge of $0.98563 per meter per day.",
        "demandunits": "kW", "flatdemandunit": "kW", "flatdemandstructure": [[{"rate": 24.38}]], "flatdemandmonths": [0] * 12,
        "demandrateunit": "kW", "dgrules": "Net Metering", "fixedchargefirstmeter": 11.51068, "fixedchargeunits": "$/day",
        "energyratestructure": [[{"unit": "kWh", "rate": rate}] for rate in (0.24653, 0.24724, 0.27092, 0.29771, 0.29771)],
        "energyweekdayschedule": _PGE, "energyweekendschedule": [[2 if 4 <= month < 10 else 0] * 24 for month in range(12)],
    },
    "67c1f1c74737dd843e060fe8": {
        "utility": "Los Angeles Department of Water & Power", "name": "Subtransmission Service A-3 (A)", "sector": "Commercial",
        "servicetype": "Bundled", "eiaid": 11208, "startdate": 1735714800, "peakkwcapacitymin": 30, "demandunits": "kW",
        "voltageminimum": 34500, "voltagecategory": "Transmission", "dgrules": "Net Metering", "fixedchargefirstmeter": 75,
        "description": "Applicable to electric vehicle discount of -2.5 cents/kWh.", "fixedchargeunits": "$/month",
        "flatdemandunit": "kW", "flatdemandstructure": [[{"rate": 4.56, "adj": 4.291}]], "flatdemandmonths": [0] * 12, "demandrateunit": "kW",
        "demandratestructure": [[{"rate": rate}] for rate in (0, 3.3, 4.3, 9.7)], "demandweekendschedule": FLAT,
        "demandweekdayschedule": rows({range(10, 20): 1, range(13, 17): 3}, {range(13, 17): 2}),
        "energyratestructure": [[{"unit": "kWh", "rate": rate, "adj": 0.10499}] for rate in (0.03798, 0.05464, 0.05464, 0.03356, 0.05365, 0.05991)],
        "energyweekdayschedule": _LADWP, "energyweekendschedule": [[int(month in SUMMER)] * 24 for month in range(12)],
    },
    "6776fc805a742cce3901ecd8": {
        "utility": "Florida Power & Light Co.", "name": "GSLD-1 (General Service Large Demand)", "sector": "Commercial", "servicetype": "Bundled",
        "eiaid": 6452, "startdate": 1735714800, "peakkwcapacitymin": 500, "peakkwcapacitymax": 2000, "demandunits": "kW",
        "flatdemandunit": "kW", "flatdemandstructure": [[{"rate": 13.59, "adj": 2.06}]], "flatdemandmonths": [0] * 12, "demandrateunit": "kW",
        "energyratestructure": [[{"unit": "kWh", "rate": 0.01958, "adj": 0.03544}]], "energyweekdayschedule": FLAT, "energyweekendschedule": FLAT,
        "dgrules": "Net Metering", "fixedchargefirstmeter": 88.67, "fixedchargeunits": "$/month", "mincharge": 6833.67, "minchargeunits": "$/month",
    },
    "68c0ca32d7afaa668b0dc6fb": {
        "utility": "Sacramento Municipal Utility District", "name": "CI-TOD3: Commercial and Industrial TOD Secondary (500-999 kW)",
        "sector": "Commercial", "servicetype": "Bundled", "eiaid": 16534, "startdate": 1746057600, "approved": False, "mindemand": 500.0,
        "supercedes": "66635e3c5f3c73de780e30f8", "sourceReference": "www.smud.org, CI-TOD2", "maxdemand": 999.0, "demandunits": "kW", "serviceMax": 12000.0,
        "flatDemandUnits": "kW", "flatdemandstructure": [[{"rate": 5.539}]], "flatdemandmonths": [0] * 12, "demandRateUnits": "kW",
        "demandratestructure": [[{"rate": 0.0}], [{"rate": 11.609}]], "demandweekdayschedule": rows({range(16, 21): 1}, {}),
        "demandweekendschedule": FLAT, "dgRules": "Net Metering", "fixedchargefirstmeter": 2339.5, "fixedchargeunits": "$/month",
        "energyratestructure": [[{"unit": "kWh", "rate": rate, "adj": 0.0003}] for rate in (0.1405, 0.116, 0.075, 0.2294, 0.1118)],
        "energyweekdayschedule": _SMUD, "energyweekendschedule": [[4 if month in SUMMER else 1] * 24 for month in range(12)],
    },
}  # fmt: skip
TOLD = {
    "55fc81d7682bea28da64f9ae": ("commercial", "ended on 2015-12-31", "California Climate credit", "Facilties Voltage", "peakkwcapacitymax: 200",
                                 "voltageminimum", "Time of day demand charges"),
    "6776f98328a262f68a0081be": ("Fuel Charge", "Transition Credit", "own generation", "peakkwcapacitymin: 500", "holidays"),
    "64fa78e8f757c94ea209a3a1": ("reactive power (demandreactivepowercharge): 0.141", "ended on 2023-12-31"),
    "6758b27bd731a5d4d806802e": ("optional meter data access charge", "peakkwcapacitymax: 500"),
    "67c1f1c74737dd843e060fe8": ("electric vehicle discount", "voltageminimum: 34500"),
    "6776fc805a742cce3901ecd8": ("peakkwcapacitymax: 2000",),
    "68c0ca32d7afaa668b0dc6fb": ("maxdemand: 999", "own generation: Net Metering", "serviceMax: 12000"),
    "67b78db9c1ba7352cd0c0853": ("its service is Delivery with Standard Offer",),
}  # fmt: skip
"""What the import must tell of each."""
