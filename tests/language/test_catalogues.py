"""Every message has a translation that can stand in its place, and what is compiled is what is written."""

import os
import re
from collections.abc import Iterator

import pytest
from babel.messages.catalog import Catalog

from stock.language import CATALOGUES, LANGUAGES, SOURCE
from tests.language.__main__ import compiled, read, source_of
from tests.language.collecting import catalogue

OTHERS = tuple(code for code in LANGUAGES if code != SOURCE)
PLACEHOLDER = re.compile(r"\{\{|\}\}|(\{[^{}]*(?:\{[^{}]*\}[^{}]*)*\})")
IN_BACKTICKS = re.compile(r"`[^`]*`")


@pytest.fixture(scope="module", params=OTHERS)
def code(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def kept(code: str) -> Catalog:
    return read(code)


def pairs(kept: Catalog) -> Iterator[tuple[str, str]]:
    """Each English form with its translation."""
    for one in kept:
        if one.id:
            yield from zip(one.id, one.string, strict=True) if one.pluralizable else ((one.id, one.string),)


def test_there_is_a_catalogue_for_each_language() -> None:
    assert {*os.listdir(CATALOGUES)} == set(OTHERS)


def test_each_message_of_the_program_is_translated_and_no_other_is_kept(kept: Catalog) -> None:
    wanted = {one.id for one in catalogue() if one.id}
    assert {one.id for one in kept if one.id} == wanted, "run `python -m tests.language`"
    assert [english for english, translated in pairs(kept) if not translated] == []


def test_a_translation_names_the_same_values_and_commands(kept: Catalog) -> None:
    for pattern in (PLACEHOLDER, IN_BACKTICKS):
        wrong = [
            (english, translated)
            for english, translated in pairs(kept)
            if sorted(found[0] for found in pattern.finditer(english))
            != sorted(found[0] for found in pattern.finditer(translated))
        ]
        assert wrong == []


def test_a_translation_fits_the_seam_that_its_message_fits(kept: Catalog) -> None:
    """Blanks at either end, the mark of a column of figures, and lines stay."""
    wrong = [
        (english, translated)
        for english, translated in pairs(kept)
        if (english[:1].isspace(), english[-1:].isspace(), english.endswith(">"), english.count("\n"))
        != (
            translated[:1].isspace(),
            translated[-1:].isspace(),
            translated.endswith(">"),
            translated.count("\n"),
        )
    ]
    assert wrong == []


def test_what_the_program_reads_is_what_translators_wrote(code: str, kept: Catalog) -> None:
    assert source_of(code).with_suffix(".mo").read_bytes() == compiled(kept), "run `python -m tests.language`"
