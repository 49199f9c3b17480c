"""Sheets made once a session, and read in the tests' own process: a process of its own for each takes a second."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from stock.datasheets import files, pdf_words
from stock.datasheets.files import SheetFile
from stock.datasheets.proposals import Proposal, propose
from stock.datasheets.wanted_pages import wanted
from tests.datasheets import authored, authored_odd
from tests.datasheets.authored import Authored
from tests.datasheets.invented import Sheet, sheets


@pytest.fixture(scope="session")
def invented(tmp_path_factory: pytest.TempPathFactory) -> list[Sheet]:
    return list(sheets(tmp_path_factory.mktemp("sheets")))


@pytest.fixture(scope="session")
def as_authored(tmp_path_factory: pytest.TempPathFactory) -> list[Authored]:
    """The sheets laid out as the programs lay them out that write data sheets, and those that are hard to read."""
    folder = tmp_path_factory.mktemp("authored")
    return [*authored.sheets(folder), *authored_odd.sheets(folder)]


@pytest.fixture
def read_here(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Path], SheetFile]]:
    """`files.read` without the process around the PDF's readers."""
    monkeypatch.setattr(
        files, "_answer", lambda path: json.loads(json.dumps(pdf_words.read(str(path), wanted)))
    )
    return files.read


@pytest.fixture
def proposed(read_here: Callable[[Path], SheetFile]) -> Callable[[Path], dict[str, Proposal]]:
    """The proposals of a file by their ids."""
    return lambda path: {one.id: one for one in propose(read_here(path).readings)}
