"""A small XML file as a tree of named elements that remember whether they were used; no document type, bounded in all ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from costsim.errors import Fault, InputError

MOST_BYTES, MOST_ELEMENTS, MOST_DEEP, LONGEST_TEXT = 20_000_000, 300_000, 64, 10_000
_REMEDY = "export the building again"


@dataclass(slots=True, eq=False)
class Element:
    """One element: its local name, identity, text and children; `used` once its text was asked for."""

    name: str
    identity: str = ""
    text: str = ""
    children: list[Element] = field(default_factory=list)
    used: bool = False

    def all(self, path: str) -> Iterator[Element]:
        """Elements at a path of names, such as ``"Walls/Wall"``."""
        first, _, rest = path.partition("/")
        for child in self.children:
            if child.name == first:
                if rest:
                    yield from child.all(rest)
                else:
                    yield child

    def first(self, path: str) -> Element | None:
        """The first element at a path."""
        return next(self.all(path), None)

    def value(self, path: str) -> str:
        """Text of the first element at a path, which counts as used; empty where there is none."""
        element = self.first(path)
        if element is None:
            return ""
        element.used = True
        return element.text

    def number(self, path: str) -> float | None:
        """Number at a path; None where there is none, or no finite one."""
        try:
            value = float(self.value(path))
        except ValueError:
            return None
        return value if abs(value) < 1e12 else None

    def unused(self, path: str = "") -> Iterator[str]:
        """Paths of texts that nobody asked for."""
        here = f"{path}/{self.name}" if path else self.name
        if self.text and not self.children and not self.used:
            yield here
        for child in self.children:
            yield from child.unused(here)


def read_tree(raw: bytes, file: str) -> Element:
    """Read XML into a tree.

    Raises
    ------
    InputError
        It is no whole XML, declares a document type, or is beyond measure.
    """
    if len(raw) > MOST_BYTES:
        raise InputError(Fault("", f"is {len(raw) / 1e6:.0f} MB large", "a building has less than 20 MB", file))
    root = Element("")
    stack, count = [root], 0
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal count
        count += 1
        if count > MOST_ELEMENTS or len(stack) > MOST_DEEP:
            raise ValueError("more elements than a building has")
        identity = attributes.get("id") or attributes.get("idref") or ""
        element = Element(tag.rpartition("}")[2][:100], identity[:100])
        stack[-1].children.append(element)
        stack.append(element)

    def end(_: str) -> None:
        element = stack.pop()
        element.text = element.text.strip()

    def characters(text: str) -> None:
        if len(stack[-1].text) + len(text) <= LONGEST_TEXT:
            stack[-1].text += text

    def document_type(*_: object) -> None:
        raise ValueError("a document type, which no building needs and which can do harm")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler, parser.StartDoctypeDeclHandler = characters, document_type
    try:
        parser.Parse(raw, True)
    except expat.ExpatError as error:
        raise InputError(Fault("", f"is no whole XML file ({error})", _REMEDY, file)) from None
    except (ValueError, LookupError) as error:
        raise InputError(Fault("", f"has {error}", _REMEDY, file)) from None
    return root.children[0]
