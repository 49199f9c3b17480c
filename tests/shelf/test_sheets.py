"""Data sheets with revisions: entered, corrected, compared."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import BadInput, NotFound, UllageError
from stock.shelf import dosings, sheets
from stock.shelf.dosings import DosingEntry

OLD, NEW = dt.date(2022, 1, 1), dt.date(2024, 1, 1)


class TestWriting:
    @pytest.mark.parametrize(
        ("text", "entry"),
        [
            (
                "with=Slow Thinner needle<=0.18 low=20 high=30 step=5",
                DosingEntry(20_000, 30_000, 5_000, "Slow Thinner", needle_high_um=180),
            ),
            ("needle>=0.4 low=10% high=20%", DosingEntry(10_000, 20_000, needle_low_um=400)),
            (
                "line=Quay needle=0.2..0.3 low=5 high=10",
                DosingEntry(5_000, 10_000, for_line="Quay", needle_low_um=200, needle_high_um=300),
            ),
            ("needle=0.35 low=10", DosingEntry(10_000, 10_000, needle_low_um=350, needle_high_um=350)),
            ("low=5:1", DosingEntry(20_000, 20_000)),
            (
                "low=10 high=20 pressure=1.2..1.8 bar humidity=below 60 % wording=thin 1:5",
                DosingEntry(
                    10_000, 20_000, pressure_low_pa=120_000, pressure_high_pa=180_000,
                    humidity="below 60 %", wording="thin 1:5",
                ),
            ),
        ],
    )  # fmt: skip
    def test_reads(self, text: str, entry: DosingEntry):
        assert dosings.read(text) == entry

    @pytest.mark.parametrize(
        "text",
        [
            "", "20-30", "with=Slow Thinner", "low=30 high=20", "low=x", "low=-5", "low=1e2", "low=10 low=20",
            "needle<=abc low=10", "needle=0.3..0.2 low=10", "needle<=9 low=10", "low=300", "low=10 step=0",
            "nonsense low=10", "step<=5 low=10", "low=10 pressure=2..1 bar", "low=10 pressure=20",
            "low=1:5", "low=10 line=\x1b[31m", "x" * 501,
        ],
    )  # fmt: skip
    def test_refuses(self, text: str):
        with pytest.raises(BadInput) as refusal:
            dosings.read(text)
        assert refusal.value.remedy
        assert "\x1b" not in str(refusal.value)

    @given(st.text(max_size=80))
    def test_any_text_is_read_or_refused(self, text: str):
        try:
            dosings.read(text)
        except BadInput as refusal:
            assert refusal.remedy


@pytest.fixture
def two(stocked: str) -> None:
    """Two revisions of a sheet: the newer has no range for small needles and another one widened."""
    sheets.add(
        "Harbour Blue",
        "Opaque colours",
        OLD,
        dosings=[
            dosings.read("with=Slow Thinner needle<=0.18 low=20 high=30 step=5"),
            dosings.read("with=Slow Thinner low=10 high=20"),
        ],
    )
    sheets.add(
        "Harbour Blue", "Opaque colours", NEW, dosings=[dosings.read("with=Slow Thinner low=10 high=25")]
    )


def test_the_newest_revision_is_in_force(two: None):
    newer, older = sheets.listed("Harbour Blue")
    assert newer.in_force
    assert older.replaced_by == NEW
    assert older.as_json()["in_force"] is False


def test_what_changed_between_two_revisions(two: None):
    older, newer = sheets.two_revisions(sheets.listed("Harbour Blue"))
    assert (older.revised_on, newer.revised_on) == (OLD, NEW)
    changes = sheets.compare(older, newer)
    assert [each.what for each in changes] == ["changed", "dropped"]
    assert "it was 10 to 20 %" in changes[0].words
    assert "needle up to 0.18 mm" in changes[1].words


def test_the_same_revision_changed_nothing(two: None):
    newer = sheets.listed("Harbour Blue")[0]
    assert [each.what for each in sheets.compare(newer, newer)] == ["kept"]


def test_one_revision_can_not_be_compared(stocked: str):
    sheets.add("Harbour Blue", "Opaque colours", OLD)
    for wanted in ({}, {"title": "Other"}, {"older": NEW}, {"older": OLD, "newer": OLD}):
        with pytest.raises(NotFound, match="no two such revisions"):
            sheets.two_revisions(sheets.listed("Harbour Blue"), **wanted)


def test_as_of_a_day_between_the_older_one_rules(two: None):
    (only,) = sheets.listed("Harbour Blue", as_of=dt.date(2023, 1, 1))
    assert only.in_force


def test_a_withdrawn_newer_one_replaces_nothing(stocked: str):
    sheets.add("Harbour Blue", "Opaque colours", OLD)
    sheets.add("Harbour Blue", "Opaque colours", NEW, withdrawn=True)
    newer, older = sheets.listed("Harbour Blue")
    assert not newer.in_force
    assert older.in_force


def test_a_sheet_that_stands_for_one_of_another_title(stocked: str):
    sheets.add("Harbour Blue", "Opaque colours", OLD)
    sheets.add("Harbour Blue", "All colours", NEW, replaces="Opaque colours")
    newer, older = sheets.listed("Harbour Blue")
    assert newer.title == "All colours"
    assert older.replaced_by == NEW
    with pytest.raises(NotFound):
        sheets.add("Harbour Blue", "More", NEW, replaces="No such sheet")
    assert len(sheets.listed("Harbour Blue")) == 2


def test_a_revision_is_entered_once(two: None):
    with pytest.raises(UllageError, match="is in the books"):
        sheets.add("Harbour Blue", "Opaque colours", NEW)


def test_an_entry_is_put_right(two: None):
    sheets.correct(
        "Harbour Blue",
        "Opaque colours",
        NEW,
        dosings=[dosings.read("low=12 high=18")],
        withdrawn=True,
        source="p. 2",
    )
    found = next(each for each in sheets.listed("Harbour Blue") if each.revised_on == NEW)
    assert [entry.low_milli for entry in found.dosings] == [12_000]
    assert (found.withdrawn, found.source) == (True, "p. 2")
    with pytest.raises(NotFound):
        sheets.correct("Harbour Blue", "Opaque colours", dt.date(2020, 1, 1))


@pytest.mark.parametrize("title", ["", " ", "x" * 121, "bad\x1btitle"])
def test_titles_refused(stocked: str, title: str):
    with pytest.raises(BadInput):
        sheets.add("Harbour Blue", title, NEW)


def test_an_unknown_reducer_enters_nothing(stocked: str):
    with pytest.raises(NotFound):
        sheets.add(
            "Harbour Blue", "Opaque colours", NEW, dosings=[dosings.read("with=Nothing low=5 high=10")]
        )
    assert sheets.listed("Harbour Blue") == []
