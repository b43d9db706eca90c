"""A wheel carries what a stranger needs: studies, samples, tables of fluids."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from importlib.util import cache_from_source
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from release.lock import bill_of_materials, needed

from costsim import __version__
from costsim.cli.main import main
from costsim.engine import block

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def names(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-c",
        "from hatchling.build import build_wheel; print(build_wheel('" + str(folder) + "'))",
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        return wheel.namelist()


def test_an_editable_install_leaves_byte_code_behind_and_a_wheel_none(tmp_path: Path) -> None:
    (tmp_path / ".ci").mkdir()
    (tmp_path / "costsim").mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE", ".ci/byte_code.py"):
        shutil.copy(ROOT / name, tmp_path / name)
    module = tmp_path / "costsim" / "__init__.py"
    module.write_text("HEAT = 1\n", encoding="utf-8")
    hook = WheelBuilder(str(tmp_path)).get_build_hooks(str(tmp_path))["custom"]
    for version, left in (("standard", False), ("editable", True)):
        hook.initialize(version, {})
        assert Path(cache_from_source(str(module))).exists() == left


@pytest.mark.parametrize(
    "name",
    [
        "costsim/demos/lantern_cottage.toml", "costsim/demos/net_loft.toml", "costsim/demos/valley_row.toml",
        "costsim/_samples/greensboro.csv", "costsim/_samples/sand_point.csv", "costsim/_samples/cold_valley.csv", "costsim/_samples/SOURCES.md",
        "costsim/physics/data/fluids.csv", "costsim/physics/data/freeze.csv", "costsim/dashboard/page.py", "costsim/py.typed",
        "costsim/report/page.typ",
        "costsim/report/page.html.j2",
    ],
)  # fmt: skip
def test_the_wheel_carries_it(names: list[str], name: str) -> None:
    assert name in names


def test_the_wheel_leaves_tests_out(names: list[str]) -> None:
    assert not [name for name in names if name.startswith("tests/") or "__pycache__" in name]


@pytest.mark.parametrize(
    "name",
    [
        "app.py",
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        ".github/CITATION.cff",
        "LICENSE",
        "requirements.lock",
        "costsim/cli/main.py",
        "tests/conftest.py",
        "tests/published/fuels.csv",
        "weather_samples/greensboro.csv",
        ".ci/run",
        ".streamlit/config.toml",
    ],
)
def test_the_sdist_carries_it(sdist: list[str], name: str) -> None:
    assert f"costsim-{PROJECT['version']}/{name}" in sdist


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    folder = tmp_path_factory.mktemp("sdist")
    command = [sys.executable, "-c", f"from hatchling.build import build_sdist; print(build_sdist('{folder}'))"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    with tarfile.open(next(folder.glob("*.tar.gz"))) as file:
        return file.getnames()


PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def locked() -> dict[str, str]:
    """Versions of requirements.lock."""
    lines = (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines()
    return dict(line.split("==") for line in lines if not line.startswith("#"))


def test_the_lock_holds_every_package_at_an_allowed_version() -> None:
    versions = locked()
    for line in PROJECT["dependencies"]:
        one = Requirement(line)
        assert one.specifier.contains(versions[canonicalize_name(one.name)]), line
    assert all(
        re.fullmatch(r"[a-z0-9-]+", name) and re.fullmatch(r"[0-9][0-9A-Za-z.]*", version)
        for name, version in versions.items()
    )


def test_every_place_tells_the_same_version() -> None:
    version = PROJECT["version"]
    assert version == __version__
    assert f"\nversion: {version}\n" in (ROOT / ".github" / "CITATION.cff").read_text(encoding="utf-8")
    assert re.search(rf"^## {version} ", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)


def test_every_requirement_has_a_lower_bound() -> None:
    for line in PROJECT["dependencies"]:
        assert Requirement(line).specifier, line


def test_the_bill_of_materials_names_every_package() -> None:
    found = needed()
    parts = json.loads(json.dumps(bill_of_materials(found)))["components"]
    assert [part["name"] for part in parts] == list(found)
    assert {canonicalize_name(Requirement(line).name) for line in PROJECT["dependencies"]} <= set(found)
    assert all(part["version"] and part["licenses"][0]["license"]["name"] for part in parts)


HEAVY = {
    "streamlit",
    "plotly",
    "pvlib",
    "numba",
    "pandas",
    "scipy",
    "CoolProp",
    "pyarrow",
    "openpyxl",
    "holidays",
    "distributed",
    "scipy.linalg",
    "scipy.optimize",
    "costsim.weather.readers",
    "costsim.bills.intervals",
    "coverage",
    "yaml",
    "jinja2",
    "tomlkit",
    "multiprocessing.connection",
    "sqlite3",
    "asyncio",
}


@pytest.mark.parametrize(
    ("statement", "allowed"),
    [
        ("import costsim, costsim.cli.main", set()),
        ("from costsim import read_study; read_study('lantern_cottage')", set()),
        ("from costsim import simulate", set()),
        # the second run on a machine: weather, holidays and kernels are kept
        pytest.param("from costsim.cli.main import main; main(['compare'])", set(), marks=pytest.mark.long),
    ],
)
def test_nothing_is_imported_that_is_not_used(statement: str, allowed: set[str]) -> None:
    if "compare" in statement:
        assert main(["compare"]) == 0
        assert all(done.wait(120) for done in block._begun.values() if done)
    script = f"{statement}\nimport sys; print(); print(*(name for name in sys.argv[1:] if name in sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script, *sorted(HEAVY)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert set(done.stdout.splitlines()[-1].split()) <= allowed
