"""Any text at all is read without a fault, in bounded time."""

import time
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from stock.datasheets import files
from stock.datasheets.page_lines import MOST_LINES, SheetText, of_text, without_running
from stock.datasheets.proposals import propose

WORDS = (
    "SECTION 1: Identification", "SECTION 2: Hazards", "ABSCHNITT 3: Zusammensetzung", "SECTION 9: Physical",
    "SECTION 8: Exposure",
    "SECTION 14: Transport", "Flash point", "Flammpunkt:", "Density", "Densité :", "pH", "VOC", "23 °C",
    "(73 °F)", "< 0", "≥ 2,5", "-", "%",
    "10 - 25 %", "67-64-1", "1330-20-7", "200-662-2", "606-001-00-8", "acetone", "TWA 500 ppm",
    "not determined", "1.000", "1,5", "g/cm3",
    "lb/gal", "Needle 0.2 mm", "Reduction", "Pressure 1.5 bar", "Pot life 8 h", "Mixing ratio 4:1",
    "Revision date: 31.02.2024", "99.99.9999",
    "Product name:", "Signal word", "H225", "H361d", "P303 + P361", "UN 1263", "Packing group: II", "°", "'",
    "|", "   ", "....", "Ⅷ", "½", "０",
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.sampled_from(WORDS) | st.text(max_size=8), max_size=6), max_size=30))
def test_no_text_is_a_fault(rows: list[list[str]]) -> None:
    lines = (of_text(1, number, "  ".join(row)) for number, row in enumerate(rows, 1))
    reading = SheetText("text", tuple(line for line in lines if line.cells))
    for one in propose([reading, reading]):
        assert one.words
        assert one.as_json()["field"] == one.field
        assert one.sure == (not one.doubts)


def test_only_what_repeats_at_the_head_or_foot_of_pages_is_apart() -> None:
    """The first six and the last five lines of a page; the seventh of twelve is the body's."""
    texts = [f"line {'abcdefghijkl'[at]}" for at in range(12)]
    lines = [of_text(page, number, text) for page in (1, 2) for number, text in enumerate(texts, 1)]
    reading = without_running("text", lines)
    assert [line.text for line in reading.running] == [*texts[:6], *texts[7:]]
    assert [(line.page, line.text) for line in reading.lines] == [(1, texts[6]), (2, texts[6])]


def test_lines_without_end_take_bounded_time(tmp_path: Path) -> None:
    """Millions of letters in one line are cut to those of a page; of millions of lines the first are read."""
    begun = time.process_time()
    for name, text in (
        ("one", "Flash point: " + "1 " * 1_500_000), ("blank", "SECTION 9: Physical" + " " * 3_000_000),
        ("dots", "pH" + "._" * 1_000_000), ("brackets", "Density: " + "(1.1 - " * 400_000),
    ):  # fmt: skip
        path = tmp_path / f"{name}.txt"
        path.write_text(text, encoding="utf-8")
        propose(files.read(path).readings)
    assert time.process_time() - begun < 60  # where a bound is missing it takes hours
    many = tmp_path / "many.txt"
    many.write_text("pH 7\n" * 500_000, encoding="utf-8")
    assert len(files.read(many).readings[0].lines) == MOST_LINES
