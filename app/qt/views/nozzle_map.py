"""The nozzle map: what every nozzle does in every layer of a box."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from app.qt.figures import number, quantity
from app.qt.palette import BLUE, ORANGE, SKY_BLUE, VERMILLION, accent, faint_ink, ground, ink, is_dark, mixed
from app.qt.shown_layer import DRIES, LATE, NEVER, PRINTS, RESTS, BoxNozzles
from app.qt.shown_plan import ShownBox
from app.qt.views.chart_export import PictureActions, Table
from app.qt.views.local_axis import local_axes
from app.qt.views.plot_hint import PlotHint

BIG_STEP = 10


class NozzleMap(pg.PlotWidget):
    """Nozzles across, height upward, a colour a state; pointer or arrow keys read one, in words."""

    told = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, axisItems=local_axes())
        self._box: ShownBox | None = None
        self._nozzles: BoxNozzles | None = None
        self._dead: frozenset[int] = frozenset()
        self._place = (0, 0)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Nozzle map"))
        self.setToolTip(self.tr("Wheel: zoom. Drag: move. Arrow keys: read. Double click or Home: all."))
        item = self.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        for side, text in (("left", self.tr("height, mm")), ("bottom", self.tr("nozzle"))):
            item.getAxis(side).enableAutoSIPrefix(False)
            item.getAxis(side).setLabel(text)
        self._image = pg.ImageItem(axisOrder="row-major")
        self._level = pg.InfiniteLine(angle=0, movable=False)
        self._cross = pg.ScatterPlotItem(symbol="+", size=15, pxMode=True)
        for part in (self._image, self._level, self._cross):
            item.addItem(part)
        self.hint = PlotHint(self, item)
        self.pictures = PictureActions(self, self.tr("nozzles"), self.table)
        self._take_palette()

    def show_nozzles(self, box: ShownBox | None, nozzles: BoxNozzles | None, layer: int) -> None:
        """Show a box's nozzles, or none."""
        self._box, self._nozzles = box, nozzles
        self._cross.setData([], [])
        has_all = box is not None and nozzles is not None and nozzles.state.size > 0
        self._image.setVisible(has_all)
        self._level.setVisible(has_all)
        self.getPlotItem().setVisible(has_all)
        if not has_all:
            return
        assert box is not None
        assert nozzles is not None
        layers, count = nozzles.state.shape
        self._image.setImage(nozzles.state, autoLevels=False, levels=(0, 5))
        self._image.setRect(0.0, 0.0, float(count), layers * box.thickness_mm)
        self.show_layer(layer)
        self.show_all()

    def say(self, sentence: str) -> None:
        """Show a sentence where the map would be; none where it is."""
        self.hint.say(sentence)

    def show_layer(self, layer: int) -> None:
        """Mark the layer shown."""
        if self._box is not None:
            self._level.setPos((layer + 0.5) * self._box.thickness_mm)
            self._place = (layer, self._place[1])

    def set_dead_nozzles(self, nozzles: frozenset[int]) -> None:
        """Tell dead nozzles as such."""
        self._dead = nozzles

    def show_all(self) -> None:
        """Show the whole map."""
        self.getPlotItem().getViewBox().autoRange(padding=0.0)

    def states(self) -> list[tuple[str, QColor]]:
        """Return the states' words with their colours: the legend."""
        colours = self._colours()
        words = {
            PRINTS: self.tr("prints"),
            LATE: self.tr("prints past its open time"),
            RESTS: self.tr("rests"),
            DRIES: self.tr("rests past its open time"),
            NEVER: self.tr("not used"),
        }
        return [(word, colours[state]) for state, word in words.items()]

    def _colours(self) -> dict[int, QColor]:
        palette = self.palette()
        dark = is_dark(palette)
        return {
            NEVER: ground(palette),
            RESTS: mixed(ink(palette), ground(palette), 0.80),
            DRIES: mixed(ORANGE, ground(palette), 0.35),
            PRINTS: SKY_BLUE if dark else BLUE,
            LATE: mixed(VERMILLION, QColor("white" if dark else "black"), 0.15),
        }

    def _tell(self, layer: int, nozzle: int) -> None:
        nozzles, box = self._nozzles, self._box
        if nozzles is None or box is None:
            return
        layers, count = nozzles.state.shape
        if not (0 <= layer < layers and 0 <= nozzle < count):
            self.told.emit("")
            return
        word = dict(zip((PRINTS, LATE, RESTS, DRIES, NEVER), (w for w, _ in self.states()), strict=True))[
            int(nozzles.state[layer, nozzle])
        ]
        if nozzle in self._dead:
            word = self.tr("dead; would be: {0}").format(word)
        parts = [
            self.tr("Nozzle {0}").format(nozzle),
            self.tr("layer {0} · {1} mm").format(layer + 1, number(layer * box.thickness_mm, 2)),
            word,
        ]
        if nozzles.state[layer, nozzle] != NEVER:
            parts.append(self.tr("idle for {0}").format(quantity(float(nozzles.idle_s[layer, nozzle]), "s")))
        self.told.emit(" · ".join(parts))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Read the nozzle under the pointer."""
        super().mouseMoveEvent(event)
        if self._box is None or event.buttons():
            return
        scene = self.mapToScene(event.position().toPoint())
        place = self.getPlotItem().getViewBox().mapSceneToView(QPointF(scene))
        self._place = int(np.floor(place.y() / self._box.thickness_mm)), int(np.floor(place.x()))
        self._cross.setData([], [])
        self._tell(*self._place)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole map."""
        self.show_all()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Read by keys; other keys go on."""
        steps = {
            Qt.Key.Key_Left: (0, -1),
            Qt.Key.Key_Right: (0, 1),
            Qt.Key.Key_Up: (1, 0),
            Qt.Key.Key_Down: (-1, 0),
        }
        key = Qt.Key(event.key())
        box, nozzles = self._box, self._nozzles
        if key in steps and box is not None and nozzles is not None and nozzles.state.size:
            many = BIG_STEP if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            layers, count = nozzles.state.shape
            layer = min(max(self._place[0] + many * steps[key][0], 0), layers - 1)
            nozzle = min(max(self._place[1] + many * steps[key][1], 0), count - 1)
            self._place = layer, nozzle
            self._cross.setData([nozzle + 0.5], [(layer + 0.5) * box.thickness_mm])
            self._tell(layer, nozzle)
        elif key == Qt.Key.Key_Home:
            self.show_all()
        else:
            event.ignore()

    def table(self) -> Table:
        """Return, nozzle by nozzle, in how many layers it is in each state and its longest idle time."""
        heads = ["nozzle", "layers_printed", "layers_past_open_time", "longest_idle_before_a_drop_s"]
        nozzles = self._nozzles
        if nozzles is None:
            return heads, []
        prints = np.isin(nozzles.state, (PRINTS, LATE))
        idle_s = np.where(prints, nozzles.idle_s, 0.0).max(axis=0, initial=0.0)
        late = (nozzles.state == LATE).sum(axis=0)
        columns = (range(nozzles.state.shape[1]), prints.sum(axis=0).tolist(), late.tolist(), idle_s.tolist())
        return heads, list(zip(*columns, strict=True))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer the map as a file."""
        self.pictures.pop_up(event.globalPos())

    def changeEvent(self, event: QEvent) -> None:
        """Follow the system palette."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_cross"):
            self._take_palette()

    def _take_palette(self) -> None:
        palette = self.palette()
        self.setBackground(ground(palette))
        for side in ("left", "bottom"):
            axis = self.getPlotItem().getAxis(side)
            axis.setPen(pg.mkPen(faint_ink(palette)))
            axis.setTextPen(pg.mkPen(ink(palette)))
        colours = self._colours()
        table = [[c.red(), c.green(), c.blue(), 255] for _, c in sorted(colours.items())]
        self._image.setLookupTable(np.array(table, dtype=np.uint8))
        self._level.setPen(pg.mkPen(accent(palette), width=2))
        self._cross.setPen(pg.mkPen(ink(palette), width=2))
