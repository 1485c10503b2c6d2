"""Cost lines: an amount of money, its formula, and the quantities and rates that went in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import Any, Literal, NamedTuple

from corelib.cost.money import EXACT, decimal_of, rounded
from corelib.estimate.formula import evaluate, names_in
from corelib.job.operating_point import required
from corelib.job.profiles import OperatingPoint

CostKind = Literal[
    "machine",
    "head",
    "oven",
    "labour",
    "sand",
    "additive",
    "binder",
    "disposal",
    "cleaning",
    "energy",
    "standing",
    "set-up",
    "inspection",
    "packing",
    "yield",
    "overhead",
    "risk",
    "margin",
]
CostInput = float | int | Decimal


@dataclass(frozen=True)
class CostLine:
    """One amount of money: its kind, its formula in the names of its inputs, and those inputs."""

    code: str
    kind: CostKind
    amount: Decimal
    formula: str
    inputs: Mapping[str, CostInput]
    parts: tuple[CostLine, ...] = ()

    def document(self) -> dict[str, Any]:
        """Return the line as plain data for a file; money as text, so that no digit is lost."""
        content: dict[str, Any] = {
            "code": self.code,
            "kind": self.kind,
            "amount": str(self.amount),
            "formula": self.formula,
            "inputs": {
                name: str(value) if isinstance(value, Decimal) else value
                for name, value in self.inputs.items()
            },
        }
        if self.parts:
            content["parts"] = [part.document() for part in self.parts]
        return content


class Costing(NamedTuple):
    """How a cost line is reckoned. `optional`: left out where one of its profile values isn't stated."""

    code: str
    kind: CostKind
    formula: str
    optional: bool = False

    @property
    def profile_fields(self) -> tuple[str, ...]:
        """Dotted names of the profile values in the formula."""
        return tuple(name for name in names_in(self.formula) if "." in name)

    def unstated(self, point: OperatingPoint) -> tuple[str, ...]:
        """Return the profile values of the formula that nobody stated."""
        return tuple(name for name in self.profile_fields if profile_value(point, name) is None)


def profile_value(point: OperatingPoint, path: str) -> Any:
    """Return the profile value at a dotted name, None where it isn't stated."""
    kind, _, name = path.partition(".")
    return getattr(getattr(point, kind), name)


def cost_line(
    costing: Costing, point: OperatingPoint, values: Mapping[str, CostInput], currency: str
) -> CostLine:
    """Return the line of a costing, its formula evaluated exactly and rounded once to the currency.

    `values` gives the names without a dot; raises InputError for a profile value that isn't stated.
    """
    inputs = {
        name: required(point, name) if "." in name else values[name] for name in names_in(costing.formula)
    }
    with localcontext(EXACT):
        amount = evaluate(costing.formula, {name: decimal_of(value) for name, value in inputs.items()})
    return CostLine(costing.code, costing.kind, rounded(amount, currency), costing.formula, inputs)


def amount_of(lines: tuple[CostLine, ...]) -> Decimal:
    """Return the sum of the lines' amounts."""
    return sum((line.amount for line in lines), Decimal(0))
