"""Cells that no spreadsheet runs, and that come back as they were."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.exchange.cells import harmless, restored

RUNS = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "  =1",
    "\u00a0=1",
    "\ufeff=1",
    "=cmd|' /C calc'!A0",
    "＝1",
    "%1",
    "|x",
]


@pytest.mark.parametrize("text", RUNS)
def test_what_a_spreadsheet_would_run_has_an_apostrophe_before_it(text: str) -> None:
    assert harmless(text).startswith("'")
    assert restored(harmless(text)) == text


def test_an_inner_line_is_guarded_too() -> None:
    assert harmless("first\n=1+1\r\n@x") == "first\n'=1+1\r\n'@x"


@pytest.mark.parametrize(
    "text", ["", "Harbour Blue", "'tis blue", "O'Brien", "a=b", "5-6", "#2a6f97", "B0001"]
)
def test_plain_text_comes_back_and_keeps_its_apostrophes(text: str) -> None:
    assert restored(harmless(text)) == text
    assert restored(text) == text


@given(st.text(st.sampled_from("'=+-@ \t\n\r\u00a0ab") | st.characters(), max_size=12))
def test_every_text_comes_back_as_it_was(text: str) -> None:
    guarded = harmless(text)
    assert restored(guarded) == text
    for line in guarded.replace("\r", "\n").split("\n"):
        bare = line.lstrip(" \u00a0\u200b\ufeff\t\x0b\x0c")
        assert not bare.startswith(("=", "+", "-", "@")) or bare != line or line.startswith("'")
        assert not line.startswith(("=", "+", "-", "@"))
