"""The dashboard in a real browser: a mix by keyboard, several tabs, and what a foreign page can't do.

Chromium is driven by Playwright; `.ci/system-packages` installs it where it is missing. Without it these tests fail,
for a suite that leaves them out has not tried what a person does.
"""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
import pytest_asyncio
from aiohttp import web
from playwright.async_api import Browser, BrowserContext, ConsoleMessage, Page, Request

from tests.tui.browsing import chromium, hand_in, sheet, shows
from tests.tui.driving import holds
from tests.tui.served import PATIENCE_S, Served, serving, until

BLUE, REDUCER = 1, 3
PASSWORD = "a quay at low tide"
pytestmark = [pytest.mark.only("sqlite"), pytest.mark.asyncio(loop_scope="module")]
LETTERS_DRAWN = """
window.lettersDrawn = new Set();
for (const one of [CanvasRenderingContext2D, OffscreenCanvasRenderingContext2D]) {
    const font = Object.getOwnPropertyDescriptor(one.prototype, "font");
    const set = function (letters) { window.lettersDrawn.add(letters); font.set.call(this, letters); };
    Object.defineProperty(one.prototype, "font", { ...font, set });
}
"""
"""Keeps in which letters the terminal is drawn: a canvas tells nobody afterwards."""


NEAR = "--host-resolver-rules=MAP evil.example 127.0.0.1, MAP paint.example.org 127.0.0.1"
"""Two names that lead to this machine, as a name server could be made to say."""


@pytest_asyncio.fixture(scope="module", loop_scope="module")
async def running() -> AsyncIterator[Browser]:
    """A browser for all of these tests."""
    async with chromium(NEAR) as one:
        yield one


@pytest_asyncio.fixture(loop_scope="module")
async def browser(running: Browser) -> AsyncIterator[Browser]:
    """The browser with nobody let in yet; what a test opened in it is closed with the test."""
    yield running
    for context in running.contexts:
        await context.close()


async def opened(context: BrowserContext, url: str) -> Page:
    """A tab with the studio on it."""
    page = await context.new_page()
    await page.goto(url)
    await shows(page, "Test studio")
    return page


async def test_keys_a_mix_by_keyboard_a_foreign_page_two_tabs_and_the_end(
    stocked: str, browser: Browser
) -> None:
    """One server, from its first key to its end."""
    async with serving(stocked) as server:
        spent = server.url
        for key in ("", "?key=", "?key=guess"):
            page = await (await browser.new_context()).new_page()
            answer = await page.goto(f"{server.root}/{key}")
            assert answer is not None
            assert answer.status == 403
            assert "Its key opens one browser once" in await sheet(page)
        assert server.tabs() == []
        context = await browser.new_context()
        page = await a_mix_by_keyboard(context, server)
        await a_foreign_page_is_refused(context, server)
        await page.keyboard.press("2")
        await shows(page, "52 ml")

        late = await (await browser.new_context()).new_page()
        await late.goto(spent)
        assert "Its key opens one browser once" in await sheet(late)
        await until(lambda: server.url != spent)  # the next key is printed
        other = await browser.new_context()
        second = await opened(other, server.url)
        await the_crash_of_one_tab_is_not_the_others(second, page, server)

        await second.close()  # a tab that is closed leaves no process, and neither does a browser
        await until(lambda: len(server.tabs()) == 1)
        second = await opened(other, server.root)
        assert len(server.tabs()) == 2
        await other.close()
        await until(lambda: len(server.tabs()) == 1)

        await page.keyboard.press("q")
        assert "You left the dashboard" in await sheet(page)
        await until(lambda: server.tabs() == [])
        async with page.expect_navigation():
            await page.get_by_role("button", name="Open it again").click()
        await shows(page, "Test studio")
    assert "The server was ended" in await sheet(page)
    await page.get_by_role("button", name="Open it again").click()
    await page.get_by_text("Nothing answers here").wait_for(timeout=PATIENCE_S * 1_000)


async def a_mix_by_keyboard(context: BrowserContext, server: Served) -> Page:
    """The shelf falls by what is mixed, and the page asks nobody else for anything."""
    before = holds(BLUE), holds(REDUCER)
    assert before == (60_000, 120_000)
    asked: list[Request] = []
    console_lines: list[ConsoleMessage] = []
    context.on("request", lambda request: asked.append(request))  # noqa: PLW0108 - Playwright marks it
    context.on("console", lambda line: console_lines.append(line))  # noqa: PLW0108
    await context.add_init_script(LETTERS_DRAWN)
    page = await opened(context, server.url)
    assert page.url == server.root + "/"  # the key is gone from the address
    assert await page.title() == "Ullage"
    drawn = await page.evaluate("[...window.lettersDrawn]")
    assert any("DejaVu Sans Mono" in one for one in drawn)
    assert not any("Roboto" in one for one in drawn)  # the library's letters, which are not shipped
    await page.keyboard.press("2")
    await shows(page, "Harbour Blue")
    await shows(page, "60 ml")
    await page.keyboard.press("3")
    await shows(page, "F3 Bench")  # the numbers are letters now: the hand is in a field
    await page.keyboard.type("harb")
    await shows(page, "Harbour Blue")
    await page.keyboard.press("Enter")
    await shows(page, "Start 5 %")  # what is advised for this paint
    await page.keyboard.type("8 ml")
    for passed, field in (("Amount", "Needle"), ("Needle", "Reduction")):
        await hand_in(page, passed)
        await page.keyboard.press("Enter")
        await hand_in(page, field)
    await page.keyboard.type("20%")
    await shows(page, "8 paint + 1.6 reducer")
    await shows(page, "bottle 1: 60 → 52 ml")
    assert (holds(BLUE), holds(REDUCER)) == before  # shown is not booked
    await page.keyboard.press("F8")
    await until(lambda: holds(BLUE) == 52_000)
    assert holds(REDUCER) == 118_400
    await page.keyboard.press("Escape")
    await page.keyboard.press("2")
    await shows(page, "52 ml")
    assert {request.url.split("/")[2] for request in asked} == {f"127.0.0.1:{server.port}"}
    assert [line.text for line in console_lines if "Refused" in line.text or "violates" in line.text] == []
    return page


async def a_foreign_page_is_refused(context: BrowserContext, server: Served) -> None:
    """Though the browser is let in, a page from elsewhere in it is not."""
    async with foreign_page() as port:
        for name in ("127.0.0.1", "localhost", "evil.example"):
            foreign = await context.new_page()
            await foreign.goto(f"http://{name}:{port}/")
            result = await foreign.evaluate("at => tried(at)", server.root)
            assert result["socket"] == "refused"
            assert result["page"] == "refused"
            assert "Test studio" not in result["blind"]
            assert result["sent"] == "refused"
            for frame in foreign.frames[1:]:
                assert "terminal" not in await frame.content()
            await foreign.close()
    assert len(server.tabs()) == 1
    bent = await context.new_page()
    answer = await bent.goto(f"http://evil.example:{server.port}/")
    assert answer is not None
    assert answer.status == 403
    assert "not served here" in await bent.inner_text("body")
    await bent.close()


async def the_crash_of_one_tab_is_not_the_others(crashed: Page, other: Page, server: Served) -> None:
    """It is said there, and one key opens it again."""
    _, process = server.tabs()
    process.kill()
    assert "This tab's dashboard stopped" in await sheet(crashed)
    assert "Ullage: " in await crashed.title()
    await other.keyboard.press("2")
    await shows(other, "Harbour Blue")
    async with crashed.expect_navigation():
        await crashed.keyboard.press("Enter")  # on "Open it again"
    await shows(crashed, "Test studio")
    assert len(server.tabs()) == 2


FOREIGN = """<!DOCTYPE html><title>foreign</title><body><script>
async function tried(at) {
  const tried = {};
  tried.socket = await new Promise((done) => {
    const socket = new WebSocket(at.replace("http", "ws") + "/ws?width=80&height=24");
    socket.onopen = () => done("opened");
    socket.onerror = () => done("refused");
  });
  const read = (init) => fetch(at + "/", init).then((answer) => answer.text(), () => "refused");
  tried.page = await read({ credentials: "include" });
  tried.blind = await read({ credentials: "include", mode: "no-cors" });
  tried.sent = await read({ method: "POST", credentials: "include", body: "password=x" });
  tried.frame = await new Promise((done) => {
    const frame = document.createElement("iframe");
    frame.src = at + "/";
    frame.onload = () => {
      try { done(frame.contentDocument ? "empty" : "closed"); } catch { done("closed"); }
    };
    document.body.append(frame);
  });
  return tried;
}
</script>"""


@asynccontextmanager
async def foreign_page() -> AsyncIterator[int]:
    """A page of somebody else's program on this very machine; its port."""

    async def page(_: web.Request) -> web.Response:
        return web.Response(text=FOREIGN, content_type="text/html")

    app = web.Application()
    app.add_routes([web.get("/", page)])
    runner = web.AppRunner(app, access_log=None)
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    try:
        yield runner.addresses[0][1]
    finally:
        await runner.cleanup()


@pytest.mark.sampled(1)
@pytest.mark.parametrize("theme", ["lamp", "daylight", "terminal"])
async def test_password_lets_in_by_name_in_the_themes_colours_and_one_tab_too_many_is_told_so(
    stocked: str, browser: Browser, theme: str
) -> None:
    from tui.themes import LAMP, NAMES

    words = ("--name", "paint.example.org", "--tabs", "1", "--theme", theme)
    async with serving(stocked, *words, ULLAGE_PASSWORD=PASSWORD) as server:
        context = await browser.new_context()
        page = await context.new_page()
        await page.goto(f"http://paint.example.org:{server.port}/")
        assert "opens with its password" in await sheet(page)
        await page.get_by_label("Password").fill("a quay at high tide")
        await page.keyboard.press("Enter")
        await page.get_by_text("That is not the password").wait_for(timeout=PATIENCE_S * 1_000)
        assert server.tabs() == []
        await page.get_by_label("Password").fill(PASSWORD)
        await page.get_by_role("button", name="Come in").click()
        await shows(page, "Test studio")
        assert len(server.tabs()) == 1

        ground = {**NAMES, "terminal": LAMP}[theme]["ground"]
        red, green, blue = (int(ground[i : i + 2], 16) for i in (1, 3, 5))
        shown = await page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert shown == f"rgb({red}, {green}, {blue})"
        assert await page.evaluate("document.activeElement.className") == "xterm-helper-textarea"

        second = await context.new_page()
        await second.goto(f"http://paint.example.org:{server.port}/")
        assert "Too many tabs are open" in await sheet(second)
        await page.close()
        await until(lambda: server.tabs() == [])
        async with second.expect_navigation():
            await second.get_by_role("button", name="Open it again").click()
        await shows(second, "Test studio")
