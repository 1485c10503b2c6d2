"""Three users' stories on the sample, from start to printed sheet: planner, estimator, supervisor.

Through keys, mouse and drops, with the true use cases in their children. Pictures of the steps are written
into the folder that CORESTOW_STORY_PICTURES names.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.qt.number_edit import NumberEdit
from app.qt.preview import Preview
from app.runner import Runner
from corelib.job.files import read_job
from tests.app.qt.conftest import READY_MS, StandingRunner, Watchdog
from tests.app.qt.test_main_window import drop
from tests.app.qt.test_pages import enter
from tests.pace import held

ROOT = Path(__file__).parents[3]
LEFT = Qt.MouseButton.LeftButton
CONTROL = Qt.KeyboardModifier.ControlModifier
SLOW_MS = 280_000
"""Kernels may have to be compiled first."""
SEARCH_S = "2"


@pytest.fixture(scope="module")
def true_runner(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Runner]:
    """Return a runner over the true use cases for all stories."""
    runner = StandingRunner(runs=tmp_path_factory.mktemp("story_runs"))
    yield runner
    runner.end_for_good()


@pytest.fixture
def sample(tmp_path: Path) -> Path:
    """Return a copy of the sample job."""
    shutil.copytree(ROOT / "sample_jobs", tmp_path / "jobs", ignore=shutil.ignore_patterns("*.plan"))
    return tmp_path / "jobs" / "pump_housing.json"


class Story:
    """A window, the hands on it, and pictures of what they did."""

    def __init__(self, name: str, window: MainWindow, qtbot: QtBot, watchdog: Watchdog) -> None:
        self.window, self.qtbot, self.watchdog = window, qtbot, watchdog
        self._name, self._step = name, 0

    def picture(self, what: str) -> None:
        """Write a picture of the window if pictures are wanted."""
        folder = os.environ.get("CORESTOW_STORY_PICTURES")
        self._step += 1
        if folder:
            self.qtbot.wait(300)
            Path(folder).mkdir(parents=True, exist_ok=True)
            shown = self.window.findChild(Preview) or self.window
            (shown if shown.isVisible() else self.window).grab().save(
                str(Path(folder) / f"{self._name}-{self._step:02d}-{what}.png")
            )
            self.watchdog.forget()

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Press a key where the focus is."""
        self.qtbot.keyClick(QApplication.focusWidget() or self.window, key, modifier)

    def go_to(self, place: int) -> None:
        """Go to a page of the window by its key."""
        self.qtbot.keyClick(self.window, Qt.Key(Qt.Key.Key_1 + place), Qt.KeyboardModifier.AltModifier)
        assert self.window.pages.currentIndex() == place

    def drop_sample(self, sample: Path) -> None:
        """Drop the job on the window and wait for its plan; start and first frame are not stalls."""
        assert drop(self.window, sample)
        self.until_planned()
        self.qtbot.wait(300)
        self.watchdog.forget()

    def until_planned(self) -> None:
        """Wait until the plan shown is that of the job, and nothing is in work."""
        window = self.window
        self.qtbot.waitUntil(
            lambda: (
                window.document.plan is not None
                and window.document.plan_is_current
                and not window.plan_worker.is_busy
            ),
            timeout=SLOW_MS,
        )

    def type_into(self, edit: NumberEdit, text: str) -> None:
        """Type a number into a field."""
        edit.setFocus()
        edit.selectAll()
        self.qtbot.keyClicks(edit, text)
        self.qtbot.keyClick(edit, Qt.Key.Key_Return)

    def print_sheet(self, sheet: str, target: Path, monkeypatch: pytest.MonkeyPatch) -> str:
        """Look at a sheet, print it to a file, close; returns the words of its PDF as it is made."""
        self.qtbot.keyClick(self.window, Qt.Key.Key_P, CONTROL)
        shown = self.window.findChild(Preview)
        assert shown is not None
        self.qtbot.waitUntil(shown.print_button.isEnabled, timeout=SLOW_MS)
        while shown.sheet.currentData() != sheet:
            self.qtbot.keyClick(shown.sheet, Qt.Key.Key_Down)
        self.qtbot.waitUntil(shown.print_button.isEnabled, timeout=SLOW_MS)
        pages = shown.pages.page_count
        assert pages >= 1
        self.picture(f"{sheet}-before-printing")

        def accept(dialog: QPrintDialog) -> QDialog.DialogCode:
            dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
            dialog.printer().setOutputFileName(str(target))
            return QDialog.DialogCode.Accepted

        monkeypatch.setattr(QPrintDialog, "exec", accept)
        self.qtbot.mouseClick(shown.print_button, LEFT)
        self.qtbot.waitUntil(lambda: target.is_file() and shown.print_button.isEnabled(), timeout=SLOW_MS)
        made = target.with_name(f"made-{sheet}.pdf")
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(made), ""))
        self.qtbot.mouseClick(shown.save_button, LEFT)
        assert len(pypdf.PdfReader(target).pages) == pages == len(pypdf.PdfReader(made).pages)
        self.qtbot.keyClick(shown, Qt.Key.Key_Escape)
        self.qtbot.waitUntil(lambda: self.window.findChild(Preview) is None, timeout=READY_MS)
        self.window.activateWindow()
        self.qtbot.waitUntil(self.window.isActiveWindow, timeout=READY_MS)
        return "\n".join(page.extract_text() for page in pypdf.PdfReader(made).pages)

    def end(self) -> None:
        """Hold that the window answered all the time."""
        print(self.watchdog.told())
        assert self.watchdog.stall_s(95) < held(asked=0.1, busy=0.3)
        assert self.watchdog.stall_s(100) < held(asked=0.25, busy=0.75)
        assert self.window.notice.isHidden() or "fault" not in self.window.notice.text


@pytest.fixture
def story(
    request: pytest.FixtureRequest,
    qtbot: QtBot,
    true_runner: Runner,
    watchdog: Watchdog,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Story]:
    """Return a story over an empty window."""
    monkeypatch.delenv("CORESTOW_CACHE_DIR")  # kernels are compiled once for all tests
    window = MainWindow(true_runner)
    qtbot.addWidget(window, before_close_func=lambda shown: shown.document.history.setClean())
    window.show()
    qtbot.waitExposed(window, timeout=READY_MS)
    window.activateWindow()
    yield Story(request.node.name.split("_")[2], window, qtbot, watchdog)
    window.document.history.setClean()
    window.close()


def test_the_planner_nests_moves_locks_unpacks_and_prints(
    story: Story, sample: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, qtbot = story.window, story.qtbot
    story.picture("start")
    story.drop_sample(sample)
    assert window.desk.findings_view.findings.rowCount() > 0
    story.picture("planned")

    story.go_to(0)
    enter(qtbot, window.cores_page, window.cores_page.sets, "set:housing", "2")
    assert window.key_figures.says_out_of_date
    story.picture("fewer-castings")

    story.go_to(1)
    story.type_into(window.box_page.nest_strip.seconds_edit, SEARCH_S)
    qtbot.mouseClick(window.box_page.nest_strip.nest_button, LEFT)
    qtbot.waitUntil(lambda: window.plan_worker.is_busy, timeout=READY_MS)
    story.until_planned()
    assert window.document.packing is not None
    height_mm = window.document.box.height_mm  # type: ignore[union-attr]
    assert 0.0 < height_mm <= 400.0
    story.picture("nested")

    move_and_lock(story)
    story.until_planned()
    story.picture("moved-and-locked")

    rule = window.desk.height_rule
    rule.setFocus()
    layer = window.document.layer
    for _ in range(12):
        qtbot.keyClick(rule, Qt.Key.Key_PageUp)
    assert window.document.layer > layer
    qtbot.keyClick(window, Qt.Key.Key_K, CONTROL)
    story.picture("cut")
    qtbot.keyClick(window, Qt.Key.Key_K, CONTROL)

    qtbot.keyClick(window, Qt.Key.Key_U, CONTROL)
    player = window.desk.player
    qtbot.waitUntil(player.isVisible, timeout=READY_MS)
    player.setFocus()
    for _ in range(3):
        qtbot.mouseClick(player.on_button, LEFT)
    story.picture("unpacking")
    qtbot.keyClick(window, Qt.Key.Key_U, CONTROL)

    text = story.print_sheet("plan-sheet", tmp_path / "printed.pdf", monkeypatch)
    assert "LW-210" in text
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL)
    assert not window.document.is_dirty
    saved = read_job(sample)
    assert saved.packing is not None
    assert any(place.locked for place in saved.packing.placements)
    story.end()


def move_and_lock(story: Story) -> None:
    """Take the tool by its key, choose a core in the picture, lift it by a key, and lock it."""
    window, qtbot = story.window, story.qtbot
    view = window.desk.box_view
    qtbot.keyClick(window, Qt.Key.Key_M, CONTROL)
    assert view.tool == "move"
    assert view.scene is not None
    at = view.scene.camera.on_picture(window.desk.centre_of(0), view.width(), view.height())[0]
    qtbot.mouseClick(view, LEFT, pos=QPoint(round(at[0]), round(at[1])))
    if window.document.copy < 0:  # an open middle: its list has it too
        window.box_page.placements.setCurrentItem(window.box_page.placements.topLevelItem(0))
    qtbot.waitUntil(lambda: "asked for" in window.desk.box_tools.text.text(), timeout=SLOW_MS)
    steps = window.document.history.count()
    with qtbot.waitSignal(window.bench.hand.read, timeout=SLOW_MS):
        qtbot.keyClick(view, Qt.Key.Key_PageUp)
    with qtbot.waitSignal(window.bench.hand.read, timeout=SLOW_MS):
        qtbot.keyClick(view, Qt.Key.Key_L)
    qtbot.waitUntil(lambda: window.document.history.count() > steps, timeout=READY_MS)
    assert "Locked" in window.desk.box_tools.text.text()


def test_the_estimator_changes_rates_prices_quantities_and_prints(
    story: Story, sample: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, qtbot = story.window, story.qtbot
    story.drop_sample(sample)
    story.go_to(4)
    page = window.cost_page
    story.picture("figures")

    page.tabs.setFocus()
    story.key(Qt.Key.Key_Right)
    enter(qtbot, page, page.inputs, "rates.sand_per_kg", "1.5")
    qtbot.waitUntil(lambda: page.moved.topLevelItemCount() > 0, timeout=SLOW_MS)
    assert any(row[0] == "Cost" and "▲" in row[3] for row in page.moved.rows())
    story.picture("what-moved")

    page.tabs.setFocus()
    story.key(Qt.Key.Key_Right)
    quote = page.quote
    quote.quantities.setFocus()
    quote.quantities.selectAll()
    qtbot.keyClicks(quote.quantities, "1,6")
    story.key(Qt.Key.Key_Return)
    qtbot.waitUntil(quote.chart.isVisible, timeout=SLOW_MS)
    assert quote.table.topLevelItemCount() == 2
    quote.chart.setFocus()
    story.key(Qt.Key.Key_Right)
    assert "printed" in quote.reading.text()
    story.picture("price-against-quantity")

    qtbot.keyClick(window, Qt.Key.Key_F5)
    story.until_planned()
    text = story.print_sheet("process-sheet", tmp_path / "printed.pdf", monkeypatch)
    assert "LW-210" in text
    story.end()


def test_the_supervisor_compares_plans_and_prints_the_one(
    story: Story, sample: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, qtbot = story.window, story.qtbot
    story.drop_sample(sample)
    story.go_to(5)
    page = window.compare_page
    qtbot.mouseClick(page.keep_button, LEFT)

    story.go_to(1)
    enter(qtbot, window.box_page, window.box_page.rules, "gap", "8")
    qtbot.keyClick(window, Qt.Key.Key_F5)
    story.until_planned()
    story.go_to(5)
    qtbot.mouseClick(page.keep_button, LEFT)
    assert len(page.plans) == 2
    assert page.table.topLevelItemCount() > 6
    assert page.statements.text()
    story.picture("side-by-side")
    for what in ("boxes-in-step", "over-height"):
        page.tabs.setFocus()
        story.key(Qt.Key.Key_Right)
        qtbot.wait(100)
        story.picture(what)
    page.choice.reason.setFocus()
    qtbot.keyClicks(page.choice.reason, "more room to unpack")
    page.choice.by.setFocus()
    qtbot.keyClicks(page.choice.by, "M. Example")
    qtbot.mouseClick(page.choice.pick_button, LEFT)
    qtbot.keyClick(window, Qt.Key.Key_S, CONTROL)
    choice = read_job(sample).choice
    assert choice is not None
    assert choice.reason == "more room to unpack"
    story.picture("picked")

    text = story.print_sheet("box-cards", tmp_path / "printed.pdf", monkeypatch)
    assert text.strip()
    story.end()
