"""Seconds and memory to read a data sheet of ten pages: `python -m tests.benchmarks.datasheets`.

The floor is the same readers without any of ours: pypdf's text of each page, and pdfplumber's words. Each figure is the
best of several runs; seconds are those of the processor, with the process that reads the PDF. A file of 500 pages shows
that time and memory are bounded.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.datasheets.invented import FACTS, Wording, plain_lines
from tests.datasheets.pages import LEFT, Pages

RUNS = 3
FLOOR = """
import sys, pypdf, pdfplumber
for page in pypdf.PdfReader(sys.argv[1]).pages:
    page.extract_text(); page.extract_text(extraction_mode="layout")
with pdfplumber.open(sys.argv[1]) as opened:
    for page in opened.pages:
        page.extract_words(); page.close()
"""
OURS = """
import json, sys
from pathlib import Path
from stock.datasheets import files, proposals
file = files.read(Path(sys.argv[1]))
found = proposals.propose(file.readings)
print(json.dumps([file.pages, len(found), sum(one.sure for one in found)]))
"""
SENTENCE = "words that sheets have by the hundred in each of their sections"


def ten_pages(folder: Path) -> Path:
    """The figures of an invented sheet, filled up with running text to ten full pages of the usual density."""

    class Full(Wording):
        def filler(self, number: int) -> list[str]:
            labels = self.labels
            figures = {
                8: [f"{labels['gloves']}: {labels['nitrile']}"],
                10: [f"{labels['incompatible']}: {labels['acids']}"],
            }
            text = [f"{SENTENCE} {line}" for line in range(37)]
            return [*super().filler(number), *figures.get(number, ()), *text]

    return plain_lines(Full(FACTS[0], "en"), folder / "ten.pdf")


def long_sheet(folder: Path) -> Path:
    """500 pages with a few lines each."""
    pages = Pages()
    for number in range(500):
        pages.lines([f"{SENTENCE} {number}"] * 20)
        pages.row((LEFT, "Density: 1.1 g/ml"))
        if number < 499:
            pages.next_page()
    return pages.save(folder / "long.pdf")


def measured(script: str, path: Path) -> tuple[float, float, int, str]:
    """Processor and clock seconds of a process and its children, their peak memory in MB, and what it printed."""
    watch = (
        "import resource, runpy, subprocess, sys, time; begun = time.perf_counter();"
        "line = [sys.executable, '-c', sys.argv[1], sys.argv[2]];"
        "done = subprocess.run(line, capture_output=True, text=True, check=True);"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN);"
        "print(used.ru_utime + used.ru_stime, time.perf_counter() - begun, used.ru_maxrss // 1024); print(done.stdout)"
    )
    done = subprocess.run(
        [sys.executable, "-c", watch, script, str(path)], capture_output=True, text=True, check=True
    )
    first, _, rest = done.stdout.partition("\n")
    processor, clock, memory = first.split()
    return float(processor), float(clock), int(memory), rest.strip()


def best(script: str, path: Path) -> tuple[float, float, int, str]:
    """The run with the fewest seconds of the processor."""
    return min(measured(script, path) for _ in range(RUNS))


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        ten, long = ten_pages(folder), long_sheet(folder)
        floor, ours = best(FLOOR, ten), best(OURS, ten)
        pages, found, sure = json.loads(ours[3])
        print(f"a sheet of {pages} pages, {found} figures proposed, {sure} of them sure")
        print(
            f"  the readers alone  {floor[0]:.2f} s of the processor, {floor[1]:.2f} s by the clock, {floor[2]} MB"
        )
        print(
            f"  ullage             {ours[0]:.2f} s of the processor, {ours[1]:.2f} s by the clock, {ours[2]} MB"
        )
        print(f"  ratio              {ours[0] / floor[0]:.2f}")
        slow = measured(OURS, long)
        print(
            f"500 pages            {slow[0]:.2f} s of the processor, {slow[1]:.2f} s by the clock, {slow[2]} MB"
        )


if __name__ == "__main__":
    main()
