"""What a report is made of: a few kinds of blocks, frozen, without a trace of how they will look."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields, is_dataclass, replace
from typing import Any, Literal

from costsim.words import spoken, tr


@dataclass(frozen=True, slots=True)
class Heading:
    """Opens a section; `numbered` ones are counted by the page."""

    text: str
    kind: Literal["heading"] = "heading"


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `weight` is ``answer`` for the sentence on top, ``small`` for notes."""

    text: str
    weight: Literal["answer", "plain", "small"] = "plain"
    kind: Literal["text"] = "text"


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels and values side by side."""

    rows: tuple[tuple[str, str], ...]
    kind: Literal["facts"] = "facts"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings. `aligned` has a letter for each column: left, right, w for text that wraps, W for twice its width.

    `marks` are words that are set apart in their cells, such as a verdict of "fail".
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    aligned: str
    note: str = ""
    marks: tuple[str, ...] = ()
    kind: Literal["table"] = "table"


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing as SVG, with its title and what it shows in words."""

    title: str
    svg: str
    about: str
    kind: Literal["chart"] = "chart"


@dataclass(frozen=True, slots=True)
class Items:
    """Short texts, each with a lead and a line in small print; `columns` side by side where there is room."""

    items: tuple[tuple[str, str, str], ...]
    columns: int = 1
    kind: Literal["items"] = "items"


@dataclass(frozen=True, slots=True)
class Signatures:
    """Who signs, and for what."""

    rows: tuple[tuple[str, str], ...]
    kind: Literal["signatures"] = "signatures"


Block = Heading | Text | Facts | Table | Chart | Items | Signatures


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report: the page to sign, the inspector's page (none for a household), then the calculation sheet.

    `paper` is ``"letter"`` or ``"a4"``.
    """

    title: str
    note: str
    made_by: str
    system: str
    paper: str
    sign: tuple[Block, ...]
    inspect: tuple[Block, ...]
    sheet: tuple[Block, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Everything in order."""
        return (*self.sign, *self.inspect, *self.sheet)

    def plain(self) -> dict[str, Any]:
        """The report as plain data."""
        return asdict(self)


def labels() -> dict[str, str]:
    """What every report's pages say beside their blocks, in the reader's language."""
    return {
        "language": spoken() or "en",
        "sign": tr("Page to sign"),
        "line": tr("name, date, signature"),
        "inspect": tr("For the inspector"),
        "sheet": tr("Calculation sheet"),
    }


def cleaned(value: Any) -> Any:
    """Take control characters, which no drawing can hold, out of every text of a report, block or tuple.

    Examples
    --------
    >>> cleaned(Text("one" + chr(8) + "two" + chr(10) + "three")).text
    'one two three'
    """
    if isinstance(value, str):
        return "".join(letter if letter.isprintable() or ord(letter) > 0xA0 else " " for letter in value)
    if isinstance(value, tuple):
        return tuple(cleaned(part) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{field.name: cleaned(getattr(value, field.name)) for field in fields(value)})
    return value


def table(
    title: str,
    headings: list[str],
    rows: list[list[str]],
    aligned: str,
    note: str = "",
    marks: tuple[str, ...] = (),
) -> Table:
    """Make a table, refusing rows that do not fit their headings.

    Raises
    ------
    ValueError
        A row is longer or shorter than the headings.
    """
    if any(len(row) != len(headings) for row in rows) or len(aligned) != len(headings):
        raise ValueError(f"table '{title}' has rows that do not fit its headings")
    return Table(title, tuple(headings), tuple(tuple(row) for row in rows), aligned, note, marks)
