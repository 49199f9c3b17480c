"""The proof as a person reads it: its printed figures add up to the microlitre."""

import re
from fractions import Fraction

import pytest

from stock.cli.main import main


@pytest.mark.only("sqlite")
def test_the_printed_proof_adds_up(stocked, capsys):
    for line in (
        "receive|Wash Down|500l", "wash|Wash Down=8.215ml", "mix|Harbour Blue=3.333ml|--reduce|17%",
        "bottle|count|4|241.001ml", "bottle|discard|3",
    ):  # fmt: skip
        assert main(["--studio", stocked, *line.split("|")]) == 0, line
    capsys.readouterr()
    assert main(["--studio", stocked, "check"]) == 0
    shown = capsys.readouterr().out.splitlines()[1]
    found = {
        name.strip(): Fraction(figure)
        for name, figure in re.findall(r"([a-z ]+) (-?[\d.]+)(?: ml)?(?= [+=-] |$)", shown)
    }
    assert len(found) == 7, shown
    assert "e+" not in shown
    assert found["received"] == 500_490
    assert found["received"] + found["kept"] == (
        found["on hand"] + found["poured"] + found["washed"] + found["discarded"] - found["count differences"]
    )
