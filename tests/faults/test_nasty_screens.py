"""Texts that would like to be more than texts, on every screen and every dialog that a key opens."""

import shutil
import unicodedata

import pytest

from stock.cli.main import main
from stock.store.models import database
from tests import templates
from tests.tui.driving import opened, press, seen, settle
from tui.app import Ullage

NASTY = (
    "[bold red]x[/]", "[/]", "[@click=app.pwned]go[/]", "[link=file:///etc/passwd]x", "[$primary]y[/$primary]",
    "\\[b]", "{0} {x!r} %s", "=1+1", "$(touch pwned)", "<script>alert(1)</script>", "漢字🎨", "e\u0301" * 20, "x" * 80,
)  # fmt: skip
FILL = (
    "supplier change @ --lead-time 7d", "product change @ --note @ --maker @ --line @ --supplier @ --price 60ml=7.90",
    "product change @ --usual-reducer Thinner --flash-point 18C --opened-life 1d", "place add @ --kind cabinet",
    "receive @ 60ml --lot @ --place @ --count 2", "receive @ 60ml --label @ --opened 2025-01-01",
    "job add @ --customer @", "mix @=2ml --reduce 20% --job @ --note @ --accept keep-apart",
    "sheet add @ --title @ --revised 2026-01-01 --source @ --dosing low=10,high=20", "recipe add @ @=1",
    "plan-use @ 10ml --on 2030-01-01 --job @", "caution-rule silence opened-life --reason @",
)  # fmt: skip
LEAVE = {"q", "ctrl+q", "ctrl+c", "ctrl+z"}


ROOMS = [mode for mode in Ullage.MODES if mode != "between"]


def make_nasty(address):
    """Make a studio in which every text that a person can give is nasty."""
    assert main(["--studio", address, "new", "--name", NASTY[0]]) == 0
    main(["--studio", address, "product", "add", "Thinner", "--role", "reducer"])
    main(["--studio", address, "receive", "Thinner", "250ml"])
    for text in NASTY:
        main(["--studio", address, "product", "add", "--role=paint", "--color=#2a6f97", "--", text])
        for line in FILL:
            main(["--studio", address, *(word.replace("@", text) for word in line.split())])
    shutil.rmtree(f"{address}.backups", ignore_errors=True)


@pytest.fixture
def nasty(tmp_path, monkeypatch, capsys):
    """The address of that studio."""
    address = str(tmp_path / "nasty.ullage")
    monkeypatch.chdir(tmp_path)
    templates.file_like("nasty", make_nasty, address)
    capsys.readouterr()
    yield address
    if database.obj is not None and not database.is_closed():
        database.close()


def look(app):
    """What stands on the screen, which may hold no text that became more than a text."""
    for line in app.screen._compositor.render_strips():
        for segment in line:
            assert "pwned" not in repr(segment.style.meta if segment.style else ""), segment
            assert not (segment.style and segment.style.link), segment
            if not segment.control:
                wrong = [one for one in segment.text if unicodedata.category(one) in ("Cc", "Zl", "Zp", "Cs")]
                assert not wrong, segment
    assert app._exception is None
    return seen(app)


@pytest.mark.sampled(1)
@pytest.mark.parametrize("room", ROOMS)
async def test_nasty_texts_on_a_screen_and_on_every_dialog_of_it(room, nasty, tmp_path, capsys):
    """The keys that all screens share are pressed on the first alone."""
    shown, looked = "", 0
    tried: set[tuple[type, str]] = set()
    async with opened(nasty, size=(140, 45)) as pilot:
        app = pilot.app
        await switch(pilot, room)
        shown += look(app)
        for key, bound in sorted(app.screen.active_bindings.items()):
            what = type(bound.node), bound.binding.action
            shared = bound.node is app and room != ROOMS[0]
            if key in LEAVE or shared or what in tried or "switch_mode" in bound.binding.action:
                continue
            tried.add(what)
            await press(pilot, key)
            shown += look(app)
            looked += 1
            for _ in range(6):
                if len(app.screen_stack) == 1 and app.current_mode == room:
                    break
                await press(pilot, "escape")
                if app.current_mode != room:
                    await switch(pilot, room)
    assert any(text in shown for text in NASTY[:6])
    assert not (tmp_path / "pwned").exists()
    assert looked > 3
    with capsys.disabled():
        print(f"\n  {len(NASTY)} nasty texts in {room} and {looked} dialogs", end="")


async def switch(pilot, room):
    """Go to a screen and wait until it is there."""
    pilot.app.switch_mode(room)
    await settle(pilot)
