"""The box by hand: nesting, moving, turning, locking, measuring, unpacking - through keys and mouse."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.qt.main_window import MainWindow
from app.runner import Runner
from corelib.errors import InputError
from corelib.files import canonical_json
from corelib.job import edits
from corelib.job.files import job_document, read_job, write_job
from corelib.job.new import NewJob
from corelib.job.packing_edits import placement_documents, with_other_box
from corelib.usecases.jobs import write_new_job
from tests.app.qt.conftest import READY_MS, MakeJob, StandingRunner
from tests.app.qt.test_pages import enter

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier
SLOW_MS = 280_000
PLATE_MM = (120.0, 80.0, 20.0)


@pytest.fixture(scope="module")
def true_runner(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Runner]:
    """Return a runner over the true use cases."""
    runner = StandingRunner(runs=tmp_path_factory.mktemp("true_runs"))
    yield runner
    runner.end_for_good()


@pytest.fixture
def bench(
    qtbot: QtBot, true_runner: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[MainWindow]:
    """Return a window with a planned job of six blocks."""
    monkeypatch.delenv("CORESTOW_CACHE_DIR")  # kernels are compiled once for all tests
    path = tmp_path / "blocks.json"
    write_new_job(path, NewJob(meshes=(), blocks=("Plate=120,80,20,0.2=4", "Bar=150,20,20,0.05=2")))
    window = MainWindow(true_runner)
    qtbot.addWidget(window, before_close_func=lambda w: w.document.history.setClean())
    window.show()
    qtbot.waitExposed(window, timeout=READY_MS)
    with qtbot.waitSignal(window.plan_worker.planned, timeout=SLOW_MS):
        window.open_job(path)
    qtbot.waitUntil(lambda: not window.plan_worker.is_busy, timeout=READY_MS)
    QApplication.processEvents()
    yield window
    window.document.history.setClean()
    window.close()


def bytes_of(window: MainWindow) -> bytes:
    assert window.document.job is not None
    return canonical_json(job_document(window.document.job))


def take_hold(window: MainWindow, qtbot: QtBot, number: int = 0) -> None:
    """Take up the tool that moves cores by key, and choose a core in the list."""
    view = window.desk.box_view
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_M)
    assert view.tool == "move"
    window.pages.setCurrentWidget(window.box_page)
    window.box_page.placements.setCurrentItem(window.box_page.placements.topLevelItem(number))
    qtbot.waitUntil(lambda: "asked for" in window.desk.box_tools.text.text(), timeout=SLOW_MS)


def press(window: MainWindow, qtbot: QtBot, key: Qt.Key, modifier: Qt.KeyboardModifier | None = None) -> None:
    """Press a key in the box view and wait until it is answered."""
    with qtbot.waitSignal(window.bench.hand.read, timeout=READY_MS):
        qtbot.keyClick(window.desk.box_view, key, modifier or Qt.KeyboardModifier.NoModifier)


def height_of(window: MainWindow, number: int = 0) -> float:
    return float(window.document.placements[number].matrix[2, 3])


def test_keys_move_a_core_and_every_step_is_undone(bench: MainWindow, qtbot: QtBot) -> None:
    before, low = bytes_of(bench), height_of(bench)
    take_hold(bench, qtbot)
    reading = bench.desk.box_tools.text.text()
    assert "Gap" in reading or "No other core near" in reading
    press(bench, qtbot, Qt.Key.Key_PageUp)
    thickness = bench.document.box.thickness_mm  # type: ignore[union-attr]
    rise = height_of(bench) - low
    assert rise == pytest.approx(5.0, abs=thickness)
    press(bench, qtbot, Qt.Key.Key_PageUp, SHIFT)
    assert height_of(bench) - low - rise == pytest.approx(thickness)
    job = bench.document.job
    assert job is not None and job.packing is not None
    assert [place.placed_by for place in job.packing.placements].count("hand") == 1
    assert bench.document.history.count() == 2
    assert "move Bar 1" in bench.undo_action.text()
    assert bench.box_page.placements.topLevelItem(0).text(4) == "hand"  # type: ignore[union-attr]
    qtbot.waitUntil(lambda: bench.document.plan_is_current, timeout=SLOW_MS)  # the figures follow
    while bench.document.history.canUndo():
        qtbot.keyClick(bench, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bytes_of(bench) == before


def test_a_core_stops_at_the_wall_and_says_why(bench: MainWindow, qtbot: QtBot) -> None:
    take_hold(bench, qtbot)
    bench.desk.box_tools.step_edit.setFocus()
    bench.desk.box_tools.step_edit.selectAll()
    qtbot.keyClicks(bench.desk.box_tools.step_edit, "500")
    qtbot.keyClick(bench.desk.box_tools.step_edit, Qt.Key.Key_Return)
    assert bench.bench.hand.step_mm == 500.0
    press(bench, qtbot, Qt.Key.Key_PageUp)
    text = bench.desk.box_tools.text.text()
    assert "The core goes no further." in text and "top of the box" in text.lower()
    before = bytes_of(bench)
    press(bench, qtbot, Qt.Key.Key_PageUp)
    assert bytes_of(bench) == before


def test_a_drag_is_one_step_and_a_core_is_turned_and_locked(bench: MainWindow, qtbot: QtBot) -> None:
    take_hold(bench, qtbot)
    press(bench, qtbot, Qt.Key.Key_R)
    assert bench.document.history.count() == 1
    view = bench.desk.box_view
    assert view.scene is not None
    at = view.scene.camera.on_picture(bench.desk.centre_of(0), view.width(), view.height())[0]
    place = QPoint(round(at[0]), round(at[1]))
    qtbot.mousePress(view, LEFT, pos=place)
    number = bench.document.copy
    assert number >= 0
    start = bench.document.placements[number].matrix.copy()
    for step in range(1, 9):
        qtbot.mouseMove(view, place + QPoint(4 * step, 0), delay=20)
    qtbot.mouseRelease(view, LEFT, pos=place + QPoint(36, 0))
    qtbot.waitUntil(lambda: bench.document.history.count() == 2, timeout=READY_MS)
    moved = bench.document.placements[number].matrix
    assert np.abs(moved - start)[:2, 3].max() > 1.0
    assert moved[2, 3] == pytest.approx(start[2, 3])
    qtbot.keyClick(view, Qt.Key.Key_L)
    assert bench.document.placements[number].locked
    assert len(view.marks.locks_mm) == 1
    assert bench.box_page.placements.topLevelItem(number).text(5) == "locked"  # type: ignore[union-attr]
    locked = bytes_of(bench)
    qtbot.keyClick(view, Qt.Key.Key_PageUp)
    assert "locked" in bench.notice.text
    assert bytes_of(bench) == locked
    qtbot.mouseClick(bench.desk.box_tools.lock_button, LEFT)
    assert not bench.document.placements[number].locked


@pytest.fixture
def two_boxes(bench: MainWindow, tmp_path: Path, qtbot: QtBot) -> MainWindow:
    """Return the window with a job of blocks that takes two boxes, each with a witness bar."""
    path = tmp_path / "two.json"
    asked = NewJob(meshes=(), blocks=("Plate=120,80,20,0.2=7", "Bar=150,20,20,0.05=1"), box="260,220,75")
    write_new_job(path, asked)
    write_job(edits.with_extra(read_job(path), "witness_bars", 1), path)
    with qtbot.waitSignal(bench.plan_worker.planned, timeout=SLOW_MS):
        bench.open_job(path)
    qtbot.waitUntil(lambda: not bench.plan_worker.is_busy, timeout=READY_MS)
    assert bench.document.plan is not None and len(bench.document.plan.boxes) == 2
    return bench


def names_in(window: MainWindow) -> list[str]:
    return [f"{place.core} {place.copy_number + 1}" for place in window.document.placements]


def test_a_core_is_moved_to_another_box_and_back_by_undo(two_boxes: MainWindow, qtbot: QtBot) -> None:
    bench, document = two_boxes, two_boxes.document
    before, first, tools = bytes_of(bench), names_in(bench), bench.desk.box_tools
    number = next(n for n, name in enumerate(first) if name.startswith("Plate"))
    take_hold(bench, qtbot, number)
    assert [action.isEnabled() for action in tools.box_menu.actions()] == [False, True]
    assert tools.box_button.isVisible()
    with qtbot.waitSignal(bench.bench.hand.read, timeout=READY_MS):
        tools.box_menu.actions()[1].trigger()
    moved = first[number]
    assert document.box_index == 1
    assert names_in(bench)[document.copy] == moved
    assert len(names_in(bench)) == bench.box_page.placements.topLevelItemCount()
    assert bench.desk.shows(document.copy) and not bench.desk.shows(len(names_in(bench)))
    text = tools.text.text()
    assert "asked for" in text and "Overlaps" not in text  # the gap there
    assert f"move {moved} to box 2" in bench.undo_action.text()
    document.show_box(0)
    assert names_in(bench) == [name for name in first if name != moved]
    qtbot.waitUntil(lambda: document.plan_is_current, timeout=SLOW_MS)
    plan = document.plan
    assert plan is not None and plan.document["packed_by"] == "job"
    assert not [finding for finding in plan.findings if finding.severity == "stop"]
    qtbot.keyClick(bench, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bytes_of(bench) == before
    with qtbot.waitSignal(bench.plan_worker.planned, timeout=SLOW_MS):
        qtbot.keyClick(bench, Qt.Key.Key_F5)
    assert names_in(bench) == first


def test_the_last_box_goes_with_its_last_core_and_riders_stay(two_boxes: MainWindow, qtbot: QtBot) -> None:
    bench, document = two_boxes, two_boxes.document
    take_hold(bench, qtbot, next(n for n, name in enumerate(names_in(bench)) if name.startswith("witness")))
    qtbot.keyClick(bench, Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    assert "stays in its box" in bench.notice.text
    job, packing = document.job, document.packing
    assert job is not None and packing is not None
    own = [place for place in packing if place["core"] in ("Plate", "Bar")]
    for place in [place for place in own if place["box"] == 1]:
        packing = placement_documents(job_document(job)["packing"]["placements"]) if job.packing else packing
        job = with_other_box(job, packing, {**place, "box": 0})
    assert job.packing is not None and {place.box for place in job.packing.placements} == {0}
    assert len(job.packing.placements) == len(own) + 1  # the bar of box 1 stays, that of box 2 went
    job, packing = document.job, document.packing
    assert job is not None and packing is not None
    with pytest.raises(InputError) as refused:
        for place in [place for place in own if place["box"] == 0]:
            packing = (
                placement_documents(job_document(job)["packing"]["placements"]) if job.packing else packing
            )
            job = with_other_box(job, packing, {**place, "box": 1})
    assert refused.value.code == "job.box_left_empty"


def test_two_clicks_measure_on_the_true_surface(bench: MainWindow, qtbot: QtBot) -> None:
    view = bench.desk.box_view
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_D)
    assert view.tool == "measure" and view.scene is not None
    for number in (0, len(bench.document.placements) - 1):
        at = view.scene.camera.on_picture(bench.desk.centre_of(number), view.width(), view.height())[0]
        with qtbot.waitSignal(bench.bench.measured.changed, timeout=SLOW_MS):
            qtbot.mouseClick(view, LEFT, pos=QPoint(round(at[0]), round(at[1])))
    first, second = bench.bench.measured.places_mm
    for place in (first, second):  # on a face of one of the blocks
        assert any(_is_on_a_face(bench, number, place) for number in range(len(bench.document.placements)))
    length = float(np.linalg.norm(second - first))
    text = bench.desk.box_tools.text.text()
    assert f"{length:.2f} mm ({length / 25.4:.3f} in)" in text
    assert len(view.marks.spans) == 1
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.tool == "look" and view.marks.spans == ()


def _is_on_a_face(window: MainWindow, number: int, place: np.ndarray) -> bool:
    placement, plan = window.document.placements[number], window.document.plan
    assert plan is not None
    vertices = plan.looks[placement.core].rest.vertices_mm
    own = (place - placement.matrix[:3, 3]) @ placement.matrix[:3, :3]
    low, high = own - vertices.min(axis=0), vertices.max(axis=0) - own
    gaps = np.concatenate([low, high])
    return bool(gaps.min() > -1e-6 and gaps.min() < 1e-6)


def test_the_unpacking_is_played_by_keys(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(bench, Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)  # from another tool
    qtbot.keyClick(bench, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    player, view = bench.desk.player, bench.desk.box_view
    assert player.isVisible()
    assert "safety data sheet" in player.cautions.toPlainText() or "dust" in player.cautions.toPlainText()
    assert player.text.text().startswith("Before unpacking")
    box = bench.document.box
    assert box is not None and view.scene is not None
    drawn = []
    for _ in range(player.slider.maximum()):
        qtbot.keyClick(player, Qt.Key.Key_Right)
        moment = player.moment()
        assert moment is not None
        if moment[0].core >= 0:
            drawn.append(moment[0].core)
            assert "draw" in player.text.text() and view.marks.way is not None
        else:
            assert "take the sand down to" in player.text.text()
    assert sorted(drawn) == list(range(len(box.placements)))
    assert player.text.text().startswith(f"Stage {player._unpacking.stages} of")
    qtbot.keyClick(player, Qt.Key.Key_Home)
    qtbot.keyClick(player, Qt.Key.Key_Space)
    assert player.is_playing
    qtbot.waitUntil(lambda: player.place > 0.2, timeout=READY_MS)
    qtbot.keyClick(player, Qt.Key.Key_Space)
    assert not player.is_playing
    qtbot.keyClick(bench, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    assert not player.isVisible()
    assert view.scene.triangles_drawn() > 0 and view.marks.way is None


def test_the_unpacking_is_played_while_a_packing_in_the_making_lacks_cores(
    bench: MainWindow, qtbot: QtBot
) -> None:
    document, player, view = bench.document, bench.desk.player, bench.desk.box_view
    plan = document.plan
    assert plan is not None
    qtbot.keyClick(bench, Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier)
    bench.desk.show_packing(plan, document.placements[:2])  # as a search shows what it has so far
    drawn, with_way = [], []
    for _ in range(player.slider.maximum()):
        qtbot.keyClick(player, Qt.Key.Key_Right)
        moment = player.moment()
        assert moment is not None
        if moment[0].core >= 0:
            drawn.append(moment[0].core)
            with_way += [moment[0].core] if view.marks.way is not None else []
    assert sorted(drawn) == list(range(len(document.placements)))
    assert sorted(with_way) == [0, 1]
    bench.desk.show_box()
    qtbot.keyClick(player, Qt.Key.Key_Left)
    qtbot.keyClick(player, Qt.Key.Key_Right)
    assert view.marks.way is not None


def test_the_packing_grows_in_the_view_and_is_one_edit(
    window: MainWindow, make_job: MakeJob, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job())
    before = bytes_of(window)
    lines: list[str] = []
    window.plan_worker.found.connect(lambda _: lines.append(window.box_page.nest_strip.figures.text()))
    with qtbot.waitSignal(window.plan_worker.nested, timeout=READY_MS):
        qtbot.keyClick(window, Qt.Key.Key_F6)
    qtbot.waitUntil(lambda: window.document.plan_is_current, timeout=READY_MS)
    assert len(lines) == 2 and "86.0 mm high, 20.0 % full" in lines[0]
    job = window.document.job
    assert job is not None and job.packing is not None and job.search.seed == 7
    assert window.document.history.count() == 1
    assert "nesting" in window.undo_action.text()
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bytes_of(window) == before


def test_a_search_that_is_stopped_keeps_the_best(window: MainWindow, make_job: MakeJob, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job(nest_steps=500, nest_s=0.1))
    window.pages.setCurrentWidget(window.box_page)
    strip = window.box_page.nest_strip
    with qtbot.waitSignal(window.plan_worker.found, timeout=READY_MS):
        qtbot.mouseClick(strip.nest_button, LEFT)
    assert strip.stop_button.isEnabled() and not strip.nest_button.isEnabled()
    qtbot.mouseClick(strip.stop_button, LEFT)
    qtbot.waitUntil(lambda: window.document.history.count() == 1, timeout=READY_MS)
    assert window.document.job is not None and window.document.job.packing is not None
    qtbot.waitUntil(lambda: window.document.plan_is_current, timeout=READY_MS)


def test_a_search_that_finds_nothing_lower_changes_nothing(
    window: MainWindow, make_job: MakeJob, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        window.open_job(make_job(is_better=False))
    with qtbot.waitSignal(window.plan_worker.idle, timeout=READY_MS):
        qtbot.keyClick(window, Qt.Key.Key_F6)
    qtbot.waitUntil(lambda: "nothing lower" in window.notice.text, timeout=READY_MS)
    assert window.document.history.count() == 0


def test_seed_and_effort_are_edits_of_the_job(planned: MainWindow, qtbot: QtBot) -> None:
    planned.pages.setCurrentWidget(planned.box_page)
    edit = planned.box_page.nest_strip.seed_edit
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClicks(edit, "41")
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert planned.document.job is not None and planned.document.job.search.seed == 41
    qtbot.keyClick(planned, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert planned.document.job.search.seed == 0


def test_a_sign_in_the_box_leads_to_its_finding_and_back(planned: MainWindow, qtbot: QtBot) -> None:
    view, findings = planned.desk.box_view, planned.desk.findings_view
    planned.desk.add_findings("ring", [])
    numbers = {number for _, number in view.signs}
    assert numbers == {2}  # the one finding with places
    area = next(area for area, number in view.signs if number == 2)
    qtbot.mouseClick(view, LEFT, pos=area.center().toPoint())
    assert findings.currentIndex().row() == 2
    assert [mark.is_chosen for mark in view.marks.findings] == [True] * len(view.marks.findings)
    findings.setCurrentIndex(findings.model().index(0, 0))
    assert view.scene is not None
    before = view.scene.camera.distance
    rect = findings.visualRect(findings.model().index(2, 0))
    findings.scrollTo(findings.model().index(2, 0))
    rect = findings.visualRect(findings.model().index(2, 0))
    qtbot.mouseClick(findings.viewport(), LEFT, pos=rect.center())
    assert view.scene.camera.distance < before  # it looks at the place
    place = view.scene.camera.on_picture(view.marks.findings[0].place_mm, view.width(), view.height())[0]
    assert place[:2] == pytest.approx([view.width() / 2, view.height() / 2], abs=1.0)


def test_the_cut_is_filled_from_the_layer_s_own_outlines(planned: MainWindow, qtbot: QtBot) -> None:
    view, document = planned.desk.box_view, planned.document
    with qtbot.waitSignal(planned.outline_worker.drawn, timeout=READY_MS):
        document.show_layer(10)
    planned.views.cut_action.trigger()
    box = document.box
    assert box is not None and view.scene is not None
    z_mm = float(box.z_mm[10]) + 0.5 * box.thickness_mm
    inside = np.array([150.0 + 60.0, 40.0 + 15.0, z_mm])  # in the middle of the first bar
    view.look_from(0.0, 60.0)
    at = view.scene.camera.on_picture(inside, view.width(), view.height())[0]
    image = view.grab().toImage()
    filled = image.pixelColor(round(at[0]), round(at[1]))
    view.show_cut_faces(None)
    bare = view.grab().toImage().pixelColor(round(at[0]), round(at[1]))
    assert filled != bare
    assert abs(filled.hueF() - view._colours["bar"].hueF()) < 0.05


def test_a_region_to_keep_out_of_is_made_and_sized(planned: MainWindow, qtbot: QtBot) -> None:
    page = planned.box_page
    planned.pages.setCurrentWidget(page)
    qtbot.mouseClick(page.new_region_button, LEFT)
    enter(qtbot, page, page.rules, "region:0:high_mm:0", "80")
    job = planned.document.job
    assert job is not None and job.box.keep_out[0].high_mm == (80.0, 50.0, 50.0)
    qtbot.mouseClick(page.remove_region_button, LEFT)
    assert planned.document.job is not None and planned.document.job.box.keep_out == ()
    assert planned.document.history.count() == 3
