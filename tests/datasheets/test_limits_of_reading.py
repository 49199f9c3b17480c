"""The process that reads a PDF has limits of memory and time, and says what it could not read."""

import io
import json
import resource

import pytest

from stock.datasheets import pdf_words
from stock.datasheets.pdf_words import MOST_PAGES, MOST_SECONDS
from tests.datasheets.pages import Pages


def test_a_reading_may_take_a_gibibyte_and_twice_its_seconds(monkeypatch):
    """The five seconds more are for the system to end what does not heed the first limit."""
    limits = {}
    monkeypatch.setattr(resource, "setrlimit", lambda which, ends: limits.update({which: ends}))
    pdf_words.limit()
    assert limits == {resource.RLIMIT_AS: (2**30, 2**30), resource.RLIMIT_CPU: (40, 45)}


@pytest.fixture
def two_pages(tmp_path):
    pages = Pages()
    pages.lines(["Flash point: 23 °C"])
    pages.next_page()
    pages.lines(["Density: 1.1 g/ml"])
    return str(pages.save(tmp_path / "two.pdf"))


def at_seconds(monkeypatch, *seconds):
    """The processor's clock: one reading after the other, the last one for ever."""
    left = list(seconds)
    monkeypatch.setattr(pdf_words.time, "process_time", lambda: left.pop(0) if len(left) > 1 else left[0])


def test_all_pages_are_read_and_the_words_of_those_that_matter(two_pages):
    found = pdf_words.read(two_pages, lambda flow: {2: 9})
    assert (found["pages"], found["all"], found["scanned"], found["begins"]) == (2, True, False, [(2, 9)])
    assert [(page, text.split()[0]) for page, text in found["flow"]] == [(1, "Flash"), (2, "Density:")]
    ((page, text),) = found["rows"]
    assert (page, text.split()) == (2, ["Density:", "1.1", "g/ml"])
    ((page, width, words),) = found["placed"]
    assert (page, width, [word[0] for word in words]) == (2, 595, ["Density:", "1.1", "g/ml"])
    assert all(side == round(side, 1) for word in words for side in word[1:])
    assert words[0][1] == 50 < words[0][2] < words[1][1]
    assert words[0][3] < words[0][4]


def test_half_of_the_time_is_for_the_texts_and_all_of_it_for_the_words(two_pages, monkeypatch):
    half = MOST_SECONDS / 2
    for clock, pages, placed, whole in (
        ((0, 0, half, half, MOST_SECONDS), 2, 2, True),
        ((0, 0, half + 0.1, 0), 1, 2, False),
        ((0, 0, 0, MOST_SECONDS, MOST_SECONDS + 0.1), 2, 1, False),
        ((0, 0, 0, MOST_SECONDS + 0.1), 2, 0, False),
    ):
        at_seconds(monkeypatch, *clock)
        found = pdf_words.read(two_pages, lambda flow: {1: None, 2: 9})
        assert (len(found["flow"]), len(found["placed"]), found["all"]) == (pages, placed, whole)
    assert MOST_PAGES == 60


def test_the_process_prints_the_texts_then_the_words_of_the_pages_that_it_is_told(
    two_pages, monkeypatch, capsys
):
    monkeypatch.setattr(pdf_words, "limit", lambda: None)
    monkeypatch.setattr(pdf_words.gc, "set_threshold", lambda *_: None)
    monkeypatch.setattr(pdf_words.logging.Logger, "debug", pdf_words.logging.Logger.debug)
    monkeypatch.setattr("sys.argv", ["pdf_words", two_pages])
    monkeypatch.setattr("sys.stdin", io.StringIO("[[2, 9]]\n"))
    assert pdf_words.main() == 0
    first, then = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert [page for page, _ in first["flow"]] == [1, 2]
    assert (then["pages"], then["begins"], "flow" in then) == (2, [[2, 9]], False)
    monkeypatch.setattr("sys.argv", ["pdf_words", f"{two_pages}.none"])
    assert pdf_words.main() == 0
    assert json.loads(capsys.readouterr().out) == {"refused": "damaged"}


def test_half_a_letter_of_a_broken_font_is_printed_as_unreadable(capsys):
    pdf_words._print({"flow": "a\ud83d"})
    assert json.loads(capsys.readouterr().out) == {"flow": "a\ufffd"}


def test_letters_half_their_height_apart_are_two_words(tmp_path):
    pages = Pages()
    pages.row((50, "12"), (66, "34"), size=8)
    ((_, _, words),) = pdf_words.read(str(pages.save(tmp_path / "gap.pdf")), lambda flow: {1: 9})["placed"]
    assert [word[0] for word in words] == ["12", "34"]
    assert 2 < words[1][1] - words[0][2] < 8
