"""Journeys begin with the seeded studio of the screens' tests, or with none."""

from pathlib import Path

import pytest

from tests.tui.conftest import empty_books, fixed_day, furnished, studio

__all__ = ["empty_books", "fixed_day", "furnished", "studio"]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home of this test's own, in which files are offered."""
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path
