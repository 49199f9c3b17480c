"""Journeys begin with the seeded studio of the screens' tests, or with none."""

from tests.tui.conftest import empty_books, fixed_day, studio

__all__ = ["empty_books", "fixed_day", "studio"]
