"""Habits of the house, held by tests: public names, docstrings, units, sizes, what the repository holds."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

from corelib.units import SUFFIXES

ROOT = Path(__file__).parent.parent.parent
MODULES = sorted([*ROOT.glob("corelib/**/*.py"), *ROOT.glob("app/**/*.py")])
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in MODULES}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "app",
    "corelib",
    "tests",
    "sample_jobs",
    "shared",
}
MOST_LINES = 500
MOST_FUNCTION_LINES = 60
VAGUE = {"utils", "util", "helpers", "common", "misc", "base", "manager", "handler", "data", "v2"}


def named(path):
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_every_public_name_says_what_it_is(path):
    """Modules, public functions, classes and their public methods have a docstring."""
    tree = TREES[path]
    missing = [] if ast.get_docstring(tree) else ["module"]
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and _is_public(node, tree):
            text = ast.get_docstring(node)
            if not text or text.splitlines()[0].rstrip()[-1:] not in ".:?":
                missing.append(node.name)
    assert missing == []


QT_HOOKS = re.compile(r"^[a-z]+[A-Z]\w*$|^(data|flags|redo|undo|id)$")


def _is_public(node, tree):
    if node.name.startswith("_") or QT_HOOKS.match(node.name):
        return False  # Qt's own names are documented by Qt
    owners = [
        other
        for other in ast.walk(tree)
        if isinstance(getattr(other, "body", None), list) and node in other.body
    ]
    return all(
        isinstance(owner, ast.Module) or (isinstance(owner, ast.ClassDef) and not owner.name.startswith("_"))
        for owner in owners
    )


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_modules_and_functions_stay_small(path):
    lines = path.read_text(encoding="utf-8").count("\n")
    long = [
        f"{node.name}: {_code_lines(node)}"
        for node in ast.walk(TREES[path])
        if isinstance(node, ast.FunctionDef) and _code_lines(node) > MOST_FUNCTION_LINES
    ]
    assert lines <= MOST_LINES
    assert long == []


def _code_lines(node):
    text = node.body[0] if isinstance(node.body[0], ast.Expr) and ast.get_docstring(node) else None
    documented = 0 if text is None else text.end_lineno - text.lineno + 1
    return node.end_lineno - node.lineno + 1 - documented


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_modules_are_nouns_of_the_trade(path):
    assert not set(path.with_suffix("").relative_to(ROOT).parts) & VAGUE


def test_dimensioned_physics_arguments_carry_a_known_unit():
    """A physics argument that ends like a unit ends in one of ours: `_m`, `_kg_m3`, never `_metres`."""
    strange = re.compile(
        r"_(metres?|meters?|millimetres?|seconds?|minutes?|hours?|kilograms?|grams?|degrees?)$"
    )
    found = [
        f"{named(path)}:{argument.arg}"
        for path, tree in TREES.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        for argument in node.args.args + node.args.kwonlyargs
        if strange.search(argument.arg)
    ]
    assert found == []
    assert "kg_m3" in SUFFIXES


def tracked():
    listed = subprocess.run(
        ["git", "-C", str(ROOT), "ls-files"], capture_output=True, text=True, check=False
    ).stdout.split("\n")
    return [name for name in listed if name]


def test_the_top_level_holds_the_house_and_nothing_else():
    names = {name.split("/")[0] for name in tracked()}
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_no_committed_file_is_huge():
    sizes = {name: (ROOT / name).stat().st_size for name in tracked() if (ROOT / name).is_file()}
    assert {name: size for name, size in sizes.items() if size > 5_000_000} == {}


def test_every_kernel_module_is_warmed():
    """`corestow warm` names each module that declares kernels; importing it compiles them."""
    declaring = {
        path.stem
        for path in MODULES
        if any(
            isinstance(node, ast.FunctionDef)
            and any(
                isinstance(d, ast.Call) and getattr(d.func, "id", "") == "kernel" for d in node.decorator_list
            )
            for node in ast.walk(TREES[path])
        )
    }
    warmed = next(
        node
        for node in ast.walk(TREES[ROOT / "corelib" / "usecases" / "warming.py"])
        if isinstance(node, ast.FunctionDef) and node.name == "warm_kernels"
    )
    imported = {
        alias.name for node in ast.walk(warmed) if isinstance(node, ast.ImportFrom) for alias in node.names
    }
    assert declaring - imported == set()
