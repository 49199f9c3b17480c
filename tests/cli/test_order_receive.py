"""What came of an order, by command: lot, best-before day, what is left and since when it is open, by product."""

import json

import pytest

from stock.cli.main import main
from stock.store.connection import connection
from stock.store.models import Bottle


@pytest.fixture
def ullage(stocked: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Runs a command on the stocked books; returns (status, what it printed, what it said on stderr)."""
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)

    def run(*line: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main(list(line))
        shown = capsys.readouterr()
        return status, shown.out, shown.err

    return run


def test_each_product_has_its_own_lot_and_day_and_level(ullage):
    _, out, _ = ullage(
        "order", "make", "Harbour Blue=1x60ml", "Gull White=1x120ml", "Gull White=1x60ml", "--json"
    )
    order = str(json.loads(out)["order"])
    line = ("order", "receive", order, "--lot", "Z9", "--key", "came-1", "--json",
            "--of", "gull", "lot=B 7", "left=half", "opened=unknown", "best-before=2099-03-01")  # fmt: skip
    status, out, _ = ullage(*line)
    assert status == 0
    bottles = json.loads(out)["bottles"]
    assert [(each["product"], each["size_ml"], each["on_hand_ml"]) for each in bottles] == [
        ("Harbour Blue", 60, 60),
        ("Gull White", 120, 60),
        ("Gull White", 60, 30),
    ]
    with connection():
        rows = [Bottle.get_by_id(each["id"]) for each in bottles]
    assert [(row.lot, str(row.best_before), row.opened_unknown) for row in rows] == [
        ("Z9", "None", False),
        ("B 7", "2099-03-01", True),
        ("B 7", "2099-03-01", True),
    ]
    assert ullage(*line)[1] == out  # the same again books nothing, though no line is open any more


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("gull", "lot=1"), "has nothing of Gull White to come"),
        (("harbour",), "nothing is said of the bottles of Harbour Blue"),
        (("harbour", "lots=3"), "'lots=3' says nothing"),
        (("harbour", "left="), "'left=' says nothing"),
        (("harbour", "left=90ml"), "more than the bottle holds"),
        (("harbour", "lot=1", "--of", "Harbour Blue", "lot=2"), "named twice"),
        (("nobody", "lot=1"), "no product is called"),
    ],
)
def test_what_is_said_of_no_bottle_is_refused_and_nothing_comes(ullage, words, said):
    _, out, _ = ullage("order", "make", "Harbour Blue=1x60ml", "--json")
    order = str(json.loads(out)["order"])
    status, _, ran = ullage("order", "receive", order, "--of", *words)
    assert (status, said in ran) == (2, True), ran
    _, out, _ = ullage("order", "list", "--json")
    listed = json.loads(out)["orders"]
    assert [line["open"] for each in listed if each["id"] == int(order) for line in each["lines"]] == [1]
