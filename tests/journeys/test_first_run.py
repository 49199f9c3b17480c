"""From nothing at all to a first bottle on the shelf, by keys alone."""

from pathlib import Path

import pytest

from tests.tui.driving import holds, opened, press, seen, settle, write


async def test_from_no_books_to_the_first_bottle(tmp_path: Path, fixed_day: None) -> None:
    address = tmp_path / "books" / "studio.ullage"
    async with opened(str(address)) as pilot:
        assert "There are no books yet" in seen(pilot.app)
        await write(pilot, "Lantern Yard")
        await press(pilot, "enter")
        assert address.exists()
        assert "Lantern Yard" in seen(pilot.app)
        assert "Your first bottle" in seen(pilot.app)

        await write(pilot, "Harbour Blue")
        assert "A new product" in seen(pilot.app)
        await press(pilot, "tab")
        await write(pilot, "60 ml")
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
        assert "Harbour Blue" in seen(pilot.app)
        assert "sealed" in seen(pilot.app)
    assert holds(1) == 60_000


async def test_empty_studio_leads_to_its_first_bottle_and_can_be_left(empty_books: str) -> None:
    async with opened(empty_books) as pilot:
        assert "Your first bottle" in seen(pilot.app)
        await press(pilot, "escape")
        assert "Your first bottle" not in seen(pilot.app)
        await press(pilot, "2")
        assert "There is no bottle yet: press r" in seen(pilot.app)


async def test_nameless_studio_is_refused_at_its_field(tmp_path: Path, fixed_day: None) -> None:
    async with opened(str(tmp_path / "studio.ullage")) as pilot:
        await press(pilot, "enter")
        assert "The studio's name is empty" in seen(pilot.app)
    assert not (tmp_path / "studio.ullage").exists()


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_leaving_the_guide_of_no_studio_leaves_no_file(
    tmp_path: Path, fixed_day: None, size: tuple[int, int]
) -> None:
    async with opened(str(tmp_path / "studio.ullage"), size) as pilot:
        await press(pilot, "escape")
    assert list(tmp_path.iterdir()) == []
