"""Every formula of the process says what comes back, in which unit, and its examples hold."""

import doctest
import inspect
import pkgutil

import pytest

import corelib.physics

MODULES = [name for _, name, _ in pkgutil.iter_modules(corelib.physics.__path__)]


def public_functions():
    for name in MODULES:
        module = pkgutil.resolve_name(f"corelib.physics.{name}")
        for function_name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not function_name.startswith("_"):
                yield pytest.param(function, id=f"{name}.{function_name}")


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_hold(name):
    module = pkgutil.resolve_name(f"corelib.physics.{name}")
    result = doctest.testmod(module)
    assert result.failed == 0


@pytest.mark.parametrize("function", list(public_functions()))
def test_first_line_says_what_comes_back(function):
    assert (function.__doc__ or "").startswith("Return"), function
