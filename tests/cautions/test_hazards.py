"""What a safety sheet warns of, and where what is noted of a product contradicts itself."""

from datetime import date

import pytest

from stock.cautions.compatibility import together
from stock.cautions.facts import MixPart
from stock.cautions.findings import codes_by_bottle
from stock.cautions.flammable import burning
from stock.cautions.hazards import contradictions_of, hazards_of
from stock.cautions.mix import mix_findings, wash_findings
from stock.cautions.rules import rule_book
from tests.cautions.sample_facts import TODAY, bottle, codes, one, part, place, product, reducer, said, share

WHOLE = {"signal_word": "warning", "pictograms": ("GHS02",)}


def mixed(*parts):
    return mix_findings(list(parts), TODAY)


@pytest.mark.parametrize(
    ("statement", "code", "shelf", "bench"),
    [
        ("H317", "skin-allergy", "note", "note"), ("H334", "breathing-allergy", "note", "warn"),
        ("EUH204", "breathing-allergy", "note", "warn"), ("H350i", "cancer-genes-unborn", "warn", "warn"),
        ("H360FD", "cancer-genes-unborn", "warn", "warn"), ("H341", "cancer-genes-unborn", "note", "warn"),
        ("H314", "corrosive", "note", "warn"), ("H318", "corrosive", "note", "warn"),
        ("H301+H331", "toxic", "warn", "warn"), ("H280", "gas-under-pressure", "note", "note"),
        ("H261", "water-reactive", "note", "warn"), ("EUH014", "water-reactive", "note", "warn"),
        ("H242", "organic-peroxide", "note", "warn"), ("H251", "self-heating", "note", "warn"),
        ("H410", "harms-water", "note", "note"), ("H240", "organic-peroxide", "note", "warn"),
        ("H201", "explosive", "warn", "warn"), ("EUH201A", "toxic-metal", "note", "warn"),
    ],
)  # fmt: skip
def test_each_statement_has_its_rule_milder_on_the_shelf_than_at_the_bench(statement, code, shelf, bench):
    grave = product(h_statements=(statement,))
    found = one(said(grave, bottle()), code)
    assert (found.severity, found.product) == (shelf, "Product 1")
    assert statement in found.message
    assert one(mixed(part(grave, 5)), code).severity == bench
    washed = wash_findings(MixPart(grave, 10_000), [])
    assert one(washed, code).severity == bench


def test_a_calm_sheet_says_nothing():
    assert said(product(h_statements=("EUH210", "EUH066")), bottle()) == []


@pytest.mark.parametrize(
    ("word", "code"),
    [
        ("sensitiser", "skin-allergy"), ("cmr", "cancer-genes-unborn"), ("toxic", "toxic"), ("corrosive", "corrosive"),
        ("gas_under_pressure", "gas-under-pressure"), ("water_reactive", "water-reactive"),
        ("organic_peroxide", "organic-peroxide"), ("self_heating", "self-heating"), ("aquatic", "harms-water"),
        ("lead", "toxic-metal"), ("chromate", "toxic-metal"), ("cadmium", "toxic-metal"),
        ("aluminium_powder", "metal-powder"), ("respiratory_sensitiser", "breathing-allergy"),
    ],
)  # fmt: skip
def test_each_word_of_the_groups_stands_for_its_hazard(word, code):
    assert code in codes(said(product(groups=(word,)), bottle()))


def test_metals_are_found_by_what_is_in_it():
    found = one(
        said(product(solvents=(share("lead chromate", 3),), solids_milli=37_000), bottle()), "toxic-metal"
    )
    assert "lead and chromium VI" in found.message
    assert "by its lead chromate" in found.message


@pytest.mark.parametrize(
    ("name", "percent", "code"),
    [
        ("toluene", 2.9, None), ("toluene", 3, "cancer-genes-unborn"), ("methanol", 9.9, None),
        ("methanol", 10, "toxic"),
        ("hdi", 0.09, None), ("hdi", 0.1, "breathing-allergy"), ("ethanol", 40, None),
    ],
)  # fmt: skip
def test_without_a_sheet_what_is_named_in_it_speaks_from_its_limit_on(name, percent, code):
    named = product(solvents=(share(name, percent),), h_statements=None)
    rules = {"cancer-genes-unborn", "toxic", "breathing-allergy"}
    found = said(named, bottle())
    assert codes(found) & rules == ({code} if code else set())
    if code:
        assert f"by its {name}, H" in one(found, code).message
    assert not codes(said(named._replace(h_statements=("EUH066",)), bottle())) & rules, (
        "its own statements decide"
    )


def test_pictograms_and_transport_stand_in_for_statements_at_the_worst_that_they_can_mean():
    blank = product(h_statements=None, pictograms=("GHS06", "GHS08"), transport_class="8 (5.2)")
    assert {"toxic", "cmr", "respiratory_sensitiser", "corrosive", "self_reactive"} <= set(hazards_of(blank))
    noted = blank._replace(h_statements=("H373",))
    assert {"corrosive", "self_reactive"} == set(hazards_of(noted)), (
        "the statements say what a pictogram means"
    )


def test_a_hazard_of_many_products_is_told_once_with_what_protects():
    many = [
        product(n, h_statements=("H317",), protection=f"gloves: kind {n % 2}" * (n < 3)) for n in range(1, 6)
    ]
    found = one(said(*many, *(bottle(n, n) for n in range(1, 6))), "skin-allergy")
    assert "Product 1, Product 2, Product 3 and 2 more" in found.message
    assert found.product is None
    assert "gloves: kind 1; as printed: gloves: kind 0; not noted here" in found.remedy


def test_an_isocyanate_s_mist_is_told_once():
    hdi = product(h_statements=("H334",), groups=("isocyanate",), water_milli=0)
    found = codes(mixed(part(hdi, 5)))
    assert "isocyanate-mist" in found
    assert "breathing-allergy" not in found


class TestFire:
    def test_statements_stand_in_for_a_flash_point_that_nobody_noted(self):
        def category(*statements, **known):
            given = {"no_flash_point": False, **known}
            return burning(product(h_statements=statements, **given)).classes.ghs

        assert [category(code) for code in ("H224", "H222", "H220", "H225", "H223", "H228")] == [
            1,
            1,
            1,
            2,
            2,
            2,
        ]
        assert category("H226") == 2, "a list that may be half copied makes nothing milder"
        assert category("H226", **WHOLE) == 3
        assert category("H226", signal_word="warning", pictograms=("GHS07",)) == 2, "the flame is missing"
        assert category(signal_word="none", pictograms=()) == 4
        assert category(signal_word="danger", pictograms=()) == 2, (
            "danger beside no statement contradicts itself"
        )

    def test_transport_only_makes_it_worse(self):
        def category(**known):
            return burning(product(h_statements=(), **known)).classes.ghs

        low = {"flash_point_mc": 61_000, "no_flash_point": False, "transport_class": "3"}
        assert category(**low, packing_group="I") == 1
        assert category(**low, packing_group="II") == 2
        assert category(**low, packing_group="III") == 3
        assert category(**{**low, "transport_class": "8"}, packing_group="II") == 4
        unknown = {"no_flash_point": False, "transport_class": "3", "packing_group": "III"}
        assert category(**unknown) == 2, "thick paints have group III, too"

    def test_the_graver_of_two_counts_and_the_contradiction_is_said(self):
        odd = product(
            h_statements=("H225",), flash_point_mc=80_000, no_flash_point=False, boiling_point_mc=90_000
        )
        found = said(odd, bottle())
        assert "category 2" in one(found, "flammable").message
        assert (
            "H225 means a flash point below 23 °C, and 80 °C is noted"
            in one(found, "sheet-contradicts").message
        )

    @pytest.mark.parametrize(
        ("known", "clause"),
        [
            ({"h_statements": ("H226",), "flash_point_mc": 22_999}, "H226 means"),
            ({"h_statements": ("H226",), "flash_point_mc": 23_000}, None),
            ({"h_statements": ("H226",), "flash_point_mc": 60_000}, None),
            ({"h_statements": ("H226",), "flash_point_mc": 60_001}, "H226 means"),
            ({"h_statements": ("H227",), "flash_point_mc": 60_000}, "H227 means"),
            ({"h_statements": ("H225",), "flash_point_mc": 23_000}, "H225 means"),
            ({"h_statements": ("H224",), "flash_point_mc": 10_000, "boiling_point_mc": 35_001}, "H224 means"),
            ({"h_statements": ("H225",), "flash_point_mc": 10_000, "boiling_point_mc": 35_000}, "H225 means"),
            ({"h_statements": (), "flash_point_mc": 35_000}, "asks for H224"),
            ({"h_statements": (), "flash_point_mc": 35_001}, None),
            ({"h_statements": ("H222",), "flash_point_mc": 10_000}, None),
            ({"h_statements": None, "flash_point_mc": 10_000}, None),
            ({"h_statements": ("H225",), "no_flash_point": True}, "that it has no flash point"),
            ({"h_statements": ("H225",), "signal_word": "warning"}, "asks for the signal word danger"),
            ({"h_statements": ("H317",), "signal_word": "none"}, "asks for the signal word warning"),
            ({"h_statements": ("H317",), "signal_word": "danger"}, None),
            ({"h_statements": (), "signal_word": "danger"}, "beside no hazard statement"),
            ({"h_statements": None, "signal_word": "danger"}, None),
            ({"h_statements": None, "solvents": (), "flash_point_mc": 60_000}, "no solvent is noted"),
            ({"h_statements": None, "solvents": (), "flash_point_mc": 60_001}, None),
        ],
    )  # fmt: skip
    def test_contradictions_at_their_edges(self, known, clause):
        found = contradictions_of(product(**{"no_flash_point": False, "solvents": None, **known}))
        assert len(found) == bool(clause)
        assert clause is None or clause in found[0]

    def test_a_reducer_with_a_statement_and_no_flash_point_burns_in_a_mix(self):
        bare = reducer(flash_point_mc=None, solvents=(), water_milli=100_000, h_statements=("H225",))
        found = one(mixed(part(product(), 10), part(bare, 5)), "mix-flash-unknown")
        assert "H225" in found.message


@pytest.mark.parametrize(
    ("statement", "other", "what"),
    [
        ("H261", {}, "gas that burns"),
        ("EUH031", {"groups": ("acid",)}, "toxic gas"),
        ("H242", {"groups": ("amine",)}, ""),
        ("H272", {"groups": ("alcohol",)}, "fire"),
    ],
)
def test_statements_say_what_may_not_meet(statement, other, what):
    grave = product(1, h_statements=(statement,), water_milli=0, role="additive")
    met = list(together([grave, product(2, **other)], rule_book()))
    assert any(each.code == "incompatible" and what in each.message for each in met)


class TestMissing:
    def test_one_thing_keeps_its_own_rule_and_several_are_one_line(self):
        assert codes(said(product(opened_life=None), bottle(state="open", opened_on=date(2026, 2, 1)))) == {
            "age-unknown"
        }
        nothing = product(
            solvents=None, water_milli=None, no_flash_point=False, opened_life=None, sealed_life=None,
            store_low_mc=None, store_high_mc=None, h_statements=None,
        )  # fmt: skip
        found = said(nothing, bottle(best_before=None))
        assert codes(found) == {"not-noted"}
        message = found[0].message
        assert message == (
            "Flash point, how long it keeps, how warm it may stand, hazard statements and what is in it not noted: "
            "counts as highly flammable (H225, category 2)"
        )
        assert (found[0].severity, found[0].action) == ("warn", "find_out")
        for option in ("--flash-point", "--solvent", "--opened-life", "--store-at", "--h-statements"):
            assert option in found[0].remedy

    def test_thirty_one_bottles_of_a_first_day_give_one_line_a_product(self):
        blank = {
            "solvents": None, "water_milli": None, "no_flash_point": False, "opened_life": None, "sealed_life": None,
            "store_low_mc": None, "store_high_mc": None, "h_statements": None,
        }  # fmt: skip
        goods = [product(number, **blank) for number in range(1, 21)]
        stock = [bottle(number, number % 20 + 1, best_before=None) for number in range(1, 32)]
        found = said(*goods, *stock)
        assert len([each for each in found if each.action == "find_out"]) == 20

    def test_a_missing_statement_alone_is_a_row_a_product_and_no_mark_beside_a_bottle(self):
        goods = [product(number, h_statements=None) for number in range(1, 4)]
        stock = [bottle(number, number) for number in range(1, 4)]
        found = said(*goods, *stock)
        assert [(each.code, each.severity, each.product_id) for each in found] == [
            ("statements-unknown", "note", number) for number in (1, 2, 3)
        ]
        assert codes_by_bottle(found, stock) == {}

    def test_the_place_s_own_findings_are_not_joined(self):
        found = said(product(opened_life=None, h_statements=None), bottle(), place(low_mc=None))
        assert "place-not-described" in codes(found)

    def test_lines_of_products_stand_together(self):
        lines = ((1, "A", "Sillet"), (2, "B", "Brackle"), (3, "C", "Sillet"), (4, "D", "Brackle"))
        blank = {"opened_life": None, "h_statements": None}
        goods = [product(number, name, line=line, **blank) for number, name, line in lines]
        stock = [bottle(n, n, state="open", opened_on=date(2026, 2, 1)) for n in range(1, 5)]
        assert [each.product for each in said(*goods, *stock) if each.code == "not-noted"] == [
            "B",
            "D",
            "A",
            "C",
        ]


def test_one_finding_has_one_sign_everywhere():
    from tui.drawing.severity import sign

    old = one(said(product(), bottle(best_before=date(2026, 1, 1))), "past-best-before")
    assert (old.severity, old.grade, sign(old)) == ("warn", "stop", "✕ Don't use")
    blank = one(
        said(product(opened_life=None), bottle(state="open", opened_on=date(2026, 2, 1))), "age-unknown"
    )
    assert (blank.grade, sign(blank)) == ("warn", "! Look out")
    near = one(said(product(), bottle(best_before=date(2026, 3, 10))), "near-best-before")
    assert (near.grade, sign(near), near.message[:11]) == ("note", "· Note", "9 days left")


def test_the_bench_shows_a_finding_with_the_sign_of_the_other_screens():
    from tui.drawing.mix import caution_lines, caution_summary
    from tui.drawing.severity import sign

    old = bottle(best_before=date(2026, 1, 1))
    found = mix_findings([MixPart(product(), 8_000, old), MixPart(reducer(2, "acetone"), 2_000)], TODAY)
    shown = ["".join(run.text for run in line) for line in caution_lines(found, 200)]
    for each in found:
        assert any(line.startswith(f"{sign(each)} ({each.code}): ") for line in shown)
    assert {sign(each) for each in found} >= {"✕ Don't use", "! Look out"}
    assert "".join(run.text for run in caution_summary(found, 200)[0]).startswith("✕ ")


def test_in_a_row_a_message_does_not_repeat_the_name_beside_it():
    from stock.cautions.headings import beside_its_name

    rags = one(said(product(), bottle(place_id=2), place(2, "Rags", kind="rag_bin")), "bottle-in-rag-bin")
    assert beside_its_name(rags) == "Is a rag bin, and bottles stand in it: bottle 1"
    old = one(said(product(), bottle(best_before=date(2026, 1, 1))), "past-best-before")
    assert beside_its_name(old) == old.message


def test_what_is_missing_stands_under_a_head_of_its_line_a_row_a_product():
    from stock.cautions.headings import under_headings

    blank = {"opened_life": None, "h_statements": None}
    goods = [
        product(1, "A", line="Sillet", **blank), product(2, "B", line="Brackle", h_statements=None),
        product(3, "C", **blank), product(4, "D", line="Sillet", **blank),
    ]  # fmt: skip
    stock = [bottle(n, n, state="open", opened_on=date(2026, 2, 1)) for n in range(1, 5)]
    heads = under_headings(said(*goods, *stock, place(low_mc=None)))
    assert [(head.words, len(head.findings)) for head in heads] == [
        ("Find out", 1), ("Fill in: Brackle", 1), ("Fill in: Sillet", 2), ("Fill in: no line", 1),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("one_place", "other_place", "code"),
    [
        (place(1, "Cabinet", limit_ul=1), place(2, "Bench", limit_ul=20_000), "place-over-limit"),
        (place(1, "Cabinet", ignition=True), place(2, "Bench", ignition=True), "flame-near"),
        (place(1, "Cabinet", high_mc=38_000), place(2, "Bench", high_mc=44_000), "wrong-temperature"),
        (place(1, "Cabinet", low_mc=-2_000), place(2, "Bench", low_mc=-9_000), "frost"),
    ],
)
def test_rows_of_a_rule_begin_with_what_differs(one_place, other_place, code):
    """At 80 columns a row of the Cautions has 43 cells for the message; the first few tell two apart."""
    from stock.cautions.headings import beside_its_name

    stock = [
        bottle(1, 1, place_id=1), bottle(2, 1, place_id=2), bottle(3, 2, place_id=1),
        bottle(4, 2, place_id=2, on_hand_ul=40_000),
    ]  # fmt: skip
    found = said(product(), reducer(), one_place, other_place, *stock)
    rows = {beside_its_name(each)[:16] for each in found if each.code == code}
    assert len(rows) == 2
