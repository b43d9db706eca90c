"""The rules of the house: length, docstrings, direction of imports, and who may import what."""

from __future__ import annotations

import ast
import csv
import functools
import re
from collections.abc import Iterator
from pathlib import Path

from costsim.sources import KINDS, HeatSource

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "costsim"
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST = 400
LONGEST_FUNCTION = 80
"""Lines beside its docstring."""
MOST_PARAMETERS = 14
COMPILED = {"engine/kernel.py", "engine/gpu.py"}
"""What numba compiles takes flat arrays one by one, and its parts stand in one function, so that they are compiled together."""

# From the ground up: a module may import from its own layer and from those before it.
LAYERS = [
    ["errors"],
    ["words"],
    ["files"],
    ["packed_tables"],
    ["kept"],
    ["study_files"],
    ["units"],
    ["physics"],
    ["tariffs", "bills", "weather"],
    ["sources"],
    ["study"],
    ["engine"],
    ["results"],
    ["simulation"],
    ["analysis"],
    ["portfolio"],
    ["views"],
    ["report"],
    ["notebook"],
    ["cli", "dashboard", "benchmarks"],
    ["__main__", "catalogue"],
]
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}
ONLY_IN = {
    "streamlit": ["dashboard/", "cli/"],
    "plotly": ["views/"],
    "numba": ["engine/"],
    "pvlib": ["physics/sun.py", "weather/"],
    "typst": ["report/"],
}
NEVER_IN_PHYSICS = {"pandas", "pydantic", "numba", "streamlit", "plotly"}


@functools.cache
def tree_of(path: Path) -> ast.Module:
    """What a module says, parsed once for all rules."""
    return ast.parse(path.read_text(encoding="utf-8"))


def statements(node: ast.AST) -> Iterator[ast.AST]:
    """Every statement of a module, however deep; a statement stands in no expression."""
    for part in ("body", "handlers", "cases", "orelse", "finalbody"):
        below = getattr(node, part, ())
        for one in below if isinstance(below, list) else ():
            yield one
            yield from statements(one)


@functools.cache
def imports_of(path: Path) -> list[str]:
    """Every module that a file imports, at its head or inside functions, except for type checking alone."""
    found = []
    for node in statements(tree_of(path)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
    return found


def type_only_imports(path: Path) -> set[str]:
    """Modules imported for type checking alone."""
    text = path.read_text(encoding="utf-8")
    guards = [
        n
        for n in (ast.walk(tree_of(path)) if "TYPE_CHECKING" in text else ())
        if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.dump(n.test)
    ]
    return {n.module for guard in guards for n in ast.walk(guard) if isinstance(n, ast.ImportFrom) and n.module}


def relative(path: Path) -> str:
    """Path inside the package (or beside it), with forward slashes."""
    return path.relative_to(PACKAGE if path.is_relative_to(PACKAGE) else ROOT).as_posix()


def test_files_are_short_and_say_what_they_are_for() -> None:
    texts = {path: path.read_text(encoding="utf-8") for path in (*MODULES, *(ROOT / "tests").rglob("*.py"))}
    assert len(texts) > len(MODULES) > 100
    assert [relative(path) for path, text in texts.items() if len(text.splitlines()) > LONGEST] == []
    assert [relative(path) for path, text in texts.items() if not re.match(r'(#.*\n)*"""\s*[^\s"]', text)] == []


def test_functions_are_short_and_take_few_things() -> None:
    faults = []
    for path in MODULES:
        for node in statements(tree_of(path)) if relative(path) not in COMPILED else ():
            if isinstance(node, ast.FunctionDef):
                lines = (node.end_lineno or 0) - node.lineno + 1
                lines -= len((ast.get_docstring(node, clean=False) or "").splitlines())
                taken = len(node.args.posonlyargs) + len(node.args.args) + len(node.args.kwonlyargs)
                if lines > LONGEST_FUNCTION or taken > MOST_PARAMETERS:
                    faults.append(f"{relative(path)}:{node.lineno} {node.name}: {lines} lines, {taken} parameters")
    assert faults == []


def test_imports_point_one_way() -> None:
    faults = []
    for path in MODULES:
        own = relative(path).split("/")[0].removesuffix(".py")
        for name in sorted(set(imports_of(path)) - type_only_imports(path)) if own != "__init__" else ():
            parts = name.split(".")
            if parts[0] == "costsim" and len(parts) > 1 and LEVEL[parts[1]] > LEVEL[own]:
                faults.append(f"{relative(path)} imports {name}, which stands above it")
    assert faults == []


def test_heavy_libraries_stay_in_their_place() -> None:
    faults = []
    for path in MODULES:
        roots = {name.split(".")[0] for name in imports_of(path)}
        for library in sorted(roots & set(ONLY_IN)):
            if not any(relative(path).startswith(place) for place in ONLY_IN[library]):
                faults.append(f"{library} in {relative(path)}")
        if relative(path).startswith("physics/"):
            # pvlib's solar position takes its hours as a pandas index
            never = roots & (NEVER_IN_PHYSICS - ({"pandas"} if path.name == "sun.py" else set()))
            faults += [f"{library} in {relative(path)}" for library in sorted(never)]
    assert faults == []


OPENS_ITS_OWN = {
    # files of the package itself
    "engine/object_code.py", "report/pdf.py", "report/html.py", "physics/fluids.py", "physics/tabulate_fluids.py", "weather/make_samples.py",
    "cli/start.py", "study/selection.py", "catalogue.py", "dashboard/state.py", "dashboard/parts_bills.py",
    # what it has just written itself, in a folder of its own; members of an archive in memory; the null device
    "portfolio/processes.py", "portfolio/run.py", "dashboard/parts_report.py", "dashboard/parts_many.py", "study/bundle.py", "bills/text.py",
    "packed_tables.py",
    "cli/main.py",
    # tables of homes and parts of results, looked at by `open_regular` before
    "portfolio/homes.py", "portfolio/store.py",
}  # fmt: skip


def test_files_are_opened_in_one_place() -> None:
    """Nothing but `files.py` opens what somebody named: only regular files, of a size known before."""
    names = ("open", "read_bytes", "read_text", "ParquetFile", "read_parquet", "fromfile", "loadtxt")
    faults = []
    for path in MODULES:
        if relative(path) in {"files.py", *OPENS_ITS_OWN} or relative(path).startswith("benchmarks/"):
            continue
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(tree_of(path)) if any(name in text for name in names) else ():
            if isinstance(node, ast.Call):
                method = isinstance(node.func, ast.Attribute)
                called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if called in names and (method or called == "open"):
                    faults.append(f"{relative(path)}:{node.lineno} opens a file; use costsim.files")
    assert faults == []


def test_kinds_of_array_are_named_in_one_place() -> None:
    kind = re.compile(r"NDArray\[np\.(float64|int64|bool_)\]")
    named = [relative(path) for path in MODULES if kind.search(path.read_text(encoding="utf-8"))]
    assert named == ["units/arrays.py"]


SAYS_NOTHING = {"found", "told", "one", "some", "data", "info", "obj", "tmp", "res", "ret", "stuff", "thing"}
"""Names of variables and parameters that could stand for anything."""
NAMED_BY_OTHERS = {("packed_tables.py", "data")}
"""What a library's own class names."""


def _set_names(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and name of every variable and parameter, in functions, lambdas, comprehensions, patterns and outside; no fields of classes."""
    classes = (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))
    fields = {id(field.target) for owner in classes for field in owner.body if isinstance(field, ast.AnnAssign)}
    for node in ast.walk(tree):
        if isinstance(node, ast.arg):
            yield node.lineno, node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store) and id(node) not in fields:
            yield node.lineno, node.id
        elif isinstance(node, ast.ExceptHandler | ast.MatchAs | ast.MatchStar) and node.name:
            yield node.lineno, node.name


def test_variables_say_what_they_hold() -> None:
    faults = []
    for path in MODULES:
        for line, name in _set_names(tree_of(path)):
            if name in SAYS_NOTHING and (relative(path), name) not in NAMED_BY_OTHERS:
                faults.append(f"{relative(path)}:{line}: {name}")
    assert faults == []


def test_the_rule_on_names_finds_what_it_forbids() -> None:
    for text in (
        "one = 1",
        "def f(one): pass",
        "lambda one: one",
        "[one for one in ()]",
        "a, (one, b) = c",
        "for one, a in (): pass",
        "if (one := f()): pass",
        "with f() as one: pass",
        "try: pass\nexcept E as one: pass",
        "match a:\n case [one, *b]: pass",
        "match a:\n case [*one]: pass",
    ):
        assert "one" in {name for _, name in _set_names(ast.parse(text))}, text
    for text in ("f(one=1)", "a.one = 1", "class A:\n one: int", 'a["one"] = 1', "print(one)"):
        assert "one" not in {name for _, name in _set_names(ast.parse(text))}, text


def test_the_dashboard_computes_nothing() -> None:
    for path in (PACKAGE / "dashboard").glob("*.py"):
        assert "numpy" not in imports_of(path), f"{relative(path)} imports numpy"


def test_published_values_are_complete_and_used() -> None:
    texts = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py"))
    quoted = set(re.findall(r"[\"']([a-z0-9_.\-]+)[\"']", texts))
    families = tuple(re.findall(r"(?:startswith|removeprefix)\(\"([^\"]+)\"\)", texts))
    seen: set[str] = set()
    for table in sorted((ROOT / "tests" / "published").glob("*.csv")):
        with table.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                assert row["id"] not in seen, f"{row['id']} stands twice"
                seen.add(row["id"])
                assert all(
                    row[key] for key in ("quantity", "value", "unit", "tolerance", "tolerance_reason", "source")
                ), row
                assert row["status"] in ("CONFIRMED", "MEMORY", "COMPUTED"), row
                used = row["id"] in quoted or row["id"].startswith(families) or _in_a_pattern(row["id"], texts)
                assert used, f"{row['id']} in {table.name} is used by no test"
    assert seen


def _in_a_pattern(name: str, texts: str) -> bool:
    """Whether a test makes the id from a pattern such as f"tube_{gpm}_drop"."""
    patterns = re.findall(r"f\"([a-z0-9_]*\{[^\"]*)\"", texts)
    return any(
        re.fullmatch(".+".join(re.escape(part) for part in re.split(r"\{[^}]*\}", pattern)), name)
        for pattern in patterns
        if len(re.sub(r"\{[^}]*\}", "", pattern)) > 3
    )


NAMES_KINDS = ("sources/", "benchmarks/", "views/source_words.py", "views/templates.py", "views/template_sources.py")
"""Where kinds of source may be named: sentences, icons and options to start from, and studies that are measured."""


ASKED = ("source", "tank", "store", "unit", "heater")
"""What sources and tanks are called where they are looked at."""


def test_a_source_is_one_file() -> None:
    """Outside `sources/` a kind is asked by what `HeatSource` declares, never by its name, its class or a field of its own."""
    own = {name for model in KINDS.values() for name in model.model_fields} - set(HeatSource.model_fields) - {"fuel"}
    modules = {model.__module__ for model in KINDS.values()}
    faults = []
    # a file without any of these breaks none of it, and need not be parsed
    worth = re.compile(
        "|".join(
            (rf"[\"']({'|'.join((*KINDS, *own))})[\"']", rf"attr\(({'|'.join(ASKED)})\b", *map(re.escape, modules))
        )
    )
    for path in MODULES:
        text = path.read_text(encoding="utf-8")
        if relative(path).startswith("sources/") or not worth.search(text):
            continue
        named = relative(path).startswith(NAMES_KINDS)
        for node in ast.walk(ast.parse(text)):
            wrong = (
                ("a kind's own module", isinstance(node, ast.ImportFrom) and node.module in modules),
                ("a field by its name", isinstance(node, ast.Call) and _looks_up(node, own)),
                ("a kind by its name", not named and _names_a_kind(node)),
            )
            faults += [f"{relative(path)}:{getattr(node, 'lineno', 0)}: {what}" for what, found in wrong if found]
    assert faults == []


def _looks_up(call: ast.Call, own: set[str]) -> bool:
    """Whether a call looks for an attribute of a source or a tank that nothing declares."""
    if getattr(call.func, "id", "") not in ("getattr", "hasattr"):
        return False
    of, name = call.args[:2]
    by_name = isinstance(name, ast.Constant) and name.value in own
    return by_name or getattr(of, "id", "") in ASKED


def _names_a_kind(node: ast.AST) -> bool:
    """Whether what a source is called decides, or stands in a table; names that fuels have too are told by what they are held to."""
    if isinstance(node, ast.Constant):
        return node.value in KINDS and "_" in node.value
    if isinstance(node, ast.Subscript):
        return getattr(node.value, "id", "") == "KINDS" and isinstance(node.slice, ast.Constant)
    if isinstance(node, ast.Compare):
        sides = [node.left, *node.comparators]
    elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") in ("startswith", "endswith"):
        sides = [node.func.value, *node.args]  # type: ignore[attr-defined]
    else:
        return False
    said = {part.value for side in sides for part in ast.walk(side) if isinstance(part, ast.Constant)}
    return bool(said & set(KINDS)) and any("kind" in _words_of(side) for side in sides)


def _words_of(node: ast.AST) -> set[object]:
    """Names, attributes and keys in an expression."""
    parts = list(ast.walk(node))
    return {
        getattr(part, key, None)
        for part in parts
        for key in ("id", "attr", "value")
        if not isinstance(getattr(part, key, None), ast.AST)
    }


def test_the_rule_on_kinds_finds_what_it_forbids() -> None:
    for text in (
        'if kind == "gas": pass', 'x = one.get("kind") in ("gas", "oil")', 'source["kind"] != "wood"', 'x = source.kind == "solar"',
        'str(one["kind"]).startswith("pellet")', 'KINDS["gas"]', 'ALIKE = {"off_peak_electric": 1}',
    ):  # fmt: skip
        assert any(_names_a_kind(node) for node in ast.walk(ast.parse(text))), text
    for text in (
        'fuel == "wood"',
        'use.kind == "pool"',
        "KINDS[kind]",
        'one.get("kind") == kind',
        '{"wood": 1, "gas": 2}',
    ):
        assert not any(_names_a_kind(node) for node in ast.walk(ast.parse(text))), text
    for text in ("getattr(source, name)", 'hasattr(one, "frost_protection")', 'getattr(one, "flow_m3_s", None)'):
        assert _looks_up(ast.parse(text).body[0].value, {"flow_m3_s", "frost_protection"}), text  # type: ignore[attr-defined]
    assert not _looks_up(ast.parse('getattr(one, "args", ())').body[0].value, {"flow_m3_s"})  # type: ignore[attr-defined]


def test_no_weak_spots_are_left_in_the_code() -> None:
    for path in MODULES:
        weak = re.findall(r"TODO|FIXME|NotImplementedError|assert True", path.read_text(encoding="utf-8"))
        assert not weak, f"{relative(path)}: {weak}"
