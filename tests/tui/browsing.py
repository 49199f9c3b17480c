"""The dashboard in a real browser: Chromium by Playwright, and what its page shows.

`.ci/system-packages` installs the browser where it is missing.
"""

import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from playwright.async_api import Browser, Page, async_playwright

from tests.tui.served import PATIENCE_S

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@asynccontextmanager
async def chromium(*more: str) -> AsyncIterator[Browser]:
    """A browser of our own, gone when the block is left."""
    path = next(filter(None, map(shutil.which, NAMES)), None)
    assert path, "no Chromium on the PATH; .ci/system-packages installs it"
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=path, args=["--no-sandbox", *more])
        try:
            yield browser
        finally:
            await browser.close()


async def shows(page: Page, words: str) -> None:
    """Wait until the terminal shows these words: what a screen reader would read there."""
    await page.wait_for_function(
        "words => document.querySelector('.xterm-accessibility-tree')?.innerText.includes(words)",
        arg=words,
        timeout=PATIENCE_S * 1_000,
    )


async def hand_in(page: Page, field: str) -> None:
    """Wait until the cursor stands in the line of a field with this name."""
    await page.wait_for_function(
        """field => {
            const lines = document.querySelector(".xterm-accessibility-tree").children;
            const top = parseFloat(document.querySelector(".xterm-helper-textarea").style.top);
            const line = lines[Math.round(top / lines[0].getBoundingClientRect().height)];
            return line?.innerText.trim().startsWith(field);
        }""",
        arg=field,
        timeout=PATIENCE_S * 1_000,
    )


async def sheet(page: Page) -> str:
    """What the sheet in the middle says, once there is one."""
    await page.locator(".sheet:visible").wait_for(timeout=PATIENCE_S * 1_000)
    return await page.locator(".sheet:visible").inner_text()
