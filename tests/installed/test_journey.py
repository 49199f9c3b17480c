"""A studio's whole job by the installed command, on each engine: what is booked, written, taken out, put back.

On an SQLite file with nothing else installed, which shows that nothing else is needed; on a server with everything.
The first line is a whole process; other lines come from one that has the program loaded, and on the file the first
of each command from one that has only what the program stands on.
The days are given, since nobody can set the clock of another process.
"""

import csv
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.installed.command import Ullage, loaded
from tests.tui.browsing import chromium, shows
from tests.tui.served import serving
from tests.tui.terminal import seated

DAY = "2026-03-02"
LATER = ("--as-of", "2026-03-20")
PAGES = ("cost", "emissions", "trace")
Person = Callable[..., Ullage]


@pytest.fixture
def elsewhere(engine: str, address: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[str]:
    """Where other books of the same engine can be made."""
    if engine == "sqlite":
        yield str(tmp_path / "elsewhere.ullage")
        return
    import psycopg

    yield f"{address}_two"
    with psycopg.connect(request.getfixturevalue("server"), autocommit=True) as connection:
        for more in ("two", "two_copy"):
            connection.execute(f"DROP SCHEMA IF EXISTS {address.rpartition('=')[2]}_{more} CASCADE")


@pytest.fixture
def ullage(engine: str, address: str, person: Person, tmp_path: Path) -> Iterator[Ullage]:
    """Somebody with empty books, and only what this engine needs installed."""
    one = person("nothing" if engine == "sqlite" else "everything", address)
    said = one.says("new", "--name", "North Quay", "--currency", "EUR", "--time-zone", "Europe/Lisbon")
    assert said == "North Quay: empty books, EUR, Europe/Lisbon, metric measures\n"
    with loaded(one.command, tmp_path / "ours") as program:
        if engine == "sqlite":
            with loaded(one.command, tmp_path / "others", ours=False) as first:
                yield replace(one, loaded=program, first=first)
        else:
            yield replace(one, loaded=program)


def stocked(ullage: Ullage) -> None:
    """A paint with its sheet, its reducer and a cleaner: bottles 1 and 2, 3 and 4."""
    ullage.says(
        "product", "add", "Eddy Reducer", "--role", "reducer", "--price", "120ml=9.50", "--supplier", "Ossler",
        "--lead-time", "7d", "--water", "70", "--solvent", "propan-2-ol=20%", "--flash-point", "30C",
    )  # fmt: skip
    ullage.says(
        "product", "add", "Harbour Blue", "--role", "paint", "--color", "#2a6f97", "--price", "60ml=7.90",
        "--usual-reducer", "eddy", "--solvent", "none", "--flash-point", "none", "--opened-life", "18mo",
        "--supplier", "Ossler", "--lead-time", "7d",
    )  # fmt: skip
    ullage.says("product", "add", "Wash Down", "--role", "cleaner", "--price", "250ml=9.50")
    ullage.says("place", "add", "Cabinet", "--kind", "cabinet")
    ullage.says(
        "sheet", "add", "Harbour Blue", "--title", "Blue", "--revised", "2026-01-10",
        "--dosing", "with=Eddy Reducer needle<=0.4 low=10 high=30 step=5",
    )  # fmt: skip
    came = ullage.tells(
        "receive", "Harbour Blue", "60ml", "--count", "2", "--place", "Cabinet", "--lot", "L7", "--on", DAY
    )
    assert [bottle["id"] for bottle in came["bottles"]] == [1, 2]
    ullage.says("receive", "Eddy Reducer", "120ml", "--on", DAY)
    ullage.says("receive", "Wash Down", "250ml", "--on", DAY)


def on_hand(ullage: Ullage) -> dict[int, float]:
    """What each bottle holds, in millilitres."""
    shelf = ullage.tells("shelf", "--all")
    return {bottle["id"]: bottle["on_hand_ml"] for row in shelf["products"] for bottle in row["bottles"]}


def work(ullage: Ullage) -> None:
    """A mix that is thinned, closed and kept, a wash, a count, and what was taken back of it."""
    advice = ullage.tells("advise", "harbour", "--needle", "0.35")
    assert (advice["start_percent"], advice["limit_percent"], advice["step_percent"]) == (10, 30, 5)
    line = (
        "mix", "Harbour Blue=8ml", "--reduce", "20%", "--needle", "0.35", "--job", "Gate", "--on", "2026-03-03 10:00",
    )  # fmt: skip
    assert ullage.tells(*line, "--dry-run")["booked"] is False
    first = ullage.tells(*line, "--key", "k1")
    assert ullage.tells(*line, "--key", "k1") == first
    assert (first["mix"], first["total_ml"]) == (4, 9.6)
    assert ullage.tells("step", "4", "5%", "--on", "2026-03-03 10:10")["reducer_ml"] == 2
    closed = ullage.tells(
        "close", "4", "--outcome", "good", "--left", "2ml", "--keep", "--on", "2026-03-03 11:00"
    )
    assert (closed["sprayed_ml"], closed["kept"]["bottle"]) == (8, 5)
    again = ("mix", "--like", "4", "--job", "Gate", "--on", "2026-03-03 11:05")
    assert ullage.tells(*again)["total_ml"] == 10
    wash = ullage.tells("wash", "Wash Down=15ml", "--on", "2026-03-03 11:10")["wash"]
    counted = ullage.tells("bottle", "count", "1", "50ml", "--on", "2026-03-04")
    assert counted["difference_ml"] == 6
    ullage.says("bottle", "open", "2", "--on", "2026-03-05")
    ullage.says("bottle", "move", "3", "Cabinet", "--on", "2026-03-05")
    ullage.says("bottle", "decant", "2", "20ml", "--size", "30ml", "--on", "2026-03-06")
    ullage.says("bottle", "discard", "2", "--on", "2026-03-07")
    ullage.says("undo", "wash", str(wash), "--on", "2026-03-06")
    assert on_hand(ullage) == {1: 50, 2: 0, 3: 116, 4: 250, 5: 2, 6: 20}
    assert "900 ml wanted and 70 ml usable" in ullage.refuses("mix", "Harbour Blue=900ml")


def orders(ullage: Ullage) -> None:
    """An order that comes in whole, and a job's known need."""
    made = ullage.tells("order", "make", "Harbour Blue=2x60ml", "--supplier", "Ossler", "--on", "2026-03-06")
    came = ullage.tells("order", "receive", str(made["order"]), "--on", "2026-03-12")
    assert (came["open"], [bottle["id"] for bottle in came["bottles"]]) == (0, [7, 8])
    assert ullage.tells("order", "list", *LATER)["orders"] == []
    ullage.says("plan-use", "Harbour Blue", "40ml", "--on", "2027-02-01", "--job", "Gate")


def looked_at(ullage: Ullage) -> None:
    """What reads the books, and what it writes for a person: each page is a page, each sheet a sheet."""
    forecast = ullage.tells("forecast", "harbour", *LATER, "--calendar", "days.ics")
    assert forecast["products"][0]["on_hand_ml"] == 190
    assert (ullage.folder / "days.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    ullage.says("forecast", "--review", *LATER)
    found = {finding["code"] for finding in ullage.tells("cautions", *LATER)["findings"]}
    assert {"not-noted", "place-unknown"} <= found
    for words in (("--moves",), ("--waste",), ("--explain", "all")):
        assert ullage.says("cautions", *words, *LATER)
    ullage.says("recipe", "add", "Dusk", "--of-mix", "4")
    assert "Harbour Blue" in ullage.says("recipe", "show", "Dusk")
    assert "North Quay" in ullage.says("today", *LATER)
    book = ullage.tells("logbook", "--kind", "mix")
    assert "Gate" in json.dumps(book)
    for words in (
        ("cost", "--month", "2026-03"),
        ("emissions", "--month", "2026-03"),
        ("trace", "--lot", "L7"),
    ):
        name = words[0]
        ullage.says(*words, "--page", f"{name}.html", "--csv", f"{name}.csv")
        assert (ullage.folder / f"{name}.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert len(list(csv.reader((ullage.folder / f"{name}.csv").open(encoding="utf-8")))) > 1
    checked(ullage)


def worked_out(ullage: Ullage) -> None:
    """What needs no books."""
    assert ullage.tells("classify", "--flash-point", "18C", "--boiling-point", "78C")["ghs"]["category"] == 2
    assert ullage.tells("viscosity", "iso2431-4", "42")["in_range"] is True
    assert ullage.tells("reduce", "30ml", "5:1")["reducer_ml"] == 6
    assert ullage.tells("coverage", "0.5m2", "--film", "25um", "--solids", "30%")


def checked(ullage: Ullage) -> dict[str, Any]:
    """The proof of the books, which must hold."""
    proof: dict[str, Any] = ullage.tells("check")
    assert (proof["ok"], proof["problems"]) == (True, [])
    return proof


def in_and_out(ullage: Ullage, elsewhere: str) -> None:
    """An export that goes into other books and is equal there; a spreadsheet; a backup that is put back."""
    before = checked(ullage)
    ullage.says("export", "out")
    other = ullage.at(elsewhere)
    other.says("import", "out")
    assert checked(other) == before
    ullage.says("backup", "kept.ullage")
    sheet = "product,size,count,lot\nHarbour Blue,60 ml,1,L9\nGull White,30 ml,2,L9\n"
    (ullage.folder / "stock.csv").write_text(sheet, encoding="utf-8")
    ullage.says("import", "stock.csv", "--kind", "stock", "--make", "--role", "paint")
    assert checked(ullage)["bottles"] == before["bottles"] + 3
    assert "1 delivery" in ullage.says("restore", "kept.ullage", "--yes")
    assert checked(ullage) == before


def copied_both_ways(ullage: Ullage, elsewhere: str) -> None:
    """From the server to a file and from that to the server again: each proves to be equal."""
    proof = checked(ullage)
    ullage.says("copy", "file.ullage")
    file = ullage.at("file.ullage")
    assert checked(file) == proof
    assert "nothing was" in file.refuses("copy", elsewhere)
    file.says("copy", f"{elsewhere}_copy")
    assert checked(ullage.at(f"{elsewhere}_copy")) == proof


def booked_on_the_dashboard(ullage: Ullage) -> None:
    """In a real pseudo-terminal: the usual mix again, by two keys; it is in the books when the dashboard is left."""
    for _ in range(2):
        ullage.says("mix", "--like", "4")  # the usual mix is one that was made again lately
    before = on_hand(ullage)
    with seated([str(ullage.command)], ullage.folder, ullage.environment) as real:
        real.until("made 2 times")
        real.type("m")
        real.until("8 ml Harbour Blue")
        real.type("\r")
        real.until("is booked")
        real.type("q")
        assert real.end() == 0
    assert sum(before.values()) - sum(on_hand(ullage).values()) == 10
    assert "Traceback" not in real.words


async def booked_in_a_browser(ullage: Ullage) -> None:
    """In a real browser: the same again at the address that `ullage serve` prints."""
    before = on_hand(ullage)
    async with (
        serving(ullage.studio, ullage=[str(ullage.command)], folder=ullage.folder) as server,
        chromium() as browser,
    ):
        page = await browser.new_page()
        await page.goto(server.url)
        await shows(page, "made 3 times")
        await page.keyboard.press("m")
        await shows(page, "8 ml Harbour Blue")
        await page.keyboard.press("Enter")
        await shows(page, "is booked")
    assert sum(before.values()) - sum(on_hand(ullage).values()) == 10


@pytest.mark.deepens
async def test_whole_job(
    ullage: Ullage, engine: str, person: Person, elsewhere: str, request: pytest.FixtureRequest
) -> None:
    """On a server an ordinary run leaves out what the same code did on the file: reports, and the browser."""
    whole = engine == "sqlite" or request.config.getoption("deep")
    assert "nothing was" in ullage.refuses("new")
    stocked(ullage)
    work(ullage)
    if whole:
        orders(ullage)
        looked_at(ullage)
        worked_out(ullage)
    in_and_out(ullage, elsewhere)
    if engine == "postgresql":
        copied_both_ways(ullage, elsewhere)
    booked_on_the_dashboard(ullage)
    if whole:
        await booked_in_a_browser(person("everything", ullage.studio))
    checked(ullage)
    known = {"out", "datapackage.json", "stock.csv", "kept.ullage", "days.ics", "file.ullage"}
    there = {path.name for path in ullage.folder.iterdir() if not path.name.startswith((".", *PAGES))}
    assert there - known == set()
