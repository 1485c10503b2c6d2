"""The plan's findings as a list model, worst first as the plan orders them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.qt.shown_plan import ShownFinding, ShownPlan

Index = QModelIndex | QPersistentModelIndex
NO_PARENT = QModelIndex()
FINDING_ROLE = int(Qt.ItemDataRole.UserRole)
WHERE_ROLE = FINDING_ROLE + 1
SEVERITY_ROLE = FINDING_ROLE + 2


class FindingsModel(QAbstractListModel):
    """A row a finding: severity as a word, where it is, what it says, and the remedy."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._findings: tuple[ShownFinding, ...] = ()
        self._names: dict[str, str] = {}

    @property
    def shown(self) -> tuple[ShownFinding, ...]:
        """The findings in the order of the list."""
        return self._findings

    def set_plan(self, plan: ShownPlan | None, more: Sequence[ShownFinding] = ()) -> None:
        """Show a plan's findings, or none, and `more` that checks of single cores found."""
        self.beginResetModel()
        own = plan.findings if plan is not None else ()
        known = {(finding.code, finding.core, finding.message) for finding in own}
        self._findings = (*own, *(f for f in more if (f.code, f.core, f.message) not in known))
        self._names = plan.core_names if plan is not None else {}
        self.endResetModel()

    def rowCount(self, parent: Index = NO_PARENT) -> int:
        """Return the number of findings."""
        return 0 if parent.isValid() else len(self._findings)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return a finding's part."""
        if not index.isValid():
            return None
        finding = self._findings[index.row()]
        if role == FINDING_ROLE:
            return finding
        if role == WHERE_ROLE:
            return self._where(finding)
        if role == SEVERITY_ROLE:
            return self.severity_word(finding.severity)
        if role == Qt.ItemDataRole.DisplayRole:
            return finding.message
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            parts = (
                self.severity_word(finding.severity),
                self._where(finding),
                finding.message,
                finding.remedy,
            )
            return "\n".join(part for part in parts if part)
        return None

    def severity_word(self, severity: str) -> str:
        """Return the word for a severity."""
        words = {"stop": self.tr("Stop"), "check": self.tr("Check"), "note": self.tr("Note")}
        return words.get(severity, severity)

    def _where(self, finding: ShownFinding) -> str:
        parts = []
        if finding.core is not None:
            parts.append(self._names.get(finding.core, finding.core))
        if finding.box is not None:
            parts.append(self.tr("box {0}").format(finding.box + 1))
        if finding.layers is not None:
            first, last = finding.layers
            parts.append(
                self.tr("layer {0}").format(first + 1)
                if first == last
                else self.tr("layers {0} to {1}").format(first + 1, last + 1)
            )
        return " · ".join(parts)
