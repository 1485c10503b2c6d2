"""Where no window can be opened, one sentence says so and what to install."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.qt.screen import require_library, require_screen
from corelib.errors import InputError
from corelib.wording import error_sentence


def test_without_a_screen_the_sentence_names_the_way_out() -> None:
    with pytest.raises(InputError) as error:
        require_screen({}, "linux")
    assert error.value.code == "window.no_screen"
    assert "corestow plan" in error_sentence(error.value)


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_missing_library_is_named_with_the_packages(tmp_path: Path, language: str) -> None:
    with pytest.raises(InputError) as error:
        require_library(tmp_path / "libqxcb.so")
    sentence = error_sentence(error.value, language)
    assert "libqxcb.so" in sentence
    assert "libxcb-cursor0" in sentence
    assert "libegl1" in sentence


@pytest.mark.parametrize("environment", [{"QT_QPA_PLATFORM": "offscreen"}, {"WAYLAND_DISPLAY": "wayland-0"}])
def test_other_platforms_are_left_to_qt(environment: dict[str, str]) -> None:
    require_screen(environment, "linux")
