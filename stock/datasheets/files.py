"""A data sheet's file, read into lines: PDF, .docx or plain text, by its content and not by its name."""

import hashlib
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from threading import Event, Timer
from typing import Any
from xml.etree import ElementTree

from stock.datasheets.page_lines import (
    MOST_LINES,
    Cell,
    SheetLine,
    SheetText,
    Word,
    of_text,
    of_words,
    tidied,
    without_running,
)
from stock.datasheets.wanted_pages import pages_with_figures
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.store import paths
from stock.text import plain

MOST_BYTES = 50_000_000
"""A file above this is refused; data sheets with text have less than 5 MB."""
MOST_TEXT = 4_000_000
"""Letters of a plain text, and bytes of a .docx file's text part unpacked to five times that."""
PATIENCE_S = 60
FEW_LETTERS = 40
"""With fewer letters a page, a PDF counts as pictures of pages."""
_NS = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
TYPE_IT = _("Type its figures into the product's record instead")


class SheetFile(NamedTuple):
    """A file that was read.

    Attributes:
        name: its name without the folder.
        sha256: of its content, in hexadecimal.
        pages: how many it has; 0 for a kind of file without pages.
        complete: whether all of it was read.
        readings: one, or several by different readers.
    """

    name: str
    sha256: str
    pages: int
    complete: bool
    readings: tuple[SheetText, ...]


def read(path: Path) -> SheetFile:
    """Read a file.

    Raises:
        BadInput: no such file, one too large, of another kind, encrypted, damaged or without text.
        UllageError: the readers for PDFs are not installed.
    """
    name = plain(path.name, 80)
    size, sha256, head = _looked_at(path, name)
    if size == 0:
        raise BadInput(_("{name} is empty", name=name), remedy=_("Save the sheet again; nothing was read"))
    if b"%PDF-" in head:
        return _pdf(path, name, sha256)
    if head[:4] == b"PK\x03\x04":
        return SheetFile(name, sha256, 0, True, (_docx(path, name),))
    if head[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise BadInput(
            _("{name} is in an old word processor's format, or encrypted", name=name),
            remedy=_("Save it as .docx or PDF without a password"),
        )
    return SheetFile(name, sha256, 0, True, (_text(path, name),))


def fingerprint(path: Path) -> str:
    """The hash of a file's content, in hexadecimal; its text is not read.

    Raises:
        BadInput: no such file, or one too large.
    """
    return _looked_at(path, plain(path.name, 80))[1]


def _looked_at(path: Path, name: str) -> tuple[int, str, bytes]:
    """The file's size, its hash and its first bytes."""
    digest = hashlib.sha256()
    try:
        with paths.opened(path) as file:
            size = path.stat().st_size
            if size > MOST_BYTES:
                raise BadInput(
                    _(
                        "{name} has {size} MB; a data sheet of at most {most_bytes} MB is read",
                        name=name,
                        size=size // 1000000,
                        most_bytes=MOST_BYTES // 1000000,
                    ),
                    remedy=_(
                        "Save only the sheet's own pages, as text and not as pictures; nothing was read"
                    ),
                )
            head = file.read(1_024)
            digest.update(head)
            while block := file.read(1 << 20):
                digest.update(block)
    except OSError as error:
        raise BadInput(
            _("{name} can't be read ({strerror})", name=name, strerror=error.strerror or error),
            remedy=_("Check the path and that you may read it"),
        ) from None
    return size, digest.hexdigest(), head


def _pdf(path: Path, name: str, sha256: str) -> SheetFile:
    answer = _words_of(path, name)
    flow, rows = (
        [of_text(page, number, text) for page, number, text in _numbered(answer[key])]
        for key in ("flow", "rows")
    )
    placed = [
        line
        for page, width, words in answer["placed"]
        for line in of_words(page, width, [Word(*word) for word in words])
    ]
    flow, rows = ([line for line in lines if line.cells] for lines in (flow, rows))
    letters = sum(len(text) for _, text in answer["flow"])
    if (
        letters < FEW_LETTERS * max(len(answer["flow"]), 1)
        and sum(len(line.text) for line in placed) < FEW_LETTERS
    ):
        raise BadInput(
            _("{name} holds pictures of pages and no text, as a scan does; it can't be read", name=name),
            remedy=TYPE_IT,
            code="no-text",
        )
    begins: dict[int, int | None] = dict(answer["begins"])
    readings = tuple(
        without_running(reader, lines)._replace(
            begins={} if reader == "pypdf" else begins, scanned=answer["scanned"]
        )
        for reader, lines in (("pdfplumber", placed), ("pypdf, rows", rows), ("pypdf", flow))
        if lines
    )
    return SheetFile(name, sha256, answer["pages"], answer["all"], readings)


def _numbered(flow: list[tuple[int, str]]) -> Iterator[tuple[int, int, str]]:
    for page, text in flow:
        for number, line in enumerate(text.splitlines(), 1):
            yield page, number, line


_REFUSALS = {
    "encrypted": (_("is encrypted and asks for a password"), _("Save it without one; nothing was read")),
    "damaged": (
        _("is damaged, or no PDF that can be read"),
        _("Get the sheet from its maker again; nothing was read"),
    ),
    "too-large": (
        _("takes more memory to read than a data sheet may"),
        _("Save only the sheet's own pages; nothing was read"),
    ),
    "too-long": (_("takes too long to read"), _("Save only the sheet's own pages; nothing was read")),
}


def _words_of(path: Path, name: str) -> dict[str, Any]:
    """The words that the readers of a PDF found, unless they refused it."""
    answer = _answer(path)
    refused = answer.get("refused")
    if refused == "not-installed":
        raise UllageError(
            _("PDFs can't be read here"),
            remedy=_("Install what reads them: pip install 'ullage[sheets]'"),
            code="not-installed",
        )
    if refused is not None:
        what, remedy = _REFUSALS[refused]
        raise BadInput(f"{name} {what}", remedy=remedy, code=refused)
    return answer


def _answer(path: Path) -> dict[str, Any]:
    """The answer of the process that reads PDFs, whose limits may end it before it prints anything."""
    # -P: a folder in which the command is typed could hold modules of the same names. -S: where modules stand is known,
    # and to look for them again takes as long as to read a page.
    command = [sys.executable, "-P", "-S", "-m", "stock.datasheets.pdf_words", str(path.absolute())]
    own, here = str(Path(__file__).parents[2]), os.getcwd()
    modules = os.pathsep.join([*(each for each in sys.path if each not in ("", here)), own])
    late = Event()
    answer: dict[str, Any] = {}
    with subprocess.Popen(  # noqa: S603 - a module of ours, and the file's path as one word
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        encoding="ascii",
        env=os.environ | {"PYTHONPATH": modules},
    ) as reader:

        def end() -> None:
            late.set()
            reader.kill()

        patience = Timer(PATIENCE_S, end)
        patience.start()
        try:
            answer = _dialogue(reader)
            reader.wait()
        finally:
            patience.cancel()
            reader.kill()
    return answer or {"refused": "too-long" if late.is_set() or reader.returncode < 0 else "too-large"}


def _dialogue(reader: "subprocess.Popen[str]") -> dict[str, Any]:
    """Receive each page's text, send back which pages matter, receive the rest; empty if the process ended early."""
    assert reader.stdin is not None
    assert reader.stdout is not None
    first = reader.stdout.readline()
    answer: dict[str, Any] = json.loads(first) if first.endswith("\n") else {}
    if "flow" not in answer:
        return answer
    with suppress(OSError):  # the process has ended
        reader.stdin.write(json.dumps(list(pages_with_figures(answer["flow"]).items())) + "\n")
        reader.stdin.flush()
    rest = reader.stdout.readline()
    return answer | json.loads(rest) if rest.endswith("\n") else {}


def _docx(path: Path, name: str) -> SheetText:
    """The paragraphs and table rows of a .docx file, in order; its headers and footers are kept apart."""
    try:
        with zipfile.ZipFile(path) as opened:
            body = _part(opened, "word/document.xml")
            others = [
                each
                for each in opened.namelist()
                if each.startswith(("word/header", "word/footer")) and each.endswith(".xml")
            ]
            running = [line for each in others[:6] for line in _paragraphs(_part(opened, each))]
    except (
        zipfile.BadZipFile,
        KeyError,
        ElementTree.ParseError,
        RuntimeError,
        NotImplementedError,
        EOFError,
    ):
        raise BadInput(
            _("{name} is damaged, encrypted or no .docx file", name=name),
            remedy=_("Save it as .docx or PDF; nothing was read"),
            code="damaged",
        ) from None
    lines = list(_paragraphs(body))
    if not lines:
        raise BadInput(_("{name} holds no text", name=name), remedy=TYPE_IT, code="no-text")
    return SheetText("docx", _counted(lines), _counted(running))


def _part(opened: zipfile.ZipFile, part: str) -> ElementTree.Element:
    """One part of the file, unless it would unpack to more than any data sheet has."""
    if opened.getinfo(part).file_size > 5 * MOST_TEXT:
        raise BadInput(
            _("the document unpacks to more text than a data sheet has"),
            remedy=_("Save only the sheet's own pages"),
        )
    with opened.open(part) as file:
        text = file.read(5 * MOST_TEXT + 1)
    if b"<!DOCTYPE" in text[:2_000] or b"<!ENTITY" in text:
        raise zipfile.BadZipFile  # no word processor writes an entity, and entities can grow without end
    return ElementTree.fromstring(text)  # noqa: S314 - without a document type it can name no entity


def _paragraphs(element: ElementTree.Element) -> Iterator[tuple[str, ...]]:
    """The cells of each row, and each paragraph outside tables as one cell."""
    for child in element:
        if child.tag == f"{_NS}p":
            yield from ((text,) for text in _text_of(child).split("\n") if text.strip())
        elif child.tag == f"{_NS}tbl":
            for row in child.iter(f"{_NS}tr"):
                cells = [
                    " ".join(_text_of(each) for each in cell.iter(f"{_NS}p")) for cell in row.iter(f"{_NS}tc")
                ]
                if any(cell.strip() for cell in cells):
                    yield tuple(cells)
        else:
            yield from _paragraphs(child)


def _text_of(paragraph: ElementTree.Element) -> str:
    parts = {f"{_NS}tab": "  ", f"{_NS}br": "\n", f"{_NS}cr": "\n", f"{_NS}noBreakHyphen": "-"}
    return "".join(
        (each.text or "") if each.tag == f"{_NS}t" else parts.get(each.tag, "") for each in paragraph.iter()
    )


def _counted(rows: list[tuple[str, ...]]) -> tuple[SheetLine, ...]:
    lines = []
    for number, row in enumerate(rows[:MOST_LINES], 1):
        cells = (
            of_text(0, number, row[0]).cells
            if len(row) == 1
            else tuple(Cell(tidied(" ".join(text.split()))) for text in row)
        )
        kept = tuple(cell for cell in cells if cell.text)
        if kept:
            lines.append(SheetLine(0, number, kept))
    return tuple(lines)


def _text(path: Path, name: str) -> SheetText:
    with paths.opened(path) as file:
        content = file.read(MOST_TEXT + 1)
    if len(content) > MOST_TEXT:
        raise BadInput(
            _("{name} has more text than a data sheet", name=name),
            remedy=_("Save only the sheet itself; nothing was read"),
        )
    text = _decoded(content)
    if text is None:
        raise BadInput(
            _("{name} is neither PDF, .docx nor text", name=name),
            remedy=_("Save it as one of them; nothing was read"),
        )
    lines = [of_text(0, number, each) for number, each in enumerate(text.splitlines()[:MOST_LINES], 1)]
    filled = tuple(line for line in lines if line.cells)
    if not filled:
        raise BadInput(_("{name} holds no text", name=name), remedy=TYPE_IT, code="no-text")
    return SheetText("text", filled)


def _decoded(content: bytes) -> str | None:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace")
    if b"\0" in content:
        return None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")
