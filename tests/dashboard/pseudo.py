"""A language in which every sentence of the catalogue stands in brackets, so that what goes past it is seen."""

from __future__ import annotations

import gettext
import json
import re
from collections.abc import Iterator
from typing import Any

from google.protobuf.json_format import MessageToDict
from streamlit.testing.v1 import AppTest

from costsim import load_weather, read_study, words
from costsim.study.case import Case, built_in_studies, parse_study
from costsim.study_files import sample_names
from costsim.units.fields import in_words
from costsim.units.quantity import pretty_unit
from costsim.units.table import CURRENCIES

UNITS = {
    *CURRENCIES.values(), "kWh", "MWh", "Wh", "kW", "therm", "therms", "gal", "cord", "cords", "US", "SI", "Btu", "kBtu", "MMBtu", "ft",
    "in", "cm", "gpm", "psi", "ftH", "lb", "lbs", "min", "day", "days", "month", "months", "year", "kg", "mm", "kPa", "Pa", "bar", "mPa",
    "degF", "degC", "mH", "CCF", "Mcf", "nan", "AWG", "stacked",
}  # fmt: skip
"""Units, with those of time, as a study's file writes them."""
NAMES = {
    "costsim", "TOML", "JSON", "XML", "HTML", "PDF", "Excel", "Parquet", "csv", "xml", "zip", "txt", "epw", "TMY", "toml", "parquet",
    "NIST", "ASHRAE", "ISO", "EN", "IEC", "NFPA", "ANSI", "ASSE", "ASME", "ASTM", "CSA", "NEC", "UL", "DIN", "VDI", "BPVC", "SI",
    "CoolProp", "PEX", "CO", "Prandtl", "America", "Chicago", "New", "York", "Berlin", "A4", "Handbook", "Haaland", "Darcy", "and",
    "Weisbach", "max", "Gnielinski", "RV", "ET", "BFP", "MV", "CV", "HL", "TV", "UA", "Steady", "Re", "Nu",
}  # fmt: skip
"""Names of files, formats, standards, people and places."""
KEYS = {"mean", "clear", "COLLAPSED", "HIDDEN"}
"""Keys of columns that stand under headings of their own, and of Streamlit's settings."""
SHOWN = ("label", "help", "body", "placeholder", "options", "title", "caption", "alt", "text", "value", "default")


class Pseudo(gettext.NullTranslations):
    """Brackets around what stands in `costsim.pot`; anything else as it came."""

    def __init__(self) -> None:
        super().__init__()
        found = re.findall(r'^msgid(?:_plural)? (".*")$', (words.LOCALE / "costsim.pot").read_text("utf-8"), re.M)
        self.known = {json.loads(text) for text in found} - {""}

    def gettext(self, message: str) -> str:
        return f"⟦{message}⟧" if message in self.known else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def info(self) -> dict[str, str]:
        return {"language": "brackets"}


def shown(app: AppTest) -> Iterator[str]:
    """Every text that stands on a page: sentences, labels, helps, choices, cells, and the words of charts."""
    for tree in (app.main, app.sidebar):
        yield from _of(tree)


def _of(block: Any) -> Iterator[str]:
    for one in getattr(block, "children", {}).values():
        if getattr(one, "children", None) is not None:
            yield from _strings(MessageToDict(one.proto) if getattr(one, "proto", None) is not None else {})
            yield from _of(one)
        elif one.type in ("arrow_data_frame", "arrow_table", "dataframe", "table"):
            yield from map(str, one.value.columns)
            yield from (str(cell) for row in one.value.itertuples(index=True) for cell in row)
        elif one.type == "plotly_chart":
            data = MessageToDict(one.proto)
            yield from _strings({key: value for key, value in data.items() if key != "spec"})
            yield from _of_chart(json.loads(data.get("spec") or data["figure"]["spec"]))
        elif one.type not in ("html", "imgs", "skeleton"):
            yield from _strings(MessageToDict(one.proto))


def _strings(data: Any, key: str = "") -> Iterator[str]:
    if isinstance(data, dict):
        for name, value in data.items():
            yield from _strings(value, name)
    elif isinstance(data, list):
        for value in data:
            yield from _strings(value, key)
    elif isinstance(data, str) and key in SHOWN:
        yield data


def _of_chart(figure: Any) -> Iterator[str]:
    layout = {key: value for key, value in figure.get("layout", {}).items() if key != "template"}
    for part in (*figure.get("data", ()), layout):
        yield from _chart_strings(part)


def _chart_strings(part: Any, key: str = "") -> Iterator[str]:
    if isinstance(part, dict):
        for name, value in part.items():
            yield from _chart_strings(value, name)
    elif isinstance(part, list):
        for value in part:
            yield from _chart_strings(value, key)
    elif isinstance(part, str) and key in ("name", "text", "hovertemplate", "ticktext", "customdata", "hovertext"):
        yield re.sub(r"%\{[^}]*\}|<[^>]*>", " ", part)


def without_brackets(text: str) -> str:
    """What is left of a text once all that was looked up is gone, with what it holds."""
    while (left := re.sub(r"⟦[^⟦⟧]*(?:⟧|…$)", " ", text)) != text:  # a label too long for a drawing ends in dots
        text = left
    return text


def data_of(*studies: str) -> list[str]:
    """What people typed in some studies and what weather and studies are called, which is no language's; the longest first."""
    found: set[str] = {*sample_names(), *built_in_studies(), *map(in_words, built_in_studies())}
    for name in studies:
        study = parse_study(built_in_studies()[name].read_bytes(), file=name)
        found |= set(_typed(study)) | set(study["prices"])
        weather = load_weather(read_study(name))
        found |= {str(weather.title), str(weather.source), str(weather.source).partition(", seed")[0]}
    found |= {one.replace("_", " ") for one in found}
    return sorted((one for one in found if re.search("[A-Za-z]", one)), key=len, reverse=True)


def _typed(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    for one in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _typed(one)


def _without(text: str, data: list[str]) -> str:
    for one in data:
        if one.lower() in text.lower():
            text = re.sub(rf"(?<!\w){re.escape(one)}(?!\w)", " ", text, flags=re.I)
    return text


def english(text: str, data: list[str]) -> list[str]:
    """Words of a text that were not looked up and are no data, unit or name."""
    if text in Case.model_fields or text == pretty_unit(
        "ftH2O"
    ):  # a key of the study in the column of keys; a unit in its menu
        return []
    plain = " ".join(without_brackets(text).replace("\\", "").replace("\u2060", "").split())
    plain = _without(plain, [one for one in data if " " in one])
    plain = _without(re.sub(r"[\w\[\]]+(?:\.[a-z][\w\[\]]*)+", " ", plain), data)
    plain = re.sub(r":material/\w+:|:\w+\[|https?://\S+|\w+_\w+", " ", plain)
    return [one for one in re.findall(r"[A-Za-z]{2,}", plain) if one not in UNITS | NAMES | KEYS]
