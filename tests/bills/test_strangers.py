"""Downloads of utilities in ten countries as strangers have them, each written here in its layout: read right, asked, or refused."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from costsim.bills.model import Bills
from costsim.bills.read import HowToRead, read_bill_file
from costsim.errors import InputError

KWH, THERM, CCF, MJ, GALLON, LITER = 3.6e6, 105.505585262e6, 100 * 0.3048**3, 1e6, 3.785411784e-3, 1e-3
BY_MONTH = (142, 128, 101, 61, 33, 18, 14, 13, 17, 48, 88, 124)
FIRSTS = [date(2023 + (9 + i) // 12, (9 + i) % 12 + 1, 1) for i in range(15)]
MONTHS = list(pairwise(FIRSTS))
USE = [BY_MONTH[first.month - 1] for first, _ in MONTHS]
DELIVERED = [
    (date(2022, 9, 14), 2210.0),
    (date(2023, 2, 2), 1820.5),
    (date(2023, 9, 20), 1950.0),
    (date(2024, 1, 29), 1766.0),
]
NAMES = [f"{date(2024, month, 1):%b}" for month in range(1, 13)]
DUTCH = (
    "januari",
    "februari",
    "maart",
    "april",
    "mei",
    "juni",
    "juli",
    "augustus",
    "september",
    "oktober",
    "november",
    "december",
)
LONG_FRENCH = (
    "janvier",
    "février",
    "mars",
    "avril",
    "mai",
    "juin",
    "juillet",
    "août",
    "septembre",
    "octobre",
    "novembre",
    "décembre",
)
SPANISH = (
    "enero",
    "febrero",
    "marzo",
    "abril",
    "mayo",
    "junio",
    "julio",
    "agosto",
    "septiembre",
    "octubre",
    "noviembre",
    "diciembre",
)
FRENCH = ("janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc.")
Row = Callable[[date, date, int], str]


def bills(head: str, row: Row) -> str:
    """A table of fourteen bills: first day, first day of the next one, use."""
    return "\n".join([head, *(row(first, end, use) for (first, end), use in zip(MONTHS, USE, strict=True))])


def german(value: float) -> str:
    return f"{value:,.2f}".replace(",", "_").replace(".", ",").replace("_", ".")


def last(end: date) -> date:
    return end - timedelta(days=1)


def read(raw: str | bytes, name: str = "use.csv", **how: str) -> list[Bills]:
    return read_bill_file(name, content=raw.encode() if isinstance(raw, str) else raw, how=HowToRead(**how))


def register(states: Sequence[float], row: Callable[[date, float, int], str], head: str) -> str:
    return "\n".join([head, *(row(day, state, i) for i, (day, state) in enumerate(zip(FIRSTS, states, strict=True)))])


STATES = [4120.0, *(4120.0 + np.cumsum(USE))]
CHANGED = [f"{day:%m/%d/%Y},{'G1' if i < 7 else 'G2'},{state - (0 if i < 7 else 4000)},Actual"
    for i, (day, state) in enumerate(zip(FIRSTS, STATES, strict=True))]  # fmt: skip
CHANGED.insert(6, f"{FIRSTS[6]:%m/%d/%Y},G1,{STATES[6]},Removed")
CHANGED[7] = f"{FIRSTS[6]:%m/%d/%Y},G2,{STATES[6] - 4000},Installed"
TOLD = {
    "level payments beside what was charged": (
        bills("Account: 000\n\nStart Date,End Date,Days,Therms Used,Budget Billing Amount,Actual Charges,Credits",
              lambda a, b, u: f'{a:%m/%d/%Y},{b:%m/%d/%Y},{(b - a).days},{u},"$118.00","${u * 1.21:.2f}",-5.00'),
        "natural_gas", THERM, USE, "what was paid is taken from 'Actual Charges'"),
    "payments between the bills": (
        bills("Date,Activity,Therms,Amount", lambda _, b, u: f"{b:%m/%d/%y},Bill,{u},{u}\n{b + timedelta(18):%m/%d/%y},Payment - Thank You,,-{u}"),
        "natural_gas", THERM, USE[1:], "14 rows of payments and fees, without use, are left out"),
    "years beside each other with their unit": (
        "Month,2023 (therms),2024 (therms)\n" + "\n".join(f"{n},{BY_MONTH[i] + 5},{BY_MONTH[i]}" for i, n in enumerate(NAMES)),
        "natural_gas", THERM, [*(one + 5 for one in BY_MONTH), *BY_MONTH], ""),
    "last year beside this one": (
        bills("Month,This Year Therms,Last Year Therms", lambda a, _, u: f"{a:%b %Y},{u},{u + 5}"), "natural_gas", THERM, USE, ""),
    "a meter taken out and another put in on one day": (
        "\n".join(["Read Date,Meter Number,Meter Reading (CCF),Read Type", *CHANGED]), "natural_gas", CCF, USE,
        "at line 9 another meter goes on where the one before it ends"),
    "thousands of cubic feet beside dekatherms": (
        bills("BILL DATE;READ DATE;MCF;DKT", lambda _, b, u: f"{b + timedelta(3):%m-%d-%Y};{b:%m-%d-%Y};{u / 10.37:.2f};{u / 10:.1f}"),
        "natural_gas", THERM, USE[1:], ""),
    "a British gas bill": (
        bills("Bill period,Units used (m³),Volume correction factor,Calorific value (MJ/m3),kWh,Cost",
              lambda a, b, u: f"{a:%d %b %Y} - {last(b):%d %b %Y},{u},1.02264,39.5,{u * 11},£{u}"),
        "natural_gas", 11 * KWH, USE, "fuel taken from the word 'Units used (m³)' in the file"),
    "British gas by the half hour": (
        "Consumption (m³),kwh, Start, End\n" + "\n".join(
            f"{0.1 + i % 3},{(0.1 + i % 3) * 11.2:.3f},{datetime(2024, 1, 1) + i * timedelta(minutes=30):%Y-%m-%dT%H:%M:%SZ},"
            f"{datetime(2024, 1, 1, 0, 30) + i * timedelta(minutes=30):%Y-%m-%dT%H:%M:%SZ}" for i in range(480)),
        "natural_gas", 48 * 1.1 * 11.2 * KWH, [1.0] * 10, ""),
    "volumes at the meter, corrected": (
        bills("From,To,Metered volume (m³),Correction factor",
                lambda a, b, u: f"{a},{b},{u},1.02"), "natural_gas", 1.02, USE, "multiplied by 'Correction factor'"),
    "a German yearly bill of gas": (
        bills("Stelle: Weg 1;;;;;\n\nvon;bis;Verbrauch m³;Zustandszahl;Brennwert kWh/m³;Verbrauch kWh",
              lambda a, b, u: f"{a:%d.%m.%Y};{last(b):%d.%m.%Y};{u * 2};0,9532;11,321;{german(u * 2 * 10.8)[:-3]}")
        + f"\nSumme;;{2 * sum(USE)};;;", "natural_gas", KWH, [int(german(u * 2 * 10.8)[:-3].replace(".", "")) for u in USE], "decimal commas"),
    "German heating oil": (
        "Bezug von Heizöl EL;;;\nLieferdatum;Menge (Liter);Preis je 100 l;Betrag brutto\n" +
            "\n".join(f"{d:%d.%m.%Y};{german(v)};98,10 €;{german(v)} €" for d, v in DELIVERED),
        "heating_oil", LITER, [v for _, v in DELIVERED[1:]], ""),
    "German pellets in tonnes": (
        "Datum;Lieferung Pellets (t);Preis EUR/t\n" + "\n".join(f"{d:%d.%m.%Y};{german(v / 500)};301,00" for d, v in DELIVERED),
        "pellets", 1000.0, [round(v / 500, 2) for _, v in DELIVERED[1:]], ""),
    "American pellets in tons": (
        "Date,Tons of pellets,Cost per ton,Total cost\n" + "\n".join(f"{d:%m/%d/%Y},{v / 1000:.2f},$289.00,${v:.2f}" for d, v in DELIVERED),
        "pellets", 907.18474, [round(v / 1000, 2) for _, v in DELIVERED[1:]], "tons of 2,000 lb are meant"),
    "American oil with degree-days and a K-factor": (
        "Date,Product,Gallons,Price,Amount,DD,K-Factor\n" +
            "\n".join(f"{d:%m/%d/%y},#2 Heating Oil,{v / 10:.1f},3.399,{v:.2f},900,6.2" for d, v in DELIVERED),
        "heating_oil", GALLON, [round(v / 10, 1) for _, v in DELIVERED[1:]], ""),
    "propane by the cylinder": (
        "Delivery date,Propane cylinders (45 kg),kg,Cost\n" + "\n".join(f"{d:%d/%m/%Y},{i + 1},{45 * (i + 1)},$150" for i, (d, _) in enumerate(DELIVERED)),
        "propane", 45 / 507.0, [2, 3, 4], "0.507 kg/L, value from memory"),
    "British kerosene": (
        "Delivery date,Product,Litres,Pence per litre\n" + "\n".join(f"{d:%d/%m/%Y},Kerosene (28s),{v:.0f},61.2" for d, v in DELIVERED),
        "heating_oil", LITER, [float(f"{v:.0f}") for _, v in DELIVERED[1:]], ""),
    "firewood in stères": (
        "Date de livraison;Bois (stères);Prix TTC\n" + "\n".join(f"{d:%d/%m/%Y};{i + 4};300 €" for i, (d, _) in enumerate(DELIVERED)),
        "wood", 1.0, [5, 6, 7], ""),
    "French gas by the month": (
        bills("Période;Volume (m3);Coefficient de conversion (kWh/m3);Consommation (kWh)",
              lambda a, _, u: f"{FRENCH[a.month - 1]} {a.year};{u * 2};11,21;"
              + f"{u * 22:,}".replace(",", "\u202f")), "natural_gas", 22 * KWH, USE, ""),
    "French gas by the day": (
        "\ufeffJournée gazière;Index (m3);Volume consommé (m3);Énergie consommée (kWh);Température locale (°C)\n" + "\n".join(
            f"{date(2023, 10, 1) + timedelta(i):%d/%m/%Y};{1000 + 4 * i};4,0;45;{5 + i % 9},3" for i in range(60)),
        "natural_gas", 45 * KWH, [1] * 60, ""),
    "Spanish gas": (
        bills("Nº factura;Fecha inicio;Fecha fin;Consumo gas (kWh);Importe (€)",
                lambda a, b, u: f"F1;{a:%d/%m/%Y};{last(b):%d/%m/%Y};{german(u * 29.3)};{german(u)}"),
        "natural_gas", 29.3 * KWH, USE, ""),
    "Spanish hours that end with the day of 23": (
        "CUPS;Fecha;Hora;AE_kWh;AS_kWh;REAL/ESTIMADO\n" + "\n".join(
            f"ES0;{day:%d/%m/%Y};{hour};1,5;0;R" for i in range(60) for day in [date(2024, 2, 1) + timedelta(i)]
            for hour in range(1, 24 if day == date(2024, 3, 31) else 25)),
        "electricity", 1.5 * KWH, [24] * 59 + [23], ""),
    "Italian gas": (bills("Periodo;Consumo Smc;Importo", lambda a, b, u: f"{a:%d/%m/%Y}-{last(b):%d/%m/%Y};{u};{german(u)}"), "natural_gas", 1.0, USE, ""),
    "Australian gas, whose thousands other columns tell": (
        "Billing period,Number of days,Usage (MJ),Average daily usage (MJ),Amount (AUD)\n" + "\n".join(
            f'{a:%d %b %Y} to {last(b):%d %b %Y},{(b - a).days},"{4120 + 10 * i:,}",{(4120 + 10 * i) / (b - a).days:.1f},$164.80'
            for i, (a, b) in enumerate(MONTHS)), "natural_gas", MJ, [4120 + 10 * i for i in range(14)], ""),
    "New Zealand with a.m. and p.m.": (
        "ICP,Start date,End date,Usage (kWh)\n" + "\n".join(
            f"TR,{t:%d/%m/%Y %I:%M:%S %p},{t + timedelta(minutes=59, seconds=59):%d/%m/%Y %I:%M:%S %p},1.5".replace("AM", "a.m.").replace("PM", "p.m.")
            for i in range(480) for t in [datetime(2024, 5, 15) + timedelta(hours=i)]), "electricity", 36 * KWH, [1] * 20, ""),
    "Japanese gas": (bills("ご使用年月,ご使用量(m3),ご請求金額(円)", lambda a, _, u: f'{a.year}年{a.month}月,{u},"{u * 1600:,}"').encode("cp932"),
                     "natural_gas", 1.0, USE, "letters read as Shift JIS"),
    "headings broken over lines": (
        '"Billing\nPeriod\nStart","Billing\nPeriod\nEnd","Electricity\nUsed\n(kWh)","Charges\n($)"\n' + bills("",
                lambda a, b, u: f'{a:%m/%d/%Y},{b:%m/%d/%Y},"{u * 20:,}","{u}.00"'),
        "electricity", 20 * KWH, USE, ""),
    "estimates lettered behind the register": (
        bills("Read date,Reading,Usage therms", lambda _, b, u: f"{b:%m/%d/%Y},{b.toordinal()} {'E' if b.month == 3 else 'A'},{u}"),
        "natural_gas", THERM, [*USE[1:4], USE[4] + USE[5], *USE[6:]], "1 estimated or partial readings were put together"),
    "day and night units beside a standing charge": (
        bills("Bill date,Day units (kWh),Night units (kWh),Standing charge",
                lambda _, b, u: f"{b:%d/%m/%Y},{u * 4},{u * 3},£14.10"), "electricity", 7 * KWH, USE[1:], ""),
    "gas by a word above the table": (
        bills("Gas statement,,\nMPRN,0000000000,\nFrom,To,kWh used",
                lambda a, b, u: f"{a:%d/%m/%Y},{last(b):%d/%m/%Y},{u * 29}"), "natural_gas", 29 * KWH, USE, ""),
    "gas in CCF beside the same gas in kWh": (bills("start,end,CCF,kWh",
            lambda a, b, u: f"{a},{b},{u},{u * 30.3:.0f}"), "natural_gas", KWH, [float(f"{u * 30.3:.0f}") for u in USE], ""),
    "months of a year as headings with their unit": (
        "Account," + ",".join(f"{name}-24 Therms" for name in NAMES)
                + "\n0001," + ",".join(map(str, BY_MONTH)) + "\n", "natural_gas", THERM, BY_MONTH, ""),
    "averages a day beside the days": (
        bills("Bill Date,Days,Average therms per day", lambda a, b, u: f"{b:%m/%d/%Y},{(b - a).days},{u / (b - a).days:.4f}"),
        "natural_gas", THERM, USE, "is an average a day, taken times the days of each bill"),
    "a column of A and E": (
        bills("Read date,Therms,A/E",
                lambda _, b, u: f"{b:%m/%d/%Y},{u},{'E' if b.month == 3 else 'A'}"), "natural_gas", THERM, [*USE[1:4], USE[4] + USE[5], *USE[6:]], ""),
    "kinds of reading": (
        bills("From,To,Usage (therms),Usage Type", lambda a, b, u: f"{a},{b},{u},{'EST' if b.month == 3 else 'REG'}"),
        "natural_gas", THERM, [*USE[:4], USE[4] + USE[5], *USE[6:]], "1 estimated or partial readings"),
    "fees between deliveries": (
        "Date,Item,Gallons,Amount\n" + "\n".join(f"{d:%m/%d/%Y},Propane,{v / 10:.1f},{v}\n{d:%m/%d/%Y},Hazmat fee,,9.99" for d, v in DELIVERED),
        "propane", GALLON, [round(v / 10, 1) for _, v in DELIVERED[1:]], "4 rows of payments and fees"),
    "hundreds of cubic feet in words": (
        bills("From,To,Usage (hundred cubic feet)", lambda a, b, u: f"{a},{b},{u}"), "natural_gas", CCF, USE, ""),
    "a register in hundreds of cubic feet": (
        bills("Read date,Reading (ft3 x100)",
                lambda a, _, u: f"{a:%d/%m/%Y},{4000 + sum(USE[: FIRSTS.index(a)])}"), "natural_gas", CCF, USE[:-1], "one CCF holds"),
    "Dutch months": (bills("Maand;Gas (m3)", lambda a, _, u: f"{DUTCH[a.month - 1]} {a.year};{u}"), "natural_gas", 1.0, USE, ""),
    "French dates in words": (
        bills("Date de relevé;Index gaz (kWh)",
                lambda a, _, u: f"1er {LONG_FRENCH[a.month - 1]} {a.year};{1000 + sum(USE[: FIRSTS.index(a)])}"), "natural_gas", KWH, USE[:-1], ""),
    "Spanish dates in words": (bills("Fecha;Gas (kWh);Días",
            lambda a, b, u: f"1 de {SPANISH[b.month - 1]} de {b.year};{u};{(b - a).days}"), "natural_gas", KWH, USE, ""),
    "Japanese electricity with its days": (
        bills("検針日,使用日数,使用量(kWh)", lambda a, b, u: f"{b.year}年{b.month}月{b.day}日,{(b - a).days},{u * 4}"), "electricity", 4 * KWH, USE, ""),
}  # fmt: skip


@pytest.mark.parametrize("name", TOLD)
def test_a_download_is_read_at_the_first_try(name: str) -> None:
    raw, fuel, each, amounts, told = TOLD[name]
    (found,) = read(raw)
    assert found.fuel == fuel
    share = np.array(amounts, dtype=float) / sum(amounts)
    np.testing.assert_allclose(found.energy_j / found.energy_j.sum(), share, rtol=2e-3)
    unit_j = found.energy_j.sum() / sum(amounts)
    if each >= 1e5:
        assert unit_j == pytest.approx(each, rel=1e-3)
    else:  # a volume or mass: by the heat content that the program prints for its fuel
        (one,) = read(
            f"start,end,use ({'kg' if fuel == 'pellets' else 'm3'})\n2024-01-01,2024-02-01,1\n2024-02-01,2024-03-01,1",
            fuel=fuel,
        )
        assert unit_j == pytest.approx(each * one.energy_j[0], rel=1e-3)
    assert told in "; ".join(found.notes)


ASKED = {
    "two fuels by their words": (
        bills("Datum;Stroom verbruik (kWh);Gas verbruik (m³)",
                lambda a, _, u: f"{a:%d-%m-%Y};{u * 3};{u * 2}"), "type --fuel electricity or --fuel natural_gas"),
    "two fuels below merged headings": (
        bills(",,Gas,,Electric,\nFrom,To,Therms,Cost,kWh,Cost", lambda a, b, u: f"{a:%m/%d/%Y},{b:%m/%d/%Y},{u},9.00,{u % 7 + 300},8.00"),
        "type --fuel natural_gas or --fuel electricity"),
    "two fuels of one unit of volume and one of energy": (
        bills("From,To,CCF,kWh", lambda a, b, u: f"{a},{b},{u},{300 + u % 9}"), "type --fuel natural_gas or --fuel electricity"),
    "months of a fiscal year": ("Period,Therms\n" + "\n".join(f"FY24-{i + 1:02},{u}" for i, u in enumerate(USE[:12])),
                                "the periods are those of a fiscal year, which begins in any month; write the calendar month of each"),
    "months of a fiscal year in two columns": ("Fiscal Year,Fiscal Month,Therms\n" +
            "\n".join(f"FY2024,{i + 1},{u}" for i, u in enumerate(USE[:12])), "those of a fiscal year"),
    "a heat content of no known unit": (bills("start,end,Gas (m3),Heat content",
            lambda a, b, u: f"{a},{b},{u},2.5"), "write it into the heading, such as 'heat content (MJ/m3)'"),
    "days as spreadsheets count them": (
        bills("Start,End,Therms",
                lambda a, b, u: f"{(a - date(1899, 12, 30)).days},{(b - date(1899, 12, 30)).days},{u}"), "give column 'Start' the form of a date"),
    "a correction of a hundred": (
        bills("From,To,Metered volume (m³),Correction factor", lambda a, b, u: f"{a},{b},{u},102"), "are no correction of a volume, which are near 1"),
    "one cell of a correction is none": (
        bills("From,To,Metered volume (m³),Correction factor",
            lambda a, b, u: f"{a},{b},{u},{'?' if u == 61 else '1.02'}"), "'?' in column 'Correction factor' is no amount"),
    "digits that are none": ("Month,Therms\n2023²0,5\n2023²1,6\n2023²2,7", "write one row a bill"),
    "gas by the gallon": (bills("From,To,Gas (gal)", lambda a, b, u: f"{a},{b},{u}"), "is propane: type --fuel propane"),
    "two houses in one table": (
        bills("Address,Start,End,Therms", lambda a, b, u: f"1 A St,{a},{b},{u}\n2 B St,{a},{b},{u}"),
        "choose the one that heats the house with --meter '1 A St'"),
    "face cords": ("Date,Wood (face cords)\n2024-01-01,2\n2024-03-01,2", "unit"),
    "a credit as an amount": (bills("Start,End,Therms",
            lambda a, b, u: f"{a},{b},{u if u != 61 else -12}"), "add a credit to the bill that it belongs to"),
}  # fmt: skip


@pytest.mark.parametrize("name", ASKED)
def test_what_stays_open_is_one_sentence_with_the_answer_to_type(name: str) -> None:
    text, words = ASKED[name]
    with pytest.raises(InputError) as caught:
        read(text)
    (line,) = str(caught.value).splitlines()
    assert words in line


def test_the_answer_that_a_question_names_is_taken() -> None:
    for name in list(ASKED)[:3]:
        with pytest.raises(InputError) as caught:
            read(ASKED[name][0])
        (fault,) = caught.value.faults
        assert fault.asks == "fuel"
        for fuel in fault.answers:
            assert f"--fuel {fuel}" in fault.remedy
            (found,) = read(ASKED[name][0], fuel=fuel)
            assert found.fuel == fuel


@pytest.mark.parametrize(
    ("value", "unit"), [(1.03, "therm/CCF"), (11.2, "kWh/m3"), (39.5, "MJ/m3"), (1036.0, "Btu/ft3")]
)
def test_the_numbers_of_a_heat_content_tell_its_unit(value: float, unit: str) -> None:
    (found,) = read(bills("start,end,Gas (m3),Calorific value", lambda a, b, u: f"{a},{b},{u},{value}"))
    assert f"the column of factors is taken as {unit}" in found.notes
    assert 36e6 < found.energy_j.sum() / sum(USE) < 42e6
