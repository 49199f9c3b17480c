"""Sheets made once a session, and read in the tests' own process: a process of its own for each takes a second."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import pytest

from stock.datasheets import files, pdf_words
from stock.datasheets.files import SheetFile
from stock.datasheets.proposals import Proposal, propose
from stock.datasheets.wanted_pages import pages_with_figures
from tests.datasheets import authored, authored_abroad, authored_odd
from tests.datasheets.authored import Authored
from tests.datasheets.invented import Sheet, sheets
from tests.datasheets.languages import SECTION, TITLES
from tests.datasheets.pages import LEFT, Pages


@pytest.fixture(scope="session")
def invented(tmp_path_factory: pytest.TempPathFactory) -> list[Sheet]:
    return list(sheets(tmp_path_factory.mktemp("sheets")))


@pytest.fixture(scope="session")
def as_authored(tmp_path_factory: pytest.TempPathFactory) -> list[Authored]:
    """The sheets laid out as the programs lay them out that write data sheets, and those that are hard to read."""
    folder = tmp_path_factory.mktemp("authored")
    return [*authored.sheets(folder), *authored_odd.sheets(folder), *authored_abroad.sheets(folder)]


@pytest.fixture
def read_here(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Path], SheetFile]]:
    """`files.read` without the process around the PDF's readers."""
    monkeypatch.setattr(
        files, "_answer", lambda path: json.loads(json.dumps(pdf_words.read(str(path), pages_with_figures)))
    )
    return files.read


@pytest.fixture
def proposed(read_here: Callable[[Path], SheetFile]) -> Callable[[Path], dict[str, Proposal]]:
    """The proposals of a file by their ids."""
    return lambda path: {one.id: one for one in propose(read_here(path).readings)}


@pytest.fixture
def of_lines(
    tmp_path: Path, proposed: Callable[[Path], dict[str, Proposal]]
) -> Callable[..., dict[str, Proposal]]:
    """The proposals of a sheet with these lines in these sections; a tab parts cells."""

    def read(lines: Mapping[int, Sequence[str]], language: str = "en", head: str = "") -> dict[str, Proposal]:
        pages = Pages(head=head)
        for number in (1, 2, 3, 5, 7, 8, 9, 10, 14, 16):
            pages.row((LEFT, f"{SECTION[language]} {number}: {TITLES[language][number - 1]}"), step=15)
            for line in lines.get(number, ()):
                pages.row(*((LEFT + 110 * at, cell) for at, cell in enumerate(line.split("\t"))), size=7)
        found = proposed(pages.save(tmp_path / "sheet.pdf"))
        elsewhere = {key: one.section for key, one in found.items() if one.section not in (None, *lines)}
        assert not elsewhere, "a proposal names the section that its line stands in"
        return found

    return read
