"""The text of each screen of the dashboard: `python -m tests.language.screens pseudo BOOKS COLUMNS ROWS`.

Without `pseudo` it is in the language that is chosen; after `alone` it is that of the screens without their sheets.
"""

import asyncio
import json
import sys

from tests.language import pseudo

SHEETS = {
    "today": "w",
    "shelf": "rcmdtk",
    "bench": "",
    "forecast": "ip",
    "cautions": "zh",
    "logbook": "fyr",
    "records": "ner",
}
"""The keys of each screen that open a sheet above it."""


async def shown(address: str, columns: int, rows: int, *, alone: bool = False) -> dict[str, list[str]]:
    """Each screen's lines, by its key and what was opened on it."""
    from tests.tui.driving import opened, press
    from tui.screens import SCREENS

    texts = {}
    async with opened(address, (columns, rows)) as pilot:
        app, back = pilot.app, tuple[str, ...]()

        async def take(name: str, *keys: str) -> None:
            await press(pilot, *keys)
            strips = app.screen._compositor.render_strips()
            texts[name] = ["".join(segment.text for segment in strip) for strip in strips]

        for screen in SCREENS:
            await take(screen.id, *back, screen.function_key)
            back = ()
            if alone:
                continue
            below = app.screen
            for name, *keys in (("?", "escape", "question_mark"), *((key, key) for key in SHEETS[screen.id])):
                await take(f"{screen.id} {name}", *back, *keys)
                back = () if app.screen is below else ("escape",)
    return texts


if __name__ == "__main__":
    *spoken, books, columns, rows = sys.argv[1:]
    if "pseudo" in spoken:
        pseudo.speak()
    print(json.dumps(asyncio.run(shown(books, int(columns), int(rows), alone="alone" in spoken))))
