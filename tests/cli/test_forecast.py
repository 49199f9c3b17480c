"""`ullage forecast`, `order`, `plan-use`: keys that scripts lean on, tables that people read, refusals."""

import json
from datetime import date, timedelta

import pytest

from stock.cli.main import main
from tests.cli.answers import answer_of
from tests.clock import clock_at
from tests.conftest import make_stocked

DAY = date(2026, 3, 4)
NOON = f"{DAY}T12:00:00"


@pytest.fixture(autouse=True)
def the_day():
    """The clock of the books stands at one noon, whatever day it is."""
    with clock_at(NOON, ticking=True):
        yield


@pytest.fixture
def ullage(stocked, capsys):
    """Run one command on the stocked books; its exit status, stdout and stderr."""

    def run(*words: str):
        capsys.readouterr()
        status = main(["--studio", stocked, *words])
        out, err = capsys.readouterr()
        return status, out, err

    return run


@pytest.fixture
def template():
    """The stocked books with eleven mixes of blue, one every ten days, the last ten days ago."""
    return "stocked and used", make_used


def make_used(address):
    def run(*words: str):
        assert main(["--studio", address, *words]) == 0, words

    def day(ago: int) -> str:
        return str(DAY - timedelta(days=ago))

    with clock_at(NOON):
        make_stocked(address)
        run("receive", "Harbour Blue", "60ml", "--count", "2", "--on", day(120))
        run("receive", "Slow Thinner", "120ml", "--on", day(120))
        for ago in range(110, 0, -10):
            run("mix", "Harbour Blue=8ml", "--reduce", "20%", "--on", day(ago))


KEYS = {
    "product", "on_hand_ml", "usable_ml", "usual_mix_ml", "sprays_left", "runs_out_on", "order_by", "order",
    "limited_by", "events", "basis",
}  # fmt: skip


def test_the_keys_are_those_that_are_pinned(ullage):
    status, out, err = ullage("forecast", "--json")
    assert (status, err) == (0, "")
    answer = answer_of(out)
    assert set(answer) == {"as_of", "products"}
    by_name = {each["product"]: each for each in answer["products"]}
    assert set(by_name) == {"Harbour Blue", "Gull White", "Slow Thinner", "Wash Down"}
    for each in answer["products"]:
        assert set(each) == KEYS
        assert set(each["sprays_left"]) == set(each["runs_out_on"]) == {"p10", "p50", "p90"}
        assert each["basis"] in ("own", "pooled", "none")
    blue = by_name["Harbour Blue"]
    assert blue["on_hand_ml"] == 4 * 60 - 11 * 8
    assert (blue["usual_mix_ml"], blue["events"], blue["basis"]) == (8, 11, "own")
    assert blue["sprays_left"]["p50"] == 19
    assert blue["sprays_left"]["p10"] <= 19 <= blue["sprays_left"]["p90"]
    assert date.fromisoformat(blue["order_by"]) > DAY
    assert blue["order"] == {"size_ml": 60, "count": 1, "supplier": None, "cost": 7.9, "currency": "EUR"}
    assert by_name["Gull White"]["order_by"] is None


def test_one_product_by_a_part_of_its_name(ullage):
    status, out, _ = ullage("forecast", "harbour", "--json")
    assert status == 0
    assert [each["product"] for each in answer_of(out)["products"]] == ["Harbour Blue"]
    _, out, _ = ullage("forecast", "harbour")
    assert "sprays left" in out
    assert "19" in out


def test_as_of_a_past_day(ullage):
    past = str(DAY - timedelta(days=55))
    _, out, _ = ullage("forecast", "harbour", "--json", "--as-of", past)
    answer = answer_of(out)
    assert answer["as_of"] == past
    assert answer["products"][0]["events"] == 6
    status, out, err = ullage("forecast", "--as-of", "2190-01-01", "--json")
    assert (status, out) == (2, "")
    assert json.loads(err)["error"]["code"] == "bad-input"


def test_an_order_from_making_to_the_last_bottle(ullage):
    status, out, _ = ullage("order", "make", "Harbour Blue=3x60ml", "Gull White=1x60ml", "--json")
    assert status == 0
    number = str(answer_of(out)["order"])
    _, out, _ = ullage("order", "receive", number, "Harbour Blue=2", "--json")
    assert answer_of(out)["open"] == 2
    _, out, _ = ullage("order", "cancel", number, "Gull White=1", "--json")
    assert answer_of(out) == {"order": int(number), "cancelled": 1, "open": 1}
    _, out, _ = ullage("order", "list", "--json")
    (order,) = answer_of(out)["orders"]
    assert [(line["received"], line["cancelled"], line["open"]) for line in order["lines"]] == [
        (2, 0, 1),
        (0, 1, 0),
    ]
    assert "Harbour Blue" in ullage("order", "list")[1]
    ullage("order", "receive", number)
    assert json.loads(ullage("order", "list", "--json")[1])["orders"] == []
    assert json.loads(ullage("check", "--json")[1])["ok"]


def test_a_basket_becomes_an_order(ullage):
    ullage("product", "change", "Harbour Blue", "--supplier", "Paint Barn", "--lead-time", "200d")
    _, out, _ = ullage("order", "list", "--json")
    (basket,) = answer_of(out)["to_order"]
    assert (basket["supplier"], basket["lines"][0]["product"]) == ("Paint Barn", "Harbour Blue")
    status, out, err = ullage("order", "make", "--basket", "paint", "--json")
    assert status == 0, err
    assert answer_of(out)["lines"][0]["packs"] == basket["lines"][0]["count"]


@pytest.mark.parametrize(
    "words",
    [
        ("order", "make"),
        ("order", "make", "Harbour Blue"),
        ("order", "make", "Harbour Blue=60ml"),
        ("order", "make", "Harbour Blue=0x60ml"),
        ("order", "make", "Harbour Blue=-1x60ml"),
        ("order", "make", "Harbour Blue=²x60ml"),
        ("order", "make", "Harbour Blue=1x0ml"),
        ("order", "make", "Nothing=1x60ml"),
        ("order", "make", "--basket", "nobody"),
        ("order", "receive", "999"),
        ("order", "cancel", "999"),
        ("plan-use", "Harbour Blue", "120ml", "--on", "2001-01-01"),
        ("plan-use", "Harbour Blue", "-5ml", "--on", "tomorrow"),
        ("plan-use", "Harbour Blue", "120ml"),
        ("forecast", "Nothing"),
        ("forecast", "--use", "much"),
        ("forecast", "--use=-100%"),
        ("forecast", "--sure", "100%"),
        ("forecast", "--later", "soon"),
        ("forecast", "--bottles", "-1"),
    ],
)
def test_what_makes_no_sense_is_refused_in_one_line(ullage, words):
    status, out, err = ullage(*words)
    assert (status, out) == (2, "")
    assert err.startswith("ullage: ")
    assert err.count("\n") == 1


def test_a_plan_moves_the_run_out_day(ullage):
    before = json.loads(ullage("forecast", "harbour", "--json")[1])["products"][0]
    status, out, _ = ullage("plan-use", "harbour", "120ml", "--on", "+10d", "--job", "Boat", "--json")
    assert status == 0
    assert answer_of(out)["volume_ml"] == 120
    after = json.loads(ullage("forecast", "harbour", "--json")[1])["products"][0]
    assert after["runs_out_on"]["p50"] < before["runs_out_on"]["p50"]


def test_the_calendar_and_the_look_back(ullage, tmp_path):
    path = tmp_path / "days.ics"
    status, out, _ = ullage("forecast", "--calendar", str(path))
    assert status == 0
    assert str(path) in out
    assert b"BEGIN:VEVENT" in path.read_bytes()
    answer = json.loads(ullage("forecast", "--review", "--json")[1])
    assert answer["cases"] > 0
    assert 0 <= answer["inside_p10_p90"] <= 1
    assert "P10 to P90" in ullage("forecast", "--review")[1]


def test_questions_on_the_line(ullage):
    def order_by(*words):
        status, out, err = ullage("forecast", "harbour", "--json", *words)
        assert status == 0, err
        return answer_of(out)["products"][0]["order_by"]

    plain = order_by()
    assert order_by("--use", "50%") < plain
    assert order_by("--use=-20%") > plain
    assert order_by("--later", "30d") < plain
    assert order_by("--sure", "99%") <= plain
    assert order_by("--bottles", "1") > plain
    assert order_by("--any-size") == plain
