"""What the screens look like: one picture a screen and state, of the seeded studio on its fixed day.

`pytest tests/tui/test_pictures.py --snapshot-update` makes them anew; look at them before they are kept.
"""

from typing import Any

import pytest
from textual.pilot import Pilot

from tests.tui.driving import settle
from tests.tui.views import SCREENS, show, typed_wish
from tui.app import Ullage

LOOKS = [
    ((80, 24), "lamp", False), ((140, 45), "lamp", False), ((60, 18), "lamp", False),
    ((80, 24), "daylight", False), ((80, 24), "lamp", True),
]  # fmt: skip


@pytest.mark.sampled(5)
@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize(("size", "theme", "no_color"), LOOKS)
def test_screen_looks_as_it_did(
    studio: str, snap_compare: Any, monkeypatch: pytest.MonkeyPatch, screen: str,
    size: tuple[int, int], theme: str, no_color: bool,
) -> None:  # fmt: skip
    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    else:
        monkeypatch.delenv("NO_COLOR", raising=False)

    async def bring(pilot: Pilot[None]) -> None:
        await settle(pilot)
        await pictured(pilot, screen)

    assert snap_compare(Ullage(studio, theme=theme), terminal_size=size, run_before=bring)


async def pictured(pilot: Pilot[None], screen: str) -> None:
    """The screen; the Bench with a wish in its fields, for an empty form tells little."""
    await (typed_wish(pilot) if screen == "bench" else show(pilot, screen))
