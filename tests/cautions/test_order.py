"""In which order findings are told."""

from stock.cautions.facts import Finding
from stock.cautions.findings import in_order


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
