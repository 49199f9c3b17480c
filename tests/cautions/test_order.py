"""In which order findings are told."""

from stock.cautions.facts import Finding
from stock.cautions.findings import by_bottle, in_order
from tests.cautions.sample_facts import bottle


def finding(**more: object) -> Finding:
    calm = {
        "code": "b", "severity": "warn", "product": "Blue", "bottle": 2, "place": "Shelf", "since": None, "message": "",
        "remedy": "", "source": "", "action": "move",
    }  # fmt: skip
    return Finding(**(calm | more))  # type: ignore[arg-type]


def test_what_kills_comes_first_then_what_is_graver_then_what_is_more_dangerous_then_what_to_do_and_of_what():
    ordered = [
        finding(danger=4, severity="note"),
        finding(severity="stop", danger=1, action="find_out"),
        finding(severity="stop", danger=0, action="throw_away"),
        finding(danger=2, action="find_out"),
        finding(danger=1, action="throw_away", code="a"),
        finding(danger=1, action="throw_away"),
        finding(action="throw_away", product="Amber"),
        finding(action="throw_away", bottle=1),
        finding(action="throw_away", place="Cabinet"),
        finding(action="throw_away"),
    ]
    assert in_order(reversed(ordered)) == ordered
    assert in_order(ordered[5:] + ordered[:5]) == ordered


def test_under_one_rule_products_of_a_line_stand_together():
    ordered = [
        finding(product="Zinc", product_id=1, line="Anchor"), finding(product="Blue", product_id=2, line="Quay"),
        finding(product="Red", product_id=3, line="Quay"),
    ]  # fmt: skip
    lines = {1: "Anchor", 2: "Quay", 3: "Quay"}
    assert in_order([each._replace(line="") for each in reversed(ordered)], lines) == ordered


def test_beside_a_bottle_stand_its_own_findings_and_its_product_s_and_none_of_the_studio_s():
    """What is found of a product stands beside each bottle that holds something; what means bottles, beside those."""
    held = [bottle(1, 7), bottle(2, 7), bottle(3, 7, on_hand_ul=0, state="empty"), bottle(4, 8)]
    none = {"bottle": None, "place": None}
    own = finding(code="past-best-before", bottle=3, product_id=7)
    of_product = finding(code="flammable", product_id=7, **none)
    of_some = finding(code="stored-apart", bottles=(2, 4), product_id=7, bottle=None)
    of_place = finding(code="flame-near", product=None, bottle=None, bottles=(1,))
    of_studio = finding(code="too-much-waste", product=None, **none)
    found = by_bottle([own, of_product, of_some, of_place, of_studio], held)
    assert found == {1: [of_product, of_place], 2: [of_product, of_some], 3: [own], 4: [of_some]}
