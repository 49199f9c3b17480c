"""`import stock`: the examples of its own text, what comes back, and that a refusal is an error and books nothing."""

import doctest
import subprocess
import sys

import pytest

import stock
from stock import api
from stock.store.connection import connection
from stock.store.models import Mix, database


def test_the_examples_of_the_text(stocked):
    database.close()
    assert doctest.testmod(api, extraglobs={"books": stocked}) == (0, 4)


def test_the_functions_that_scripts_need(stocked):
    database.close()
    studio = stock.open_studio(stocked)
    assert studio.mix({"Harbour Blue": "8ml"}, reduce="20%", key="a")["booked"]
    assert studio.mix({"Harbour Blue": "8ml"}, reduce="20%", key="a")
    with connection():
        assert Mix.select().count() == 1
    assert [round(row["on_hand_ml"], 1) for row in studio.shelf() if row["product"] == "Harbour Blue"] == [
        52.0,
        60.0,
    ]
    assert list(studio.shelf(as_of="2001-01-01")) == []
    assert studio.forecast("harbour")[0]["product"] == "Harbour Blue"
    assert {"code", "severity", "message"} <= studio.cautions()[0].keys()
    assert studio.report("cost")["total"] == 1.05
    assert studio.report("valuation", method="average")["total"]["used"] == 1.05


def test_a_refusal_is_an_error_that_says_what_to_do(stocked, tmp_path):
    database.close()
    studio = stock.open_studio(stocked)
    for asked in (
        lambda: studio.mix({"Harbour Blue": "900ml"}),
        lambda: studio.report("gossip"),
        lambda: studio.forecast("nobody"),
        lambda: studio.shelf(as_of="yesteryear"),
        lambda: stock.open_studio(str(tmp_path / "none.ullage")),
    ):
        with pytest.raises(stock.UllageError) as refused:
            asked()
        assert refused.value.remedy
    with connection():
        assert not Mix.select().exists()


def test_a_notebook_shows_a_table_and_no_markup_of_a_text():
    rows = stock.AnswerTable([{"a": 1}, {"a": "<script>", "b": None}])
    assert (rows.columns, len(rows), rows[1]["a"]) == (["a", "b"], 2, "<script>")
    shown = rows._repr_html_()
    assert "<th>a</th><th>b</th>" in shown
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def test_importing_it_loads_nothing_else():
    ran = subprocess.run(
        [sys.executable, "-c", "import stock, sys; print([m for m in sys.modules if m[:6] in ('stock.', 'peewee')])"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert ran.stdout == "[]\n"
