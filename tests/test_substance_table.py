"""A substance's row is found by the name it is asked for, without taking the whole table apart."""

import subprocess
import sys

import pytest

from stock import substance_table
from stock.substance_table import row_of, rows_by_name


def test_each_name_finds_the_row_that_the_whole_table_has_for_it():
    whole = rows_by_name()
    assert len(whole) > 1_500
    for name, row in whole.items():
        for written in (name, name.upper(), f" {name} "):
            found = row_of(written)
            assert found == row or (found is not None and found["name"] == row["name"]), written


def test_no_two_rows_go_by_the_same_name():
    named = [
        name
        for cells in {id(each): each for each in substance_table._lines().values()}.values()
        for name in {*substance_table._names(cells)} - {""}
    ]
    assert len(named) == len({*named})
    assert len(named) == len(substance_table._lines())


def test_nearly_all_names_are_found_by_searching():
    missed = [name for name, row in rows_by_name().items() if substance_table._searched(name) is None]
    assert [name for name in missed if name.isascii()] == ["russ"], "the file writes it with ß"
    assert len(missed) < 20


@pytest.mark.parametrize(
    "wrong",
    [
        "",
        " ",
        "name",
        "cas",
        "verified",
        "xyle",
        "acetone,",
        "acetone,aceton",
        "propanone;dimethyl ketone",
        '"',
        "ketone2",
    ],
)
def test_what_is_no_whole_name_finds_nothing(wrong):
    assert row_of(wrong) is None


def test_a_known_name_does_not_take_the_table_apart():
    code = (
        "from stock import substance_table as table\n"
        "assert table.row_of('Xylene')['cas'] == '1330-20-7'\n"
        "assert table._lines.cache_info().currsize == 0\n"
        "assert table.row_of('no such thing') is None\n"
        "assert table._lines.cache_info().currsize == 1\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
