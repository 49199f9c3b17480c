"""Files of all kinds: what can't be read is refused in a sentence, in bounded time and memory."""

import json
import os
import resource
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from stock.datasheets import files, pdf_words
from stock.datasheets.files import SheetFile
from stock.datasheets.proposals import Proposal, propose
from stock.datasheets.wanted_pages import pages_with_figures
from stock.errors import BadInput, UllageError
from tests.datasheets.invented import FACTS, Wording, plain_lines, truth
from tests.datasheets.pages import LEFT, Pages

ReadHere = Callable[[Path], SheetFile]


def code_of(path: Path, read: ReadHere = files.read) -> tuple[str, str]:
    with pytest.raises(UllageError) as refused:
        read(path)
    return refused.value.code, str(refused.value)


def test_a_process_of_its_own_reads_a_pdf(tmp_path: Path) -> None:
    path = plain_lines(Wording(FACTS[0], "en"), tmp_path / "sheet.pdf")
    found = {one.id: one for one in propose(files.read(path).readings)}
    assert found["flash_point"].value == truth(FACTS[0])["flash_point"]


def test_encrypted(tmp_path: Path, read_here: ReadHere) -> None:
    pages = Pages(password="secret")
    pages.lines(["Flash point: 23 °C"])
    code, sentence = code_of(pages.save(tmp_path / "locked.pdf"), read_here)
    assert code == "encrypted"
    assert "asks for a password" in sentence


def test_an_empty_password_opens(tmp_path: Path, read_here: ReadHere) -> None:
    pages = Pages(password="")
    pages.lines(
        ["Product name: Tern grey", "Density: 1.1 g/ml", "words enough to be a text and no picture of one"]
    )
    found = {one.id: one.value for one in propose(read_here(pages.save(tmp_path / "open.pdf")).readings)}
    assert found["density"] == "1.1"


@pytest.mark.parametrize("cut", [30, 400, 5_000])
def test_damaged(tmp_path: Path, read_here: ReadHere, cut: int) -> None:
    """A file that was cut short is refused, or what is left of it is read."""
    path = plain_lines(Wording(FACTS[0], "en"), tmp_path / "sheet.pdf")
    path.write_bytes(path.read_bytes()[:cut])
    code, sentence = code_of(path, read_here)
    assert code in ("damaged", "no-text")
    assert "sheet.pdf" in sentence
    path.write_bytes(b"%PDF-1.7\n" + os.urandom(5_000))
    assert code_of(path, read_here)[0] == "damaged"


def test_pictures_of_pages(tmp_path: Path, read_here: ReadHere) -> None:
    pages = Pages()
    pages.next_page()
    code, sentence = code_of(pages.save(tmp_path / "scan.pdf"), read_here)
    assert code == "no-text"
    assert "pictures of pages" in sentence
    assert "Type its figures" in sentence


def test_500_pages(tmp_path: Path, read_here: ReadHere) -> None:
    """The first pages are read, and it is said that the others weren't."""
    pages = Pages()
    pages.lines(["Product name: Tern grey", "Density: 1.1 g/ml"])
    for number in range(499):
        pages.next_page()
        pages.row((LEFT, f"page of words {number}"))
    path = pages.save(tmp_path / "long.pdf")
    begun = time.process_time()
    file = read_here(path)
    assert time.process_time() - begun < pdf_words.MOST_SECONDS  # the bound that it promises
    assert (file.pages, file.complete) == (500, False)
    assert {one.id: one.value for one in propose(file.readings)}["density"] == "1.1"


def test_100_megabytes(tmp_path: Path) -> None:
    path = tmp_path / "huge.pdf"
    with path.open("wb") as file:
        file.write(b"%PDF-1.7\n")
        file.truncate(100_000_000)
    code, sentence = code_of(path)
    assert code == "bad-input"
    assert "has 100 MB" in sentence


def test_the_process_has_limits() -> None:
    """Memory that a file makes a reader ask for without end is refused to it."""
    script = (
        "import resource; from stock.datasheets import pdf_words; pdf_words.limit();"
        "print(resource.getrlimit(resource.RLIMIT_AS)[0], resource.getrlimit(resource.RLIMIT_CPU)[0])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(pdf_words.MOST_BYTES_OF_MEMORY), str(pdf_words.MOST_SECONDS * 2)]
    assert resource.getrlimit(resource.RLIMIT_AS)[0] != pdf_words.MOST_BYTES_OF_MEMORY


@pytest.mark.parametrize(
    ("answer", "code", "says"),
    [
        ({"refused": "too-large"}, "too-large", "more memory"),
        ({"refused": "too-long"}, "too-long", "too long"),
        ({"refused": "not-installed"}, "not-installed", "pip install 'ullage[sheets]'"),
    ],
)
def test_what_the_process_can_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: dict[str, str], code: str, says: str
) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"%PDF-1.7\n")
    monkeypatch.setattr(files, "_answer", lambda path: answer)
    refused, sentence = code_of(path)
    assert refused == code
    assert says in sentence


def test_a_process_that_is_ended_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"%PDF-1.7\n")
    monkeypatch.setattr(files, "PATIENCE_S", 0.001)
    assert code_of(path)[0] == "too-long"


W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"


def docx(path: Path, body: str, *, head: str = "") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr(
            "word/document.xml", f'{head}<w:document xmlns:w="{W}"><w:body>{body}</w:body></w:document>'
        )
    return path


def paragraph(text: str) -> str:
    return f"<w:p><w:r><w:t>{text}</w:t></w:r></w:p>"


def test_a_word_processors_file(tmp_path: Path) -> None:
    """Paragraphs, and tables whose cells are labels and values."""
    row = (
        "<w:tr>"
        + "".join(f"<w:tc>{paragraph(text)}</w:tc>" for text in ("Flash point", "-4 °C closed cup"))
        + "</w:tr>"
    )
    headings = [
        paragraph(text)
        for text in (
            "SECTION 1: Identification",
            "SECTION 2: Hazards identification",
            "SECTION 3: Composition",
            "acetone 67-64-1 10 - 25 %",
        )
    ]
    body = (
        "".join(headings) + paragraph("SECTION 9: Physical and chemical properties") + f"<w:tbl>{row}</w:tbl>"
    )
    found = {one.id: one for one in propose(files.read(docx(tmp_path / "sheet.docx", body)).readings)}
    assert (found["flash_point"].value, found["flash_point"].sure) == ("-4C", True)
    assert found["solvent:67-64-1"].value == "acetone=10-25% by weight"


def test_entities_and_bombs_in_a_word_processors_file(tmp_path: Path) -> None:
    laughs = docx(tmp_path / "laughs.docx", paragraph("&a;"), head='<!DOCTYPE x [<!ENTITY a "ha">]>')
    assert code_of(laughs)[0] == "damaged"
    bomb = docx(tmp_path / "bomb.docx", paragraph("a" * 30_000_000))
    assert bomb.stat().st_size < 100_000
    assert "unpacks to more text" in code_of(bomb)[1]
    other = tmp_path / "other.docx"
    with zipfile.ZipFile(other, "w") as file:
        file.writestr("elsewhere.xml", "<a/>")
    assert code_of(other)[0] == "damaged"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"\x00\x01\x02", "neither PDF, .docx nor text"),
        (b" \n ", "no text"),
        (b"a" * 5_000_000, "more text"),
    ],
)
def test_texts_that_are_none(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "sheet.txt"
    path.write_bytes(content)
    assert says in code_of(path)[1]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "blatt.txt"
    path.write_text("Handelsname: Türkis\nDichte: 1,1 g/cm3\n", encoding=encoding)
    found: dict[str, Proposal] = {one.id: one for one in propose(files.read(path).readings)}
    assert (found["name"].value, found["density"].value) == ("Türkis", "1.1")


def test_what_isnt_there_and_pipes(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="can't be read"):
        files.read(tmp_path / "nothing.pdf")
    os.mkfifo(tmp_path / "pipe.pdf")
    assert "pipe" in code_of(tmp_path / "pipe.pdf")[1]


def test_what_the_process_prints_is_json(tmp_path: Path) -> None:
    path = plain_lines(Wording(FACTS[1], "de"), tmp_path / "blatt.pdf")
    answer = json.loads(json.dumps(pdf_words.read(str(path), pages_with_figures)))
    assert {"pages", "flow", "rows", "placed", "begins", "all", "scanned"} == set(answer)
    assert answer["all"]
    assert [page for page, _, _ in answer["placed"]] == [page for page, _ in answer["begins"]] == [1, 2, 3, 4]
    assert dict(answer["begins"])[4] == 12
