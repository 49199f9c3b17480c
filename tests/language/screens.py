"""The text of each screen of the dashboard: `python -m tests.language.screens pseudo BOOKS COLUMNS ROWS SHEETS`.

Without `pseudo` it is in the language that is chosen. SHEETS are JSON: by a screen, the keys that open what is looked
at above it.
"""

import asyncio
import json
import sys
from collections.abc import Mapping

from tests.language import pseudo

SHEETS = {
    "today": "?w", "shelf": "?rcmdtk", "bench": "?", "forecast": "?ip", "cautions": "?zh", "logbook": "?fyr",
    "records": "?ner",
}  # fmt: skip
"""The keys of each screen that open a sheet above it."""


async def shown(address: str, columns: int, rows: int, sheets: Mapping[str, str]) -> dict[str, list[str]]:
    """The lines of each screen and of its sheets, by its name and the key of the sheet."""
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
            below, back = app.screen, ()
            for key in sheets.get(screen.id, ""):
                keys = ("escape", "question_mark") if key == "?" else (key,)  # it is a letter in a field
                await take(f"{screen.id} {key}", *back, *keys)
                back = () if app.screen is below else ("escape",)
    return texts


if __name__ == "__main__":
    *spoken, books, columns, rows, sheets = sys.argv[1:]
    if spoken == ["pseudo"]:
        pseudo.speak()
    from tests.clock import clock_of_the_tests  # messages are imported with it

    with clock_of_the_tests():
        print(json.dumps(asyncio.run(shown(books, int(columns), int(rows), json.loads(sheets)))))
