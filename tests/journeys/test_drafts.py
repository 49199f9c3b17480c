"""What is typed and not booked is there again: after Esc, after q, after a crash, and in no other studio."""

import datetime as dt
import json
import stat

import pytest

from stock import clock
from stock.bench import mixes
from stock.store.connection import connection, open_books
from stock.store.models import Studio, database
from tests import sampling
from tests.conftest import make_books
from tests.tui import views
from tests.tui.driving import holds, opened, press, seen, settle, write
from tui.widgets import drafts
from tui.widgets.fields import Field

BLUE = 1


@pytest.fixture(autouse=True)
def _folder(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def files():
    return sorted(drafts.folder().glob("*")) if drafts.folder().exists() else []


async def test_the_bench_shows_again_what_was_typed_and_books_it_once(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "4 m")
        (kept,) = files()  # on the disk with each letter: nobody announces that a terminal is killed
        assert json.loads(kept.read_text())["forms"]["bench"]["mix"]["parts"] == [["Harbour Blue", "4 m"]]
        assert stat.S_IMODE(kept.stat().st_mode) == 0o600
        await write(pilot, "l")
        await settle(pilot)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        assert pilot.app.screen.query_one("#amount-0").text == "4 ml"
        assert "did not book" in " ".join(seen(pilot.app).split())
        await press(pilot, "f8")
        assert holds(BLUE) == before - 4_000
        assert files() == []
        await press(pilot, "i")
        await write(pilot, "gull")
        await press(pilot, "tab", "escape", "n")  # n empties the form: thrown away by word
        assert files() == []
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        assert pilot.app.screen.query_one("#paint-0").text == ""


async def test_a_mix_that_was_booked_in_the_moment_of_a_crash_is_not_booked_twice(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "4 ml")
        await settle(pilot)
        (kept,) = files()
        as_it_was = kept.read_bytes()
        await press(pilot, "f8")
    kept.write_bytes(as_it_was)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        await press(pilot, "f8")
        assert holds(BLUE) == before - 4_000
        kept.write_bytes(as_it_was)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        pilot.app.screen.query_one("#amount-0").text = "3 ml"  # another mix, so it is booked
        await settle(pilot)
        await press(pilot, "f8")
        assert holds(BLUE) == before - 7_000
    with connection():
        assert len({mix.id for mix in mixes.open_mixes()}) > 1


async def test_a_record_and_a_half_read_delivery_are_kept_and_thrown_away_by_a_key(studio: str) -> None:
    async with opened(studio, size=(100, 40)) as pilot:
        await press(pilot, "7", "n")
        await settle(pilot)
        await write(pilot, "Sea Fog")
        await press(pilot, "escape")
        await press(pilot, "n")
        await settle(pilot)
        name = next(iter(pilot.app.screen.query("Field")))
        assert name.text == "Sea Fog"
        assert "Ctrl+T throws it away" in " ".join(seen(pilot.app).replace("│", "").split())
        await press(pilot, "ctrl+t")
        assert name.text == ""
        await press(pilot, "escape")
        assert files() == []

        await press(pilot, "2", "r")
        await settle(pilot)
        await write(pilot, "gull")
        await press(pilot, "enter")
        await press(pilot, "f7")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "12")
    async with opened(studio, size=(100, 40)) as pilot:
        await press(pilot, "1", "r")
        await settle(pilot)
        dialog = pilot.app.screen
        assert [line.name for line in dialog.lines] == ["Gull White"]
        assert dialog.query_one("#product").text == "Harbour Blue"
        await press(pilot, "enter")
        assert not pilot.app.screen.is_modal
        assert files() == []


UNKEPT = {"Accept", "Again", "PourByWeight", "TakeIn", "WeighBottle", "Ask"}
"""A caution's name is typed anew each time; a moment is of one mix; what was poured goes to the Bench's fields; a file
is only looked at; a weight is weighed again."""


@pytest.mark.deepens
async def test_what_is_typed_in_any_dialog_is_there_again_after_esc(
    furnished: str, request: pytest.FixtureRequest
) -> None:
    ways = [name for name, way in views.DIALOGS.items() if name not in UNKEPT and "shift+tab" not in way]
    async with opened(furnished, size=(100, 40)) as pilot:
        for name in sampling.some(request.config, ways, 6):
            await views.show(pilot, name)
            fields = [one for one in pilot.app.screen.query(Field) if one.display and one.input.focusable]
            if not fields:
                continue
            field = fields[-1]
            field.input.focus()
            await press(pilot, "7", "7")
            assert "77" in field.text, name
            await press(pilot, "escape")
            await views.show(pilot, name)
            again = pilot.app.screen.query_one(f"#{field.id}", Field)
            assert again is not field
            assert "77" in again.text, name
            await press(pilot, "ctrl+t")
            assert "77" not in again.text, name


async def test_lines_of_an_order_are_kept(furnished: str) -> None:
    async with opened(furnished, size=(100, 40)) as pilot:
        await views.show(pilot, "MakeOrder")
        before = len(pilot.app.screen.lines)
        pilot.app.screen.query_one("#product").input.focus()
        await write(pilot, "gull")
        await press(pilot, "tab")
        await write(pilot, "120")
        await press(pilot, "f7", "escape")
        await views.show(pilot, "MakeOrder")
        lines = pilot.app.screen.lines
        assert (len(lines), lines[-1].product, lines[-1].size_ul) == (before + 1, "Gull White", 120_000)
        await press(pilot, "ctrl+t")
        assert len(pilot.app.screen.lines) == before


async def test_a_spill_that_was_booked_in_the_moment_of_a_crash_is_not_booked_twice(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "2", "slash")
        await write(pilot, "harb")
        await press(pilot, "enter", "s")
        await write(pilot, "5")
        (kept,) = files()
        as_it_was = kept.read_bytes()
        await press(pilot, "enter")
        assert holds(BLUE) == before - 5_000
        assert files() == []
        for more, held in (("", 5_000), ("6", 11_000)):  # another amount is another errand
            kept.write_bytes(as_it_was)
            await press(pilot, "s")
            await settle(pilot)
            if more:
                await write(pilot, more)
            await press(pilot, "enter")
            assert holds(BLUE) == before - held


@pytest.mark.only("sqlite", "postgresql")  # both each time
async def test_two_studios_at_one_address_of_a_server_share_no_draft(address: str) -> None:
    make_books(address)
    first = studio_now()
    with connection():
        Studio.update(made_at=clock.now() - dt.timedelta(days=1)).execute()
    open_books(address)
    assert first != studio_now()
    drafts.Drafts(address, first).keep("bench", {"mix": 1})
    assert drafts.Drafts(address, studio_now()).of("bench") is None
    assert drafts.Drafts(address, first).of("bench") == {"mix": 1}


def studio_now() -> str:
    assert str(database.obj.studio)
    return str(database.obj.studio)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"studio": "x", "forms": {"bench": 3}}', "\0" * 100, "[" * 100_000]
)
def test_a_damaged_file_is_as_good_as_none(text: str, studio: str) -> None:
    kept = drafts.Drafts(studio, "one")
    kept.keep("bench", {"mix": {}})
    (path,) = files()
    path.write_text(text)
    assert kept.of("bench") is None
    kept.keep("bench", {"mix": {"parts": []}})
    assert kept.of("bench") == {"mix": {"parts": []}}


def test_no_draft_of_one_studio_is_another_ones(tmp_path) -> None:
    one = drafts.Drafts(str(tmp_path / "a.ullage"), "2026")
    one.keep("bench", {"mix": 1})
    assert drafts.Drafts(str(tmp_path / "b.ullage"), "2026").of("bench") is None
    assert (
        drafts.Drafts(str(tmp_path / "a.ullage"), "2027").of("bench") is None
    )  # made anew at the same place
    assert drafts.Drafts(str(tmp_path / "x" / ".." / "a.ullage"), "2026").of("bench") == {"mix": 1}
    one.drop("bench")
    assert files() == []


def test_where_nothing_can_be_written_work_goes_on(tmp_path, monkeypatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    one = drafts.Drafts(str(tmp_path / "a.ullage"), "")
    one.keep("bench", {"mix": 1})
    assert one.of("bench") is None
    one.drop("bench")
