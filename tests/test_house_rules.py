"""The rules of the house: length, docstrings, direction of imports, and who may import what."""

from __future__ import annotations

import ast
import csv
import functools
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "costsim"
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST = 400

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


def test_no_weak_spots_are_left_in_the_code() -> None:
    for path in MODULES:
        weak = re.findall(r"TODO|FIXME|NotImplementedError|assert True", path.read_text(encoding="utf-8"))
        assert not weak, f"{relative(path)}: {weak}"
