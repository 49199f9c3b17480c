"""The words of a PDF, read in a process of its own: `python -m stock.datasheets.pdf_words FILE`.

A file from outside can make a reader use up all memory or never end, so the process has limits for both. It prints
lines of JSON: first `{"flow": …}`, the text of each page; then it reads from standard input which pages matter,
`[[page, section], …]`, and prints the rest. For a file that it can't read it prints `{"refused": CODE}`.
"""

import gc
import json
import logging
import re
import sys
import time
from collections.abc import Callable, Mapping
from typing import Any

Choose = Callable[[list[tuple[int, str]]], Mapping[int, int | None]]
"""Which pages matter, by the text of each, with the section that each begins in: `wanted_pages.pages_with_figures`."""
MOST_PAGES = 60
"""Pages that are read; a data sheet has 4 to 30."""
MOST_SECONDS = 20
MOST_BYTES_OF_MEMORY = 1 << 30


def limit() -> None:
    """Limit this process's memory and processor time, if the system can."""
    try:
        import resource
    except ImportError:  # not on Windows; the caller's patience bounds it there
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES_OF_MEMORY, MOST_BYTES_OF_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS * 2, MOST_SECONDS * 2 + 5))


def read(path: str, choose: Choose) -> dict[str, Any]:
    """The texts and the placed words of a PDF's pages.

    Args:
        path: the file.
        choose: which pages are read by rows and by place.

    Returns:
        `pages` in the file, `flow` [[page, text]] by pypdf in the order written, `rows`
        those of the pages that matter by rows, `placed` [[page, width, [[text, x0, x1, top, bottom]]]] by
        pdfplumber for the same, `begins` [[page, section]] those pages with the section that each begins
        in, `all`: whether every page was read, `scanned`: whether a page is a scan with a text beneath; or `refused`.
    """
    from pypdf import PasswordType, PdfReader
    from pypdf.errors import PyPdfError

    end = time.process_time() + MOST_SECONDS
    try:
        reader = PdfReader(path)
        if reader.is_encrypted and reader.decrypt("") == PasswordType.NOT_DECRYPTED:
            return {"refused": "encrypted"}
        count = len(reader.pages)
        flow: list[tuple[int, str]] = []
        for number in range(min(count, MOST_PAGES)):
            if time.process_time() > end - MOST_SECONDS / 2:
                break
            flow.append((number + 1, reader.pages[number].extract_text() or ""))
        wanted = choose(flow)
        rows = [
            (page, reader.pages[page - 1].extract_text(extraction_mode="layout") or "") for page in wanted
        ]
    except (
        PyPdfError,
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        IndexError,
        RecursionError,
        OSError,
        AssertionError,
    ):
        return {"refused": "damaged"}
    try:
        placed, complete, scanned = _placed(path, list(wanted), end)
    except MemoryError:
        raise
    except Exception:  # pdfminer raises whatever a damaged file makes it meet
        placed, complete, scanned = [], False, False
    return {
        "pages": count,
        "flow": flow,
        "rows": rows,
        "placed": placed,
        "begins": list(wanted.items()),
        "all": complete and len(flow) == count,
        "scanned": scanned,
    }


def _placed(path: str, wanted: list[int], end: float) -> tuple[list[Any], bool, bool]:
    """The words of the pages by place, whether there was time for all of them, and whether a page is a scan.

    The text of a scanned page was recognised by a machine; it is invisible beneath the picture.
    """
    import pdfplumber
    from pdfplumber.utils import extract_words

    from stock.datasheets import pdf_letters

    found: list[Any] = []
    scanned = False
    with pdfplumber.open(path, pages=wanted, password="") as opened:
        for page in opened.pages:
            if time.process_time() > end:
                return found, False, scanned
            letters, unseen = pdf_letters.of_page(page)
            scanned = scanned or unseen
            words = extract_words(letters, x_tolerance_ratio=0.2)
            sides = ("x0", "x1", "top", "bottom")
            placed = [[each["text"], *(round(float(each[side]), 1) for side in sides)] for each in words]
            found.append([page.page_number, float(page.width), placed])
            page.close()
    return found, True, scanned


def main() -> int:
    """Read the file named in the command line and print its words."""
    limit()
    gc.set_threshold(
        100_000, 20, 100
    )  # the readers make a hundred thousand objects a page, hardly any in a circle
    logging.Logger.debug = _unsaid  # type: ignore[method-assign]  # pdfminer tells its log of each letter
    try:
        answer = read(sys.argv[1], _asked)
    except MemoryError:
        answer = {"refused": "too-large"}
    except ImportError:
        answer = {"refused": "not-installed"}
    except Exception:  # the readers raise whatever a damaged file makes them meet
        answer = {"refused": "damaged"}
    answer.pop("flow", None)  # it was printed before
    _print(answer)
    return 0


def _asked(flow: list[tuple[int, str]]) -> Mapping[int, int | None]:
    """Print the text of each page, and read which pages matter."""
    _print({"flow": flow})
    return dict(json.loads(sys.stdin.readline() or "[]"))


def _unsaid(*_: object, **__: object) -> None:
    """Log nothing."""


def _print(answer: dict[str, Any]) -> None:
    # A lone surrogate of a broken font can't be written.
    sys.stdout.write(re.sub(r"\\ud[89a-f][0-9a-f]{2}", "\\\\ufffd", json.dumps(answer)) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
