"""A pH as it is typed and as it is kept; what is corrosive can't become unknown."""

import pytest

from stock.errors import BadInput
from stock.shelf import lines, ph, products, record_texts
from stock.shelf.product_view import as_json, as_lines


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("12.5", 12_500, 12_500), (" 7 ", 7_000, 7_000), ("11-13", 11_000, 13_000), ("11..13", 11_000, 13_000),
        ("8.2 to 9", 8_200, 9_000), ("8 – 9", 8_000, 9_000), (">12", 12_000, 14_000), ("<= 2", 0, 2_000),
        ("≥ 12.5", 12_500, 14_000), ("0", 0, 0), ("14", 14_000, 14_000), ("0-14", 0, 14_000),
    ],
)  # fmt: skip
def test_what_is_read(text, low, high):
    assert ph.read(text) == {"ph_low_milli": low, "ph_high_milli": high}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("15", "14 where the sheet prints one beyond the scale"),
        ("-1", "0 where the sheet prints one beyond the scale"), ("14.001", "14 where"), ("13-11", "lower end first"),
        ("12,5", "12.5"), ("5 apples", "from 0 to 14"), ("", "empty"), ("acid", "figure"), ("7-", "figure"),
        ("-", "figure"), ("> >12", "figure"), ("1-2-3", "figure"), ("7 ml", "from 0 to 14"),
    ],
)  # fmt: skip
def test_what_is_refused_says_what_to_write(text, said):
    with pytest.raises(BadInput) as refused:
        ph.read(text)
    assert said in f"{refused.value.message} {refused.value.remedy}"


def test_a_mixture_lies_between_its_parts_and_a_corrosive_part_is_never_forgotten():
    assert ph.of_parts([(7_000, 8_000), (3_000, 3_000)]) == (3_000, 8_000)
    assert ph.of_parts([(7_000, 8_000), (None, None)]) == (None, None)
    assert ph.of_parts([(13_000, 13_000), (None, None)]) == (13_000, 13_000)


@pytest.mark.only("sqlite")
def test_a_line_says_it_and_what_is_corrosive_can_only_be_corrected(books):
    lines.add({"name": "Caustic", "role": "cleaner", "ph": "12-13"})
    products.add({"name": "Strip", "line": "Caustic"})
    products.add({"name": "Soap", "role": "cleaner", "ph": "9"})
    answer = as_json(products.find("Strip"))
    assert (answer["ph_low"], answer["ph_high"]) == (12, 13)
    assert any("pH" in line and "12 to 13  (from the line)" in line for line in as_lines(answer))
    for forget in (
        lambda: products.change("Strip", {"ph": "unknown"}),
        lambda: lines.change("Caustic", {"ph": ""}),
    ):
        with pytest.raises(BadInput, match="can't become unknown"):
            forget()
    assert record_texts.product("Strip")["ph"] == "12-13"
    products.change("Strip", {"ph": "10"})
    products.change("Soap", {"ph": ""})
    assert [record_texts.product(name)["ph"] for name in ("Strip", "Soap")] == ["10", ""]
