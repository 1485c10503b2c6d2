"""Evaluates a line's formula from its inputs: the way back from the text to the figure.

Tests hold every line against its own formula with it, and the uncertainty of a quotation is carried through
the very formulas that the reader sees. Numbers may be NumPy arrays: then so is the result.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping
from functools import cache, reduce
from typing import Any

import numpy as np

SIGNS = str.maketrans({"×": "*", "÷": "/", "−": "-"})


class _DottedNames(ast.NodeTransformer):
    """Makes one name of a dotted one, so that it needs no walking later."""

    def visit_Attribute(self, node: ast.Attribute) -> ast.expr:
        return ast.Name(id=ast.unparse(node))


@cache
def _parsed(formula: str) -> ast.expr:
    tree = ast.parse(formula.translate(SIGNS), mode="eval").body
    parsed: ast.expr = _DottedNames().visit(tree)
    return parsed


@cache
def names_in(formula: str) -> tuple[str, ...]:
    """Return the names that a formula reads, in order of appearance, dotted ones whole."""
    found: dict[str, None] = {}

    def visit(node: ast.AST) -> None:
        if isinstance(node, ast.Name):
            found[node.id] = None
        elif isinstance(node, ast.Call):
            for argument in node.args:
                visit(argument)
        else:
            for child in ast.iter_child_nodes(node):
                visit(child)

    visit(_parsed(formula))
    return tuple(found)


def evaluate(formula: str, values: Mapping[str, Any]) -> Any:
    """Return the value of a formula; raises KeyError for a name without value, ValueError for more."""
    return _evaluate(_parsed(formula), values)


def _evaluate(node: ast.expr, values: Mapping[str, Any]) -> Any:
    match node:
        case ast.Constant(value=float() | int() as number):
            return number
        case ast.Name(id=name):
            return values[name]
        case ast.BinOp(left=left, op=operator, right=right):
            return _combine(operator, _evaluate(left, values), _evaluate(right, values))
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_evaluate(operand, values)
        case ast.Call(func=ast.Name(id="max" | "min" as which), args=arguments):
            return _pick(which, [_evaluate(argument, values) for argument in arguments])
    raise ValueError(f"not part of a formula: {ast.unparse(node)}")


def _pick(which: str, values: list[Any]) -> Any:
    if any(isinstance(value, np.ndarray) for value in values):
        return reduce(np.maximum if which == "max" else np.minimum, values)
    return max(values) if which == "max" else min(values)


def _combine(operator: ast.operator, left: Any, right: Any) -> Any:
    match operator:
        case ast.Add():
            return left + right
        case ast.Sub():
            return left - right
        case ast.Mult():
            return left * right
        case ast.Div():
            return left / right
    raise ValueError(f"not part of a formula: {type(operator).__name__}")
