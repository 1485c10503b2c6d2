"""Binds the layers page to the children that draw: own outlines, what is printed, pixels, nozzles."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.qt.desk import Desk
from app.qt.document import Document
from app.qt.look_worker import LayerWish, LookWorker, NozzleWish
from app.qt.outlines import Outlines
from app.qt.pages.layers_page import LayersPage
from app.qt.palette import core_colours
from app.qt.shown_layer import BoxNozzles, LayerPixels
from app.qt.worker import OutlineWorker
from app.runner import Runner


class LayersBench(QObject):
    """Asks for a layer as soon as it is looked at, and shows what comes if it is still looked at."""

    refused = Signal(object)

    def __init__(
        self,
        document: Document,
        desk: Desk,
        page: LayersPage,
        outlines: OutlineWorker,
        runner: Runner,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._desk, self._page, self._outlines = document, desk, page, outlines
        self.look_worker = LookWorker(runner, self)
        document.plan_changed.connect(self.show_box)
        document.box_changed.connect(self.show_box)
        document.layer_changed.connect(self._ask)
        outlines.drawn.connect(self._show_outlines)
        outlines.failed.connect(self.refused)
        look = self.look_worker
        look.outlined.connect(self._show_printed)
        look.pixelled.connect(self._show_pixels)
        look.nozzled.connect(self._show_nozzles)
        look.progressed.connect(page.say_progress)
        look.failed.connect(self.refused)
        look.failed.connect(lambda _: page.say_failed())
        page.pixels_asked.connect(lambda _: self._ask(document.layer))
        page.nozzles_asked.connect(self._ask_nozzles)
        page.shown.connect(lambda: self._ask_closely(document.layer))

    def end(self) -> None:
        """End the threads."""
        self._outlines.end()
        self.look_worker.end()

    def show_box(self) -> None:
        """Show the document's box, its layer to follow."""
        plan, box = self._document.plan, self._document.box
        if plan is None or box is None:
            self._page.view.set_box(None, {})
            return
        self._page.view.set_box(box.inner_mm, core_colours(plan.core_names))
        self._ask(self._document.layer)

    def _ask(self, layer: int) -> None:
        plan = self._document.plan
        if plan is not None:
            self._outlines.ask(plan.files, self._document.box_index, layer)
            self._ask_closely(layer)

    def _ask_closely(self, layer: int) -> None:
        plan, page = self._document.plan, self._page
        if plan is not None and page.isVisible():
            wish = LayerWish(plan.files, self._document.box_index, layer, page.wants_pixels)
            self.look_worker.ask_layer(wish)

    def _ask_nozzles(self) -> None:
        plan = self._document.plan
        if plan is not None:
            self.look_worker.ask_nozzles(NozzleWish(plan.files, self._document.box_index))

    def _is_shown(self, box: int, layer: int) -> bool:
        document = self._document
        return document.plan is not None and (box, layer) == (document.box_index, document.layer)

    def _show_outlines(self, box: int, layer: int, outlines: Outlines) -> None:
        if self._document.plan is not None and box == self._document.box_index:
            self._page.show_outlines(layer, outlines)
            self._desk.show_outlines(box, layer, outlines)

    def _show_printed(self, box: int, layer: int, outlines: Outlines) -> None:
        if self._is_shown(box, layer):
            self._page.show_printed(layer, outlines)

    def _show_pixels(self, box: int, layer: int, pixels: LayerPixels) -> None:
        if self._is_shown(box, layer):
            self._page.show_pixels(layer, pixels)

    def _show_nozzles(self, box: int, nozzles: BoxNozzles) -> None:
        if self._document.plan is not None and box == self._document.box_index:
            self._page.show_nozzles(nozzles)
