"""The choice between plans: which was picked, why, by whom and when."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDateEdit,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

from corelib.job.acknowledged import PlanChoice

ISO = "yyyy-MM-dd"


class ChoiceStrip(QWidget):
    """Fields of a choice; `picked` takes the plan's place, reason, name and day, `withdrawn` nothing."""

    picked = Signal(int, str, str, str)
    withdrawn = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plan = QComboBox()
        self.plan.setAccessibleName(self.tr("Plan to pick"))
        self.plan.setMinimumContentsLength(12)
        self.plan.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.reason, self.by = QLineEdit(), QLineEdit()
        self.reason.setAccessibleName(self.tr("Reason for the choice"))
        self.reason.setPlaceholderText(self.tr("Reason"))
        self.by.setAccessibleName(self.tr("Who chooses"))
        self.by.setPlaceholderText(self.tr("Name"))
        self.date = QDateEdit(QDate.currentDate())
        self.date.setDisplayFormat(ISO)
        self.date.setCalendarPopup(True)
        self.date.setAccessibleName(self.tr("Day of the choice"))
        self.pick_button = QPushButton(self.tr("Pick this plan"))
        self.withdraw_button = QPushButton(self.tr("Withdraw"))
        self.withdraw_button.setAccessibleName(self.tr("Withdraw the choice"))
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self._arrange()
        self.pick_button.clicked.connect(self._pick)
        self.reason.returnPressed.connect(self._pick)
        self.withdraw_button.clicked.connect(self.withdrawn)
        for field in (self.reason, self.by):
            field.textChanged.connect(self._show_buttons)
        self._choice: PlanChoice | None = None
        self._show_buttons()

    def _arrange(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 4, 0, 0)
        grid.setSpacing(4)
        grid.addWidget(self.plan, 0, 0, 1, 3)  # names of plans often differ in their last letters only
        grid.addWidget(self.reason, 1, 0, 1, 3)
        grid.addWidget(self.by, 2, 0)
        grid.addWidget(self.date, 2, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.pick_button)
        buttons.addWidget(self.withdraw_button)
        grid.addLayout(buttons, 2, 2)
        grid.addWidget(self.state, 3, 0, 1, 3)
        grid.setColumnStretch(0, 1)

    def show_plans(self, names: Sequence[str]) -> None:
        """Offer plans to pick from."""
        before = self.plan.currentText()
        self.plan.clear()
        self.plan.addItems(list(names))
        self.plan.setCurrentIndex(max(0, self.plan.findText(before)) if names else -1)
        self._show_buttons()

    def show_choice(self, choice: PlanChoice | None) -> None:
        """Show the choice that the job holds."""
        self._choice = choice
        if choice is None:
            self.state.setText(self.tr("No plan is picked yet; the choice is kept in the job."))
        else:
            self.state.setText(
                self.tr("Picked: {0}, by {1} on {2}. Reason: {3}").format(
                    choice.plan, choice.by, choice.date, choice.reason
                )
            )
        self._show_buttons()

    def _show_buttons(self) -> None:
        is_stated = bool(self.reason.text().strip()) and bool(self.by.text().strip())
        self.pick_button.setEnabled(self.plan.count() > 0 and is_stated)
        self.withdraw_button.setEnabled(self._choice is not None)

    def _pick(self) -> None:
        if self.pick_button.isEnabled():
            day = self.date.date().toString(ISO)
            self.picked.emit(self.plan.currentIndex(), self.reason.text(), self.by.text(), day)
