"""Sessions of the dashboard over real HTTP and WebSocket, without a browser: the same messages, read and written by us."""

from __future__ import annotations

import io
import tomllib
from dataclasses import dataclass, field
from typing import Any

import pyarrow as pa
import websocket
from streamlit.navigation.page import calc_hash
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from costsim import load_weather, simulate
from costsim.dashboard.widgets import numbers_of
from costsim.study.case import built_in_studies, case_from
from costsim.views.tables import season_rows


@dataclass
class Session:
    """One visitor: what stands on the page after the last run, by kind of element."""

    url: str
    query: str = ""
    texts: dict[str, Any] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)
    tables: list[list[dict[str, str]]] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    boxes: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        address = self.url.replace("http", "ws") + "/_stcore/stream"
        self._socket = websocket.create_connection(address, subprotocols=["streamlit"], origin=self.url, timeout=300)
        self.run()

    def run(self, page: str = "", opened: str = "", **values: str) -> None:
        """Run a page once, with a box opened; `values` are texts by the end of their field's key, dots as two underscores."""
        message = BackMsg()
        message.rerun_script.query_string = self.query
        message.rerun_script.page_script_hash = calc_hash(page)
        for name, value in values.items():
            key = name.replace("__", ".")
            state = message.rerun_script.widget_states.widgets.add()
            state.id, state.string_value = next(one.id for at, one in self.texts.items() if at.endswith(key)), value
        if opened:
            state = message.rerun_script.widget_states.widgets.add()
            state.id, state.bool_value = self.boxes[opened], True
        self._socket.send_binary(message.SerializeToString())
        self._listen()

    def _listen(self) -> None:
        self.texts, self.words, self.tables, self.errors = {}, [], [], []
        while True:
            message = ForwardMsg.FromString(self._socket.recv())
            kind = message.WhichOneof("type")
            if kind == "delta" and message.delta.WhichOneof("type") == "new_element":
                self._take(message.delta.new_element)
            elif kind == "delta" and message.delta.WhichOneof("type") == "add_block":
                for box in (message.delta.add_block, message.delta.add_block.expandable):
                    self.boxes[box.id.split("-", 2)[-1]] = box.id
            elif kind == "script_finished" and message.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY:
                return
            elif kind == "script_finished" and message.script_finished == ForwardMsg.FINISHED_EARLY_FOR_RERUN:
                self.texts, self.words, self.tables, self.errors = {}, [], [], []

    def _take(self, element: Any) -> None:
        kind = element.WhichOneof("type")
        if kind == "text_input":
            one = element.text_input
            self.texts[one.id.split("-", 2)[-1]] = one
            self.words.append(one.value if one.set_value else one.default)
        elif kind == "exception":
            self.errors.append(f"{element.exception.type}: {element.exception.message}")
        elif kind == "alert":
            self.words.append(element.alert.body)
        elif kind in ("heading", "text", "markdown"):
            self.words.append(getattr(element, kind).body)
        elif kind == "dataframe" and element.dataframe.editing_mode == element.dataframe.READ_ONLY:
            table = pa.ipc.open_stream(io.BytesIO(element.dataframe.arrow_data.data)).read_all()
            self.tables.append(table.to_pylist())
            self.words += [str(value) for row in table.to_pylist() for value in row.values()]

    def close(self) -> None:
        """Leave."""
        self._socket.close()


def expected(name: str, price: float) -> list[list[Any]]:
    """Rows of the first table that a session should see, computed here."""
    data = tomllib.loads(built_in_studies()["lantern_cottage"].read_text(encoding="utf-8"))
    data["option"][0]["name"] = name
    data["prices"]["electricity"]["energy"] = f"{price} $/kWh"
    case = case_from(data)
    rows = season_rows(simulate(case, load_weather(case)), "us")[1]
    columns: list[list[Any]] = [list(column) for column in zip(*rows, strict=True)]
    for at, column in enumerate(columns):
        if at and (numbers := numbers_of(column)) is not None:
            columns[at] = [None if number != number else number for number in numbers]
    return [list(row) for row in zip(*columns, strict=True)]


def visit(session: Session, number: int, turn: int) -> list[str]:
    """One visitor changes a name and a price; every value on the page must be this visitor's. Says what is not."""
    name, price = f"Visitor {number} turn {turn}", round(0.1 + number / 1000 + turn / 1e5, 6)
    session.run("sources")
    session.run("sources", **{"option[1].name": name})
    session.run("prices")
    session.run("prices", prices__electricity__energy=f"{price} $/kWh")
    session.run()
    session.run(opened="decide/figures")
    wrong = list(session.errors)
    strangers = [word for word in session.words if "Visitor " in word and name not in word]
    wrong += [f"{name} sees {word!r}" for word in strangers]
    rows = [list(row.values()) for row in session.tables[0]] if session.tables else []
    if rows != expected(name, price):
        wrong.append(f"{name} sees {rows[:2]}")
    return wrong
