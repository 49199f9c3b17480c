"""Leaving the guide of the first run; from nothing to a first bottle and mix is in `test_first_mix.py`."""

from pathlib import Path

import pytest

from tests.tui.driving import opened, press, seen


async def test_empty_studio_leads_to_its_first_bottle_and_can_be_left(empty_books: str) -> None:
    async with opened(empty_books) as pilot:
        assert "Your first bottle" in seen(pilot.app)
        await press(pilot, "escape")
        assert "Your first bottle" not in seen(pilot.app)
        await press(pilot, "2")
        assert "There is no bottle yet: press r" in seen(pilot.app)


@pytest.mark.sampled(1)
@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_leaving_the_guide_of_no_studio_leaves_no_file(
    tmp_path: Path, fixed_day: None, size: tuple[int, int]
) -> None:
    async with opened(str(tmp_path / "studio.ullage"), size) as pilot:
        await press(pilot, "escape")
    assert list(tmp_path.iterdir()) == []
