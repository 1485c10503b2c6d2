"""Layers: the layer shown from above down to its pixels, what changes over height, and the nozzles."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QAction, QColor, QIcon, QPainter, QPen, QPixmap, QShowEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QLineEdit,
    QMenu,
    QSizePolicy,
    QTabWidget,
    QToolBar,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.qt.document import Document
from app.qt.figures import number, quantity
from app.qt.outlines import Outlines
from app.qt.pages.page import Page
from app.qt.palette import accent, ink
from app.qt.shown_layer import BoxNozzles, LayerPixels
from app.qt.views.height_charts import HeightCharts
from app.qt.views.layer_view import LINES, LayerView
from app.qt.views.nozzle_map import NozzleMap
from corelib.units import M_PER_MM, MM2_PER_CM2

SAMPLE = QSize(20, 12)
MOST_NOZZLES = 1_000_000


class LayersPage(Page):
    """The layer, charts over height and the nozzle map; `pixels_asked` when the image is wanted or not."""

    shown = Signal()
    pixels_asked = Signal(bool)
    nozzles_asked = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.heading = QLabel()
        self.column.addWidget(self.heading)
        self.view, self.charts, self.nozzle_map = LayerView(), HeightCharts(), NozzleMap()
        self.layer_reading, self.chart_reading, self.nozzle_reading = (
            _reading(self.tr("Reading")) for _ in range(3)
        )
        self.parts = self._make_parts()
        self.dead_nozzles = QLineEdit()
        self.dead_nozzles.setPlaceholderText(self.tr("none"))
        self.dead_nozzles.setAccessibleName(self.tr("Dead nozzles"))
        self.dead_nozzles.setToolTip(
            self.tr("Numbers from 0 and spans, as 12, 40-43: their rows are marked.")
        )
        self.dead_nozzles.editingFinished.connect(self._take_dead)
        self.legend = QGridLayout()
        self.legend.setHorizontalSpacing(6)
        self._make_tabs()
        self.heading.setBuddy(self.view)
        self._nozzles: BoxNozzles | None = None
        self._has_charts = False
        self.view.pointed.connect(self._read_layer)
        self.charts.told.connect(self.chart_reading.setText)
        self.charts.layer_chosen.connect(document.show_layer)
        self.nozzle_map.told.connect(self.nozzle_reading.setText)
        document.plan_changed.connect(self._drop_nozzles)
        document.box_changed.connect(self._drop_nozzles)
        document.layer_changed.connect(self.show_layer)
        self._drop_nozzles()

    def _make_parts(self) -> dict[str, QAction]:
        words = {
            "nominal": (self.tr("As drawn"), self.tr("Outlines of the cores as drawn: dashed.")),
            "printed": (
                self.tr("As printed"),
                self.tr("Outlines of what gets binder, with all allowances: solid."),
            ),
            "pixels": (self.tr("Pixels"), self.tr("The layer's image: each pixel that gets binder.")),
            "strokes": (self.tr("Strokes"), self.tr("Printing moves of the head, as arrows: dash and dot.")),
        }
        parts = {}
        for part, (word, tip) in words.items():
            action = QAction(word, self)
            action.setToolTip(tip)
            action.setCheckable(True)
            action.setChecked(part in ("nominal", "printed"))
            action.toggled.connect(lambda is_on, part=part: self._toggle(part, is_on))
            self.view.set_part(part, action.isChecked())
            parts[part] = action
        self.bar = QToolBar(self.tr("Parts of the layer"))  # what has no room in it goes into a menu
        self.bar.setIconSize(SAMPLE)
        self.bar.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.bar.addActions(list(parts.values()))
        for action in parts.values():
            self.bar.widgetForAction(action).setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return parts

    def _make_tabs(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.bar)
        dead = QHBoxLayout()
        label = QLabel(self.tr("Dead nozzles"))
        label.setBuddy(self.dead_nozzles)
        dead.addWidget(label)
        dead.addWidget(self.dead_nozzles, 1)
        above = QVBoxLayout()
        above.addLayout(dead)
        above.addLayout(self.legend)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setAccessibleName(self.tr("Views of the layers"))
        self.tabs.addTab(_stacked(row, self.view, self.layer_reading), self.tr("Layer"))
        self.tabs.addTab(_stacked(QHBoxLayout(), self.charts, self.chart_reading), self.tr("Over height"))
        self.tabs.addTab(_stacked(above, self.nozzle_map, self.nozzle_reading), self.tr("Nozzles"))
        save_button = self._save_button()
        self.tabs.setCornerWidget(save_button)
        QWidget.setTabOrder(self.tabs.tabBar(), save_button)
        self.tabs.currentChanged.connect(self._show_tab)
        self.column.addWidget(self.tabs, 1)
        self._show_legend()

    def _save_button(self) -> QToolButton:
        """Return a button that saves what the open tab shows."""
        button = QToolButton()
        button.setText("…")
        button.setAccessibleName(self.tr("Save picture or data"))
        button.setToolTip(self.tr("Save picture or data"))
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        menu = QMenu(button)
        button.setMenu(menu)

        def fill() -> None:
            menu.clear()
            views = (self.view, self.charts, self.nozzle_map)
            menu.addActions(views[self.tabs.currentIndex()].pictures.actions)

        menu.aboutToShow.connect(fill)
        return button

    def _show_legend(self) -> None:
        while (entry := self.legend.takeAt(0)) is not None:
            if (widget := entry.widget()) is not None:
                widget.deleteLater()
        for n, (word, colour) in enumerate(self.nozzle_map.states()):
            mark = QLabel()
            mark.setPixmap(_patch(colour, ink(self.palette())))
            self.legend.addWidget(mark, n % 3, 2 * (n // 3))
            self.legend.addWidget(QLabel(word), n % 3, 2 * (n // 3) + 1)
        self.legend.setColumnStretch(4, 1)
        for part, action in self.parts.items():
            colour = accent(self.palette()) if part == "strokes" else ink(self.palette())
            action.setIcon(_sample(part, colour))

    # --- what is shown ------------------------------------------------------------------------------

    @property
    def wants_pixels(self) -> bool:
        """True if the layer's image or strokes are shown, or rows of dead nozzles."""
        return any(self.parts[part].isChecked() for part in ("pixels", "strokes")) or bool(self._dead())

    @property
    def wants_nozzles(self) -> bool:
        """True while a view is open that needs all nozzles, and they aren't there."""
        return self._nozzles is None and self.tabs.currentIndex() > 0 and self.isVisible()

    def show_layer(self) -> None:
        """Show the figures of the layer."""
        box, layer = self.document.box, self.document.layer
        if box is None or box.layer_count == 0:
            self.heading.setText(self.tr("No plan yet"))
            return
        self.nozzle_map.show_layer(layer)
        self.heading.setText(
            self.tr("Printed area {0} cm² · outline {1} m · binder {2} · time {3}").format(
                number(float(box.printed_area_mm2[layer]) / MM2_PER_CM2, 1),
                number(float(box.boundary_mm[layer]) * M_PER_MM, 2),
                quantity(float(box.binder_ml[layer]), "mL"),
                quantity(float(box.time_s[layer]), "s"),
            )
        )

    def show_outlines(self, layer: int, outlines: Outlines) -> None:
        """Show the cores' own outlines."""
        self.view.show_outlines(outlines, layer)

    def show_printed(self, layer: int, outlines: Outlines) -> None:
        """Show the outlines of what gets binder."""
        self.view.show_printed(outlines, layer)

    def show_pixels(self, layer: int, pixels: LayerPixels) -> None:
        """Show a layer's image."""
        self.view.show_pixels(layer, pixels)

    def show_nozzles(self, nozzles: BoxNozzles) -> None:
        """Show what all nozzles do."""
        self._nozzles = nozzles
        for reading in (self.chart_reading, self.nozzle_reading):
            reading.setText("")
        self._show_charts()
        is_empty = nozzles.state.size == 0
        self._say_of_nozzles(self.tr("No nozzle prints in this box.") if is_empty else "")

    def say_progress(self, share: float) -> None:
        """Tell how far the nozzles are followed."""
        if self._nozzles is None:
            text = self.tr("All nozzles of this box are being followed, for their idle times: {0} % done.")
            self._say_of_nozzles(text.format(number(100.0 * share, 0)))

    def say_failed(self) -> None:
        """Tell that the nozzles could not be followed."""
        if self._nozzles is None and self.document.plan is not None:
            self._say_of_nozzles(self.tr("The nozzles could not be followed; planning again (F5) may help."))

    def _say_of_nozzles(self, sentence: str) -> None:
        """Show a sentence where idle times and the map would be."""
        self.charts.say_of_idle(sentence)
        self.nozzle_map.say(sentence)

    def _drop_nozzles(self) -> None:
        self._nozzles = None
        if self.document.plan is None:
            self._say_of_nozzles(self.tr("No plan yet: open a job or plan it (F5)."))
        else:
            self.say_progress(0.0)
        self._has_charts = False
        self.nozzle_map.show_nozzles(None, None, 0)
        self.show_layer()
        if self.isVisible():
            self._show_tab()

    def _show_tab(self) -> None:
        if self.tabs.currentIndex() > 0 and not self._has_charts:
            self._show_charts()
        if self.wants_nozzles:
            self.nozzles_asked.emit()

    def _show_charts(self) -> None:
        box = self.document.box
        self._has_charts = True
        self.charts.show_box(box, self._nozzles)
        self.nozzle_map.show_nozzles(box, self._nozzles, self.document.layer)

    def showEvent(self, event: QShowEvent) -> None:
        """Ask for what only a visible page needs."""
        super().showEvent(event)
        self.shown.emit()
        self._show_tab()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_has_charts"):
            self._show_legend()

    # --- what the user does -------------------------------------------------------------------------

    def _toggle(self, part: str, is_on: bool) -> None:
        self.view.set_part(part, is_on)
        if part in ("pixels", "strokes"):
            self.pixels_asked.emit(self.wants_pixels)

    def _dead(self) -> frozenset[int]:
        return nozzles_in(self.dead_nozzles.text()) or frozenset()

    def _take_dead(self) -> None:
        dead = nozzles_in(self.dead_nozzles.text())
        if dead is None:
            self.nozzle_reading.setText(
                self.tr("Dead nozzles are numbers and spans, as 12, 40-43; this is neither: {0}").format(
                    self.dead_nozzles.text()
                )
            )
            dead = frozenset()
        self.view.set_dead_nozzles(dead)
        self.nozzle_map.set_dead_nozzles(dead)
        self.pixels_asked.emit(self.wants_pixels)

    def _read_layer(self, x_mm: float, y_mm: float) -> None:
        plan = self.document.plan
        if plan is None:
            return
        parts = [f"x {number(x_mm, 2)} mm · y {number(y_mm, 2)} mm"]
        drawn, printed = self.view.cores_at(x_mm, y_mm)
        pixels = self.view.pixels
        if pixels is not None:
            row, column = pixels.place(x_mm, y_mm)
            state = self.tr("on") if pixels.is_on(row, column) else self.tr("off")
            parts.append(self.tr("pixel {0}, {1}: {2}").format(column, row, state))
            nozzle = pixels.nozzle(row)
            if nozzle >= 0:
                dead = self.tr(", dead") if nozzle in self._dead() else ""
                parts.append(self.tr("nozzle {0}").format(nozzle) + dead)
        if drawn is None and printed is None:
            parts.append(self.tr("outside"))
        elif not self.view.has_printed or drawn == printed:
            parts.append(self.tr("inside {0}").format(plan.core_names.get(drawn or "", drawn)))
        elif printed is None:
            name = plan.core_names.get(drawn or "", drawn)
            parts.append(self.tr("inside {0} as drawn, gets no binder").format(name))
        else:
            name = plan.core_names.get(printed, printed)
            parts.append(self.tr("gets binder for {0}, outside it as drawn").format(name))
        self.layer_reading.setText(" · ".join(parts))


def nozzles_in(text: str) -> frozenset[int] | None:
    """Return the nozzles in a text as 12, 40-43; None for a text that is none."""
    found: set[int] = set()
    for part in text.replace(";", ",").split(","):
        low, dash, high = (piece.strip() for piece in part.partition("-"))
        if not low and not dash:
            continue
        if not low.isdecimal() or (dash and not high.isdecimal()):
            return None
        first, last = int(low), int(high) if dash else int(low)
        if not first <= last < MOST_NOZZLES:
            return None
        found.update(range(first, last + 1))
    return frozenset(found)


def _reading(name: str) -> QLabel:
    """Return a line for readings, which can be copied."""
    label = QLabel()
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    label.setAccessibleName(name)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignTop)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    label.setFixedHeight(2 * label.fontMetrics().lineSpacing() + 4)
    return label


def _stacked(top: QLayout, content: QWidget, reading: QLabel) -> QWidget:
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 2, 0, 0)
    column.setSpacing(2)
    column.addLayout(top)
    column.addWidget(content, 1)
    column.addWidget(reading)
    return holder


def _sample(part: str, colour: QColor) -> QIcon:
    """Return a part's line, or a pixel pattern, as the legend has it."""
    pixmap = QPixmap(SAMPLE)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setPen(QPen(colour, 2, LINES.get(part, Qt.PenStyle.SolidLine)))
    if part in LINES:
        painter.drawLine(1, SAMPLE.height() // 2, SAMPLE.width() - 1, SAMPLE.height() // 2)
    else:
        for n in range(4):
            painter.fillRect(4 + 5 * n, 2 + 4 * (n % 2), 4, 4, colour)
    painter.end()
    return QIcon(pixmap)


def _patch(colour: QColor, frame: QColor) -> QPixmap:
    pixmap = QPixmap(12, 12)
    pixmap.fill(colour)
    painter = QPainter(pixmap)
    painter.setPen(frame)
    painter.drawRect(0, 0, 11, 11)
    painter.end()
    return pixmap
