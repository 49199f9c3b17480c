"""What is proposed from sixteen invented sheets, against what is printed on them."""

from collections.abc import Callable
from pathlib import Path

from stock.datasheets.proposals import Proposal
from tests.datasheets.authored import Authored
from tests.datasheets.invented import Sheet


def test_what_is_printed_is_proposed_and_nothing_wrong_is_sure(
    invented: list[Sheet], proposed: Callable[[Path], dict[str, Proposal]]
) -> None:
    """Of the figures printed at least 95 % are proposed right; of those called sure, none is wrong."""
    printed = right = sure = 0
    wrong: list[str] = []
    missed: list[str] = []
    for sheet in invented:
        found = proposed(sheet.path)
        for name, value in sheet.printed.items():
            printed += 1
            one = found.get(name)
            if one is not None and one.value == value:
                right, sure = right + 1, sure + one.sure
            else:
                missed.append(f"{sheet.path.name} {name}: {one and one.value} for {value}")
        for name, one in found.items():
            if one.sure and one.value != sheet.printed.get(name, one.value):
                wrong.append(f"{sheet.path.name} {name}: {one.value}")
            if one.sure and name not in sheet.printed:
                wrong.append(f"{sheet.path.name} {name}: {one.value}, which isn't printed")
    print(f"{printed} figures on {len(invented)} sheets, {right} proposed right, {sure} of them sure")
    assert len(invented) >= 12
    assert wrong == []
    assert right >= 0.95 * printed, missed
    assert sure >= 0.6 * printed


def test_sheets_as_they_are_written_are_read_and_nothing_wrong_is_sure(
    as_authored: list[Authored], proposed: Callable[[Path], dict[str, Proposal]]
) -> None:
    """Bordered tables, dots, blocks, other countries' forms, kits, two products, languages that aren't read.

    A figure that such a sheet leaves open is sure of no value. What is sure and not among those printed is read off
    the sheet here, too: the cup of a flash point.
    """
    printed = right = sure = 0
    wrong: list[str] = []
    missed: list[str] = []
    for sheet in as_authored:
        found = proposed(sheet.path)
        for name, value in sheet.printed.items():
            one = found.get(name)
            printed, right = printed + 1, right + (one is not None and one.value == value)
            sure += one is not None and one.sure and one.value == value
            if one is None or one.value != value:
                missed.append(f"{sheet.path.name} {name}: {one and one.value} for {value}")
        for name, one in found.items():
            if one.sure and (
                (not {name, "*"}.isdisjoint(sheet.open) and one.value is not None)
                or one.value != sheet.printed.get(name, one.value)
                or (name not in sheet.printed and name != "flash_point_method" and one.value is not None)
            ):
                wrong.append(f"{sheet.path.name} {name}: {one.value}")
    print(f"{printed} figures on {len(as_authored)} sheets, {right} proposed right, {sure} of them sure")
    assert wrong == []
    assert right >= 0.95 * printed, missed
    assert sure >= 0.8 * printed


def test_every_proposal_has_its_line(
    invented: list[Sheet], proposed: Callable[[Path], dict[str, Proposal]]
) -> None:
    """The words beside a proposal hold its figure, and stand on the page that it names."""
    sheet = invented[0]
    found = proposed(sheet.path)
    flash = found["flash_point"]
    assert (flash.page, flash.section, flash.words) == (3, 9, "Flash point: -4 °C (25 °F) closed cup")
    assert flash.figures["cup"] == "closed"
    acetone = found["solvent:67-64-1"]
    assert (acetone.page, acetone.section) == (1, 3)
    assert "67-64-1" in acetone.words
    assert all(one.words for one in found.values())
