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

from stock.datasheets.labels import label_of
from stock.datasheets.page_lines import tidied
from stock.datasheets.section_titles import heading

STRAIGHT = 0.1
"""How much a line of letters may rise or fall, in parts of its length."""
MOST_PAGES = 60
"""Pages that are read; a data sheet has 4 to 30."""
MOST_SECONDS = 20
MOST_BYTES_OF_MEMORY = 1 << 30
_WANTED = frozenset((1, 2, 3, 8, 9, 10, 14))
_CODES = re.compile(r"(?<![\d-])\d{2,7}-\d{2}-\d(?![\d-])|\b(?:EUH|H|P|GHS|UN ?)\d{2,4}")
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
        `pages` in the file, `flow` [[page, text]] by pypdf in the order written, `rows`
        those of the pages that matter by rows, `placed` [[page, width, [[text, x0, x1, top, bottom]]]] by
        pdfplumber for the same, `begins` [[page, section]] those pages with the section that each begins
        in, `all`: whether every page was read; or `refused`.
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
        wanted = _pages(flow)
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
        placed, complete = _placed(path, list(wanted), end)
    except MemoryError:
        raise
    except Exception:  # pdfminer raises whatever a damaged file makes it meet
        placed, complete = [], False
    return {
        "pages": count,
        "flow": flow,
        "rows": rows,
        "placed": placed,
        "begins": list(wanted.items()),
        "all": complete and len(flow) == count,
    }


def _pages(flow: list[tuple[int, str]]) -> dict[int, int | None]:
    """The pages on which something may be proposed, each with the section that it begins in.

    Those are the first, and pages of a wanted section that have a code or a known label; the first ones where there
    are no sections.
    """
    wanted: dict[int, int | None] = {1: None}
    section: int | None = None
    met: set[int] = set()
    for page, text in flow:
        begins, here, says = section, {section}, False
        lines = [tidied(each) for each in text.splitlines() if each.strip()]
        for line, following in zip(lines, [*lines[1:], ""], strict=False):
            number = heading(line, following)
            if number is not None:
                section = number
                met.add(number)
                here.add(number)
            else:
                says = says or label_of(line) is not None or _CODES.search(line) is not None
        if says and here & _WANTED:
            wanted.setdefault(page, begins)
    if len(met) < 4:
        return {page: None for page, _ in flow[:WITHOUT_SECTIONS]}
    return dict(sorted(wanted.items()))


def _placed(path: str, wanted: list[int], end: float) -> tuple[list[Any], bool]:
    """The words of the pages by place, and whether there was time for all of them."""
    import pdfplumber
    from pdfplumber.utils import extract_words

    found: list[Any] = []
    with pdfplumber.open(path, pages=wanted, password="") as opened:
        for page in opened.pages:
            if time.process_time() > end:
                return found, False
            words = extract_words(_letters(page), x_tolerance_ratio=0.2)
            sides = ("x0", "x1", "top", "bottom")
            placed = [[each["text"], *(round(float(each[side]), 1) for side in sides)] for each in words]
            found.append([page.page_number, float(page.width), placed])
            page.close()
    return found, True


def _letters(page: Any) -> list[dict[str, Any]]:
    """What `extract_words` needs of each letter; all that pdfplumber notes of one takes it three times as long.

    Letters that stand askew, as a mark across the page does, are left out where most stand upright.
    """
    top = float(page.height) + float(page.mediabox[1])
    letters: list[dict[str, Any]] = []
    askew: list[dict[str, Any]] = []
    waiting: list[Any] = [page.layout]
    while waiting:
        one = waiting.pop()
        if hasattr(one, "fontname"):
            across, up = one.matrix[:2]
            (askew if abs(up) > STRAIGHT * abs(across) else letters).append(
                {
                    "text": one.get_text(), "x0": one.x0, "x1": one.x1, "top": top - one.y1, "bottom": top - one.y0,
                    "doctop": top - one.y1, "height": one.height, "width": one.width, "size": one.size,
                    "upright": one.upright,
                }
            )  # fmt: skip
        elif hasattr(one, "_objs"):  # a page, or a figure in which letters can stand, too
            waiting.extend(reversed(one._objs))
    return letters if len(letters) > len(askew) else letters + askew


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
