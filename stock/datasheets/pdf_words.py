"""The words of a PDF, read in a process of its own: `python -m stock.datasheets.pdf_words FILE`.

A file from outside can make a reader take all memory or never end. The process has limits of both,
and what it prints is
JSON. It prints `{"refused": CODE}` for a file that it can't read.
"""

import json
import re
import sys
import time
from typing import Any

from stock.datasheets.page_lines import tidied
from stock.datasheets.section_titles import heading

MOST_PAGES = 60
"""Pages that are read; a data sheet has 4 to 30."""
MOST_SECONDS = 20
MOST_BYTES_OF_MEMORY = 1 << 30
_WANTED = frozenset((1, 2, 3, 8, 9, 10, 14))
WITHOUT_SECTIONS = 12
"""Pages of a file without sections that are read by place, too."""


def limit() -> None:
    """Bound this process's memory and processor time, where the system can."""
    try:
        import resource
    except ImportError:  # not on Windows; the caller's patience bounds it there
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES_OF_MEMORY, MOST_BYTES_OF_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS * 2, MOST_SECONDS * 2 + 5))


def read(path: str) -> dict[str, Any]:
    """The texts and the placed words of a PDF's pages.

    Returns:
        `pages` in the file, `flow` [[page, text]] by pypdf in the order written, `rows` the
        same by rows, `placed` [[page, width, [[text, x0, x1, top, bottom]]]] by
        pdfplumber for the pages that matter, `all`: whether every page was read; or `refused`.
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
        rows: list[tuple[int, str]] = []
        for number in range(min(count, MOST_PAGES)):
            if time.process_time() > end - MOST_SECONDS / 2:
                break
            page = reader.pages[number]
            flow.append((number + 1, page.extract_text() or ""))
            rows.append((number + 1, page.extract_text(extraction_mode="layout") or ""))
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
    wanted = _pages(flow)
    try:
        placed, complete = _placed(path, wanted, end)
    except MemoryError:
        raise
    except Exception:  # pdfminer raises whatever a damaged file makes it meet
        placed, complete = [], False
    return {
        "pages": count,
        "flow": flow,
        "rows": rows,
        "placed": placed,
        "all": complete and len(flow) == count,
    }


def _pages(flow: list[tuple[int, str]]) -> list[int]:
    """The pages that hold a wanted section, from its heading on; the first ones where there are no sections."""
    wanted: set[int] = {1}
    section: int | None = None
    met: set[int] = set()
    for page, text in flow:
        if section in _WANTED:
            wanted.add(page)
        lines = [tidied(each) for each in text.splitlines() if each.strip()]
        for line, following in zip(lines, [*lines[1:], ""], strict=False):
            number = heading(line, following)
            if number is not None:
                section = number
                met.add(number)
                if number in _WANTED:
                    wanted.add(page)
    if len(met) < 4:
        return [page for page, _ in flow[:WITHOUT_SECTIONS]]
    return sorted(wanted)


def _placed(path: str, wanted: list[int], end: float) -> tuple[list[Any], bool]:
    import pdfplumber

    found: list[Any] = []
    with pdfplumber.open(path, pages=wanted, password="") as opened:
        for page in opened.pages:
            if time.process_time() > end:
                return found, False
            words = page.extract_words(x_tolerance_ratio=0.2, keep_blank_chars=False, use_text_flow=False)
            width = float(page.width)
            found.append(
                [
                    page.page_number,
                    width,
                    [
                        [each["text"], *(round(float(each[key]), 1) for key in ("x0", "x1", "top", "bottom"))]
                        for each in words
                    ],
                ]
            )
            page.close()
    return found, True


def main() -> int:
    """Read the file named in the command line and print its words."""
    limit()
    try:
        answer = read(sys.argv[1])
    except MemoryError:
        answer = {"refused": "too-large"}
    except ImportError:
        answer = {"refused": "not-installed"}
    except Exception:  # the readers raise whatever a damaged file makes them meet
        answer = {"refused": "damaged"}
    # A lone surrogate of a broken font can't be written.
    sys.stdout.write(re.sub(r"\\ud[89a-f][0-9a-f]{2}", "\\\\ufffd", json.dumps(answer)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
