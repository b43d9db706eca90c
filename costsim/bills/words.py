"""What a heading of a download names: a role told from its words, before anything below it is looked at."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from costsim.bills.convert import plain_unit
from costsim.units.quantity import UnitError, read_quantity

ENERGY, VOLUME, MASS, POWER = (2, 1, -2, 0, 0), (3, 0, 0, 0, 0), (0, 1, 0, 0, 0), (2, 1, -3, 0, 0)
_ROLES: dict[str, frozenset[str]] = {
    role: frozenset(words.split("|"))
    for role, words in {
        "start": "start|from|begin|beginning|starting|first day|von|beginn|anfang|since|début|debut|desde|inicio",
        "end": "end|to|until|through|thru|ending|last day|bis|ende|fin|hasta",
        "date": "date|unix time|mese|maand|unix timestamp|epoch|utc|readdate|usagedate|startdate|read|reading date|delivered on"
        "|datum|ablesung|ablesedatum|lieferdatum"
        "|day|datetime|timestamp|date time"
        "|fecha|horodate|zeitstempel|tag|read date|period|billing period|bill period|service period|month|monat|mes|mois|bill month|abrechnungszeitraum"
        "|periodo|período|période|zeitraum|年月|対象年月|使用年月|ご使用年月|検針日|日付",
        "time": "readtime|read time|intervaltime|starttime"
        "|time|uhrzeit|heure|zeit|interval|hour|hora|stunde|hr|hour ending|he|settlement period|period|interval number",
        "flag": "estimated|estimate|est|flag|read type|reading type|estimated read|geschätzt|type|code|estimated actual|quality|status"
        "|metodo obtencion|real estimado|método obtención|nature|read quality",
        "away": "away|absent|vacation|away from home|nobody home|leave out|left out",
        "unit": "unit|units|uom|einheit|unit of measure|unidad|unité|unite|måleenhed|enhed|enhet|eenheid",
        "factor": "factor|heat content|heating value|brennwert|therm factor|btu factor|calorific value",
        "days": "使用日数|日数|dagen|giorni|dias|días|days|number of days|days in bill|billing days|days billed|no of days|bill days|service days|tage|jours",
        "register": "registerreadvalue|zählerstand|zaehlerstand|register|register reading|meter read|meter reading|cumulative|stand|end reading|current reading"
        "|current read|total reading|meter index|index|lectura|relevé|closing reading|end read|odometer",
        "amount": "amount|usage|use|used|quantity|qty|consumption|consumed|energy|delivered|delivery|volume|billed|verbrauch|menge|gas"
        "|mængde|forbrug|förbrukning|forbruk|verbruik|electricity|propane|oil|fill|filled|consumo|consommation|import|profilereadvalue|kwh|使用量|ご使用量|value|valeur|wert|reading",
        "meter": "meter|meter number|meter id|meter no|meter serial|serial|serial number|esiid|cups|mpan|mprn|nmi|prm|pod|ean|premise"
        "|account|account number|service point|usage point|service id|location|zähler|zählernummer|zaehlernummer|channel|register id"
        "|meter point|customer|site|address|service address|property|adresse",
    }.items()
}  # fmt: skip
_MONEY = re.compile(
    r"[$€£¥円]|請求|\b(cost|charge|charges|price|paid|bill total|total due|betrag|kosten|usd|eur|amount due|balance|payment|tax|coste|coût|precio)\b",
    re.IGNORECASE,
)
_NOT_USE = {
    "average": {"per", "rate", "avg", "average", "mean", "tariff", "pro", "ratio", "limit"},
    "temperature": {"temp", "temperature", "hdd", "cdd", "degree", "humidity", "temperatur", "weather", "temperatura"},
    "generation": {
        "received",
        "export",
        "exported",
        "exports",
        "solar",
        "surplus",
        "production",
        "pv",
        "outflow",
        "reverse",
    },
}
_GENERATION = (
    "generat",
    "export",
    "einspeis",
    "inject",
    "surplus",
    "feed-in",
    "feedin",
    "produc",
    "producc",
    "vertido",
)
_OTHER_DATES = {
    "revision",
    "issue",
    "issued",
    "invoice",
    "due",
    "paid",
    "posted",
    "published",
    "created",
    "updated",
    "statement",
}
_OF_HEAT = {"heat", "heating", "energy", "conversion", "btu", "therm", "calorific"}
_CORRECTION = re.compile(
    r"\b(volume |pressure |temperature |altitude )?correction factor|\b(pressure|altitude) factor|zustandszahl|\bvcf\b"
)
"""What turns the volume that a gas meter counts into that at standard pressure and temperature."""
_LAST_YEAR = re.compile(
    r"\b(last|previous|prior|preceding) year\b|\byear ago\b|vorjahr|année précédente|année dernière|año anterior|vorig jaar|前年"
)
IS_BOUGHT = re.compile(r"(?<![\d.])1\.8\.\d(?!\d)")
_OBIS_OUT = re.compile(r"(?<![\d.])2\.8\.\d(?!\d)")
"""The register of what is fed into the grid by its code of IEC 62056-61 (value from memory); 1.8.0 is what is bought."""
_BRACKET = re.compile(r"[\[(]([^\])]{0,60})[\])]")
_COUNTED = re.compile(r"\d{1,4}(?:\.\d{1,2})? [A-Za-z]")
_MARKS = re.compile(r"[^\w$€£³]")
LONGEST, LONGEST_UNIT = 120, 24


def words_of(heading: str) -> str:
    """Words of a heading in small letters, without what stands in brackets."""
    plain = _BRACKET.sub(" ", heading[:LONGEST]).lower()
    return " ".join(_MARKS.sub(" ", plain).replace("_", " ").split())


@lru_cache(maxsize=10_000)
def dims_of(text: str) -> tuple[int, ...] | None:
    """Dimensions of a unit; None where the text is none."""
    if len(text) > LONGEST_UNIT or not any(letter.isalpha() for letter in text):
        return None
    try:
        return read_quantity(text if _COUNTED.match(text) else f"1 {text}").dims
    except UnitError:
        return None


def is_unit(text: str) -> bool:
    """Whether a text names a unit of energy, volume or mass."""
    return dims_of(text) in (ENERGY, VOLUME, MASS)


def is_factor_unit(text: str) -> bool:
    """Whether a text names a heat content."""
    return dims_of(text) in ((-1, 1, -2, 0, 0), (2, 0, -2, 0, 0))


def unit_in(heading: str) -> str:
    """Find the unit that a heading tells, in brackets or as a word of its own."""
    heading = heading[:LONGEST]
    if (packed := _PACKED.search(heading)) and is_unit(_known(packed[2].lower())):
        return f"{packed[1]} {_known(packed[2].lower())}"
    if _FACE_CORD.search(heading):
        return ""
    if cubic := _CUBIC_FEET.search(heading):
        return "Mcf" if "thous" in cubic[0].lower() or "1000" in cubic[0].replace(",", "") else "CCF"
    words = [
        word for word in re.split(r"[\s,_()\[\]]", heading) if word not in ("t", "T", "l", "rm")
    ]  # units in brackets alone
    pairs = [f"{word} {other}" for word, other in pairwise(words) if word.lower() in ("metric", "short")]
    for candidate in [*_BRACKET.findall(heading), *pairs, *words]:
        text = candidate.strip()
        for form in (text, text.rstrip("."), text.lower(), text[:-1].lower() + "h" if text[-1:] == "H" else text):
            if form and (is_unit(_known(form)) or dims_of(form) == POWER or is_factor_unit(form)):
                return _known(form)
    return ""


_CUBIC_FEET = re.compile(
    r"\b(?:100|1,?000|hundreds?|thousands?)(?: of)? (?:cubic feet|cu\.? ?ft|ft3|ft³|cf)\b|(?:cubic feet|cu\.? ?ft|ft3|ft³) ?[x×*] ?1,?000?\b",
    re.IGNORECASE,
)
_FACE_CORD = re.compile(r"\bface[ -]?cords?\b|\bricks?\b", re.IGNORECASE)
"""Stacks of no fixed volume."""
_PACKED = re.compile(
    r"\b(?:bag|sack|bottle|cylinder|tote)s?\b[^\d]{0,12}?(\d{1,4}(?:\.\d{1,2})?)[ \-]?([a-z]{1,4})\b", re.IGNORECASE
)
"""So much in each of what is counted, such as ``bags (40 lb)``."""
_SPELLED = {
    f"{word}{mark}{unit}": "kWh" for word in ("kilowatt",) for mark in ("", "-") for unit in ("hours", "hour", "stunden")
}  # fmt: skip


def _known(form: str) -> str:
    low = form.lower()
    return {"wh": "Wh", "kw": "kW", **_SPELLED}.get(low) or (plain_unit(form) if low not in _NO_UNITS else form)


_NO_UNITS = {"therm", "therms", "gal", "gallon", "gallons", "cord", "cords"}
"""Units as their headings write them, which the notes repeat."""


@lru_cache(maxsize=10_000)
def role_of(heading: str) -> str:
    """Say what a heading names: a role, ``"money"``, or nothing.

    Examples
    --------
    >>> [role_of(h) for h in ("Service start", "Usage (kWh)", "Read Date", "Cost ($)", "Est.", "Therms", "Note")]
    ['start', 'amount', 'date', 'money', 'flag', 'amount', '']
    >>> [role_of(h) for h in ("kWh (Delivered)", "kWh (Received)", "2.8.0 [kWh]", "Product")]
    ['amount', 'generation', 'generation', '']
    >>> [role_of(h) for h in ("Rate per therm", "Generation (kWh)", "Meter Read", "START TIME", "Number of Days", "ESIID")]
    ['average', 'generation', 'register', 'start', 'days', 'meter']
    """
    words = words_of(heading)
    tokens = set(words.split())
    bracketed = {word for part in _BRACKET.findall(heading[:LONGEST]) for word in _MARKS.sub(" ", part).lower().split()}
    if _MONEY.search(heading[:LONGEST]):
        return "money"
    unit = unit_in(heading)
    if _LAST_YEAR.search(words):
        return "average"
    if _CORRECTION.search(words):
        return "correction"
    if words in _ROLES["factor"] or is_factor_unit(unit) or any(len(k) > 6 and k in words for k in _ROLES["factor"]):
        return "factor"
    if "factor" in tokens:
        return "factor" if tokens & _OF_HEAT else ""
    for role, banned in _NOT_USE.items():
        if tokens & banned:
            return role
    went_out = bracketed & _NOT_USE["generation"] or any(
        token.startswith(_GENERATION) for token in {*tokens, *bracketed} - {"product"}
    )
    if went_out or _OBIS_OUT.search(heading[:LONGEST]):
        return "generation"
    for role in ("away", "days", "unit", "flag", "register", "meter"):
        if words in _ROLES[role] or any(
            len(k) > 7 and k in words for k in _ROLES[role] if role in ("unit", "flag", "register")
        ):
            return role
    for role in ("start", "end"):
        if any(known in tokens if " " not in known else known in words for known in _ROLES[role]):
            return role
    if "date" in tokens or words in _ROLES["date"]:
        return "date"
    if unit and dims_of(unit) == POWER:
        return "power"
    if unit or tokens & _ROLES["amount"]:
        return "amount"
    if words in _ROLES["time"] or tokens & {"hour", "time"}:
        return "time"
    return "date" if "datum" in words else ""


def goes_out(cell: str) -> bool:
    """Whether a word or code of a cell names what is fed into the grid.

    Examples
    --------
    >>> [goes_out(one) for one in ("Received", "1-0:2.8.0", "1-0:1.8.0", "Delivered", "Propane, product 2")]
    [True, True, False, False, False]
    """
    low = cell[:LONGEST].lower()
    return any(word in low for word in _OUT) or _OBIS_OUT.search(low) is not None


_OUT = ("generat", "export", "surplus", "received", "solar", "einspeis", "inject", "vertido")


def is_other_date(heading: str) -> bool:
    """Whether a heading names a date that has nothing to do with the time of use."""
    return bool(set(words_of(heading).split()) & _OTHER_DATES)
