"""Each road by which a shelf comes into the books, by keys and by command; both leave the same in the books."""

from pathlib import Path
from typing import Any

import pytest

from stock.logbook.proof import prove
from stock.shelf import figure_sources, products
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection, open_books
from tests.datasheets.invented import FACTS
from tests.faults.fuzzing import run
from tests.journeys.roads import ROADS, UNSURE
from tests.tui.driving import opened

COMMANDS = {
    "a line's form": ["line fill", "Aa Pier", "rows.txt"],
    "a workbook": ["import", "shelf.xlsx", "--make", "--role", "paint"],
    "a messy CSV": ["import", "bestand.csv", "--make", "--role", "paint", "--answer", "size-1=1000 ml"],
    "a folder of data sheets": ["sheet read", "sheets", "--take", "all-sure"],
}
READ = {facts.name for facts in FACTS} | {UNSURE}
FILES = ("shelf.xlsx", "bestand.csv", "rows.txt", "sheets")
SHADES = ("Kelp", "Rust", "Slate", "Sand", "Foam")


def content() -> list[Any]:
    """What came by these roads: the bottles, and the figures that were read."""
    with connection():
        everything = products.everything()
        names = {one.id: (one.name, one.maker) for one in everything if one.name.endswith(SHADES)}
        read = [one for one in everything if one.name in READ]
        assert prove().problems == []
        mine = [one for one in on_shelf() if one.product_id in names]
        bottles = sorted((*names[one.product_id], one.size_ul, one.on_hand_ul) for one in mine)
        return [bottles, [sorted(each.field for each in figure_sources.of_product(one)) for one in read]]


@pytest.mark.sampled(2)
@pytest.mark.parametrize("name", ROADS)
async def test_a_road_by_keys_and_by_command(name: str, studio: str, tmp_path: Path) -> None:
    road = ROADS[name]
    many = road.make(tmp_path)
    other = tmp_path / "by command.ullage"
    assert run(["copy", str(other), "--studio", studio]).status == 0
    open_books(studio)
    before = content()
    async with opened(studio, size=(140, 45)) as pilot:
        keys = await road.go(pilot, tmp_path)
    by_keys = content()
    assert by_keys != before
    assert keys / many < 10
    verb, *words = COMMANDS[name]
    lines = [[str(tmp_path / word) if word in FILES else word for word in words]]
    if name == "a folder of data sheets":
        last = str(tmp_path / "sheets" / f"sheet-{len(FACTS) - 1}.pdf")
        lines.append([last, "--product", UNSURE, "--take", "all-sure"])
    for line in lines:
        ran = run([*verb.split(), *line, "--studio", str(other)])
        assert ran.status == 0, ran.err
    open_books(str(other))
    assert content() == by_keys
