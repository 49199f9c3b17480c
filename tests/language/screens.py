"""The text of each screen of the dashboard: `python -m tests.language.screens pseudo BOOKS COLUMNS ROWS`.

Without `pseudo` it is in the language that is chosen.
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


async def shown(address: str, columns: int, rows: int) -> dict[str, list[str]]:
    """Each screen's lines, by its key and what was opened on it."""
    from tests.tui.driving import settle
    from tui.app import Ullage

    app, texts = Ullage(address), {}

    def take(name: str) -> None:
        strips = app.screen._compositor.render_strips()
        texts[name] = ["".join(segment.text for segment in strip) for strip in strips]

    async with app.run_test(size=(columns, rows)) as pilot:
        await settle(pilot)
        for number, mode in enumerate(
            ("today", "shelf", "bench", "forecast", "cautions", "logbook", "records"), 1
        ):
            await pilot.press(f"f{number}" if number < 7 else "f12")
            await settle(pilot)
            take(mode)
            await pilot.press("escape", "question_mark")
            await settle(pilot)
            take(f"{mode} ?")
            await pilot.press("escape")
            await settle(pilot)
            for key in SHEETS[mode]:
                below = app.screen
                await pilot.press(key)
                await settle(pilot)
                take(f"{mode} {key}")
                if app.screen is not below:
                    await pilot.press("escape")
                    await settle(pilot)
    return texts


if __name__ == "__main__":
    *spoken, books, columns, rows = sys.argv[1:]
    if spoken == ["pseudo"]:
        pseudo.speak()
    print(json.dumps(asyncio.run(shown(books, int(columns), int(rows)))))
