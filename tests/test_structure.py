"""The shape of the code itself: layers, sizes, docstrings, shipped files."""

from __future__ import annotations

import ast
import inspect
import re
from importlib import import_module
from pathlib import Path

import pytest

import energymodel
from energymodel.datafiles import manifest, sha256_of, shipped_folder

PACKAGE = Path(energymodel.__file__).parent
LAYERS = {
    "units": 0, "errors": 0, "arrays": 0, "notices": 0,
    "csv_lines": 1, "new_file": 1, "quantities": 1, "datafiles": 1, "psychrometrics": 1,
    "weather": 2, "building": 2, "equipment": 2, "meters": 2,
    "season": 3,
    "ratings": 4,
    "tariffs": 5,
    "economics": 6, "emissions": 6, "refrigerants": 6,
    "scenario": 7,
    "study": 8,
    "report": 9,
    "cli": 10, "form": 11, "form_inputs": 10,
}  # fmt: skip
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if "notebooks" not in path.parts)
NAMES = [
    ".".join(("energymodel", *path.relative_to(PACKAGE).with_suffix("").parts)) for path in MODULES
]


def _top(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def _imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} has a relative import"
            found.append(node.module or "")
            found += [f"{node.module}.{alias.name}" for alias in node.names]
    return [name for name in found if name.split(".")[0] == "energymodel"]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_a_module_imports_only_from_its_package_and_from_lower_layers(path: Path) -> None:
    own = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    if own == "__init__":
        return  # the public list imports at first use
    for name in _imports(path):
        other = _top(name)
        if other in ("", own, "__version__"):
            continue
        if LAYERS[own] == LAYERS[other] == 0:
            continue
        assert LAYERS[other] < LAYERS[own] or (LAYERS[own] == LAYERS[other] and own in (
            "datafiles", "quantities", "psychrometrics", "emissions",
        )), f"{own} imports {name}"  # fmt: skip


@pytest.mark.parametrize(
    "path", [*MODULES, *sorted(Path(__file__).parent.rglob("*.py"))], ids=lambda path: path.name
)
def test_no_python_file_is_longer_than_400_lines(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= 400


def _documented() -> list[tuple[str, object]]:
    found: list[tuple[str, object]] = []
    for name in NAMES:
        if name.startswith(("energymodel.cli", "energymodel.__init__")):
            continue
        module = import_module(name.removesuffix(".__init__"))
        for label, thing in vars(module).items():
            if label.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
                continue
            if inspect.isfunction(thing):
                found.append((f"{name}.{label}", thing))
            elif inspect.isclass(thing):
                found += [
                    (f"{name}.{label}.{method}", function)
                    for method, function in vars(thing).items()
                    if inspect.isfunction(function) and not method.startswith("_")
                ]
    return found


def _parameters_in(doc: str) -> set[str]:
    match = re.search(r"Parameters\n\s*-{3,}\n(.*?)(?:\n\s*\n\s*\w+\n\s*-{3,}|\Z)", doc, re.S)
    if match is None:
        return set()
    lines = match.group(1).splitlines()
    indent = min(len(line) - len(line.lstrip()) for line in lines if line.strip())
    heads = [
        line.strip() for line in lines if line.strip() and len(line) - len(line.lstrip()) == indent
    ]
    return {part.strip().lstrip("*") for head in heads for part in head.split(":")[0].split(",")}


def test_docstrings_name_exactly_the_parameters_of_the_signature() -> None:
    wrong = []
    for name, function in _documented():
        signature = set(inspect.signature(function).parameters) - {"self", "cls"}  # type: ignore[arg-type]
        documented = _parameters_in(inspect.getdoc(function) or "")
        if signature != documented:
            wrong.append(f"{name}: signature {sorted(signature)}, docstring {sorted(documented)}")
    assert wrong == []


def test_the_manifest_names_every_shipped_data_file_with_its_checksum_source_and_licence() -> None:
    folder = shipped_folder("data")
    listed = {entry.path: entry for entry in manifest()}
    there = {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and path.name != "manifest.csv"
    }
    assert set(listed) == there
    for path, entry in listed.items():
        assert sha256_of(folder / path) == entry.sha256, path
        assert entry.source, path
        assert entry.licence, path


def test_the_top_level_holds_nothing_but_the_agreed_entries() -> None:
    top = PACKAGE.parent
    if not (top / "pyproject.toml").is_file():
        pytest.skip("not a checkout: the package is installed")
    allowed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "notebooks", "energymodel", "tests", "data",
    }  # fmt: skip
    there = {path.name for path in top.iterdir() if not path.name.startswith(".")}
    assert there == allowed


def test_every_public_name_can_be_had_from_the_package() -> None:
    for name in energymodel.__all__:
        assert callable(getattr(energymodel, name)), name
