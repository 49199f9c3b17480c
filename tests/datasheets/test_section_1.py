"""Section 1: what can be a product's name or its maker, and which day is that of the revision."""

import pytest

from stock.datasheets import identity
from stock.datasheets.found_values import FoundValue
from stock.datasheets.page_lines import Cell, SheetLine, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def read(*texts: str, running: tuple[str, ...] = (), language: str = "en") -> list[FoundValue]:
    return list(identity.identity(lines(*texts), lines(*running), 1, language=language))


def named(*texts: str) -> list[tuple[str, str | None, bool]]:
    return [(one.name, one.value, not one.doubts) for one in read(*texts) if one.name in ("name", "maker")]


@pytest.mark.parametrize(
    ("texts", "found"),
    [
        (["Product name: Tern Grey"], [("name", "Tern Grey", True)]),
        (["Product name: " + "t" * 80], [("name", "t" * 80, True)]),
        (["Product name: " + "t" * 81], []),
        (["Product name: not available"], []),
        (["Product name: x"], []),
        (["Product name: mixture"], []),
        (["Product name: 1.2"], []),
        (["Product name: Density"], []),
        (["Product name: Tern Grey and"], [("name", "Tern Grey and", True)]),
        (["Product name: Tern Grey,"], [("name", "Tern Grey,", False)]),
        (["Product name: Tern", "Grey of the quay"], [("name", "Tern", False)]),
        (["Product name: Tern", "12 of the quay"], [("name", "Tern", True)]),
        (["Product name: Tern Grey", "Product code: 12"], [("name", "Tern Grey", True)]),
        (["Product name:", "Tern Grey"], [("name", "Tern Grey", True)]),
        (["Product identifier:", "Tern Grey"], [("name", "Tern Grey", False)]),
        (["Product name  Tern Grey"], [("name", "Tern Grey", True)]),
        (["Product name:", "Tern Grey  12"], [("name", "Tern Grey  12", False)]),
        (["Product name: Tern  Grey"], [("name", "Tern Grey", False)]),
        (["Product name  Tern Grey  12"], [("name", "Tern Grey 12", False)]),
        (["Colour: red  Product name: Tern Grey"], [("name", "Tern Grey", False)]),
        (["Manufacturer: North Quay Works"], [("maker", "North Quay Works", True)]),
        (["Manufacturer: North Quay Works, Lisbon"], [("maker", "North Quay Works", True)]),
        (["Manufacturer: North Quay Works; Lisbon"], [("maker", "North Quay Works", True)]),
        (["Manufacturer: 12 North Quay"], [("maker", "12 North Quay", False)]),
        (["Manufacturer: Harbour Street Works"], [("maker", "Harbour Street Works", False)]),
        (["Manufacturer: North Quay,"], [("maker", "North Quay,", False)]),
        (["Manufacturer: North Quay", "and Sons"], [("maker", "North Quay", False)]),
        (["Sheet 12", "Manufacturer: North Quay", "and Sons"], [("maker", "North Quay", False)]),
        (["Manufacturer: North Quay", "Harbour Road 12"], [("maker", "North Quay", True)]),
        (["Supplier: North Quay Works"], [("maker", "North Quay Works", False)]),
    ],
)
def test_what_is_taken_for_a_name(texts, found):
    assert named(*texts) == found


@pytest.mark.parametrize("words", [40, 41])
def test_a_day_belongs_to_the_label_at_most_40_letters_before_it(words):
    (label, text) = ("Revision date", ":" + " " * (words - 1))
    line = SheetLine(1, 1, (Cell(f"{label}{text}2024-05-03"),))
    found = [one.value for one in identity.identity([line], [], 1, language="en") if one.name == "revised_on"]
    assert found == (["2024-05-03"] if words == 40 else [])


def days(*texts: str, running: tuple[str, ...] = (), language: str = "en") -> list[tuple[str | None, bool]]:
    return [
        (one.value, not one.doubts)
        for one in read(*texts, running=running, language=language)
        if one.name == "revised_on"
    ]


@pytest.mark.parametrize(
    ("texts", "found"),
    [
        (["Revision date: 12/12/2024"], [("2024-12-12", True)]),
        (["Revision date: 12/11/2024"], [("2024-11-12", False)]),
        (["Revision date: 12/13/2024"], [("2024-12-13", True)]),
        (["Revision date: 13/12/2024"], [("2024-12-13", True)]),
        (["Revision date: 12/11/2024", "12/13/2024", "13/12/2024"], [("2024-11-12", False)]),
        (["Revision date: 12/05/2024", "Printed: 05/12/2024"], [("2024-05-12", False)]),
        (["Revision date: 13/12/2024", "Printed: 12/13/2024"], [("2024-12-13", True)]),
        (["Previous revision: 2023-01-02, revision date: 2024-05-03"], [("2024-05-03", True)]),
        (["Revision date: 31/02/2024, revised 2024-05-03"], [("2024-05-03", True)]),
        (["Revision date: 13/13/2024"], []),
        (["Revision date: May 3, 2024"], [("2024-05-03", True)]),
        (["Revision date: 3 Smarch 2024"], []),
        (["Supersedes revision of 2024-05-03"], []),
        (["Supersedes: 2023-01-02  Revision date: 2024-05-03"], [("2024-05-03", True)]),
        (["According to Regulation 1907/2006 as amended, revised 2024-05-03"], [("2024-05-03", False)]),
        (["According to Regulation 1907/2006 as amended, revised: 2024-05-03"], [("2024-05-03", True)]),
    ],
)
def test_a_day_either_way_round_is_doubtful_unless_another_day_shows_the_order(texts, found):
    assert days(*texts) == found


def test_sheets_in_other_languages_write_the_day_first():
    assert days("Überarbeitet am: 12/11/2024", language="de") == [("2024-11-12", True)]
    assert days("Überarbeitet am: 05/12/2024", language="de") == [("2024-12-05", True)]
    assert days("Überarbeitet am: 12/13/2024", language="de") == [("2024-12-13", True)]  # it can't be else


def test_the_head_of_a_page_is_looked_at_too():
    assert days("Product name: Tern", running=("Revision date: 2024-05-03",)) == [("2024-05-03", True)]


def versions(*texts: str) -> list[str | None]:
    return [one.value for one in read(*texts) if one.name == "version"]


def test_a_version_is_the_sheets_not_a_rules_a_forms_or_an_older_ones():
    assert versions("Version: 4,2") == ["4.2"]
    assert versions("Rev. no. 12  Page 3") == ["12"]
    assert (
        versions("GHS revision 7")
        == versions("Replaces version 3")
        == versions("Product name: Version 2")
        == []
    )
    assert versions("Product name: Version 2", "Version: 4") == ["4"]
    assert versions("Replaces version 3 of 2023-01-02 by version 4") == ["4"]
    assert versions("(replaces) version 4") == ["4"]
