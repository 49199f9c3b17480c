"""The documented shapes of the JSON answers: one for each command, and every answer has its own."""

import json
import shlex

import jsonschema
import pytest

from stock.cli import shapes as documents
from stock.cli.answers import ANSWERS
from stock.cli.main import main
from tests.cli import shapes
from tests.cli.parsers import commands
from tests.faults.every_command import DOES, READS

pytestmark = pytest.mark.only("sqlite")
ELSEWHERE = {"scale", "caution-rule tighten"}
"""A scale is needed, and has tests of its own; booked as `caution-rule silence` is."""
TEXTS = {"completion"}
"""It prints a text, with --json as well."""


def test_every_command_has_a_shape_that_is_json_schema(capsys):
    assert {" ".join(words) for words, _ in commands()} - shapes.WITHOUT == set(ANSWERS) - {"--version"}
    assert main(["help", "order", "list", "--shape"]) == 0
    assert json.loads(capsys.readouterr().out) == documents.answer("order list")
    assert main(["help", "--shape"]) == 0
    whole = json.loads(capsys.readouterr().out)
    assert set(whole["$defs"]) == set(ANSWERS)
    jsonschema.Draft202012Validator.check_schema(whole)


def test_an_answer_with_another_key_or_without_one_is_different():
    pours = [{"bottle": 1, "product": "Blue", "volume_ml": 8, "on_hand_ml": 52}]
    mix = {
        "mix": 1, "paint_ml": 8, "reducer_ml": 0, "total_ml": 8, "reduction": None, "pours": pours, "cautions": [],
        "booked": True,
    }  # fmt: skip
    assert shapes.different("mix", mix) == []
    assert shapes.different("mix", mix | {"more": 1}) != []
    assert shapes.different("mix", {key: value for key, value in mix.items() if key != "pours"}) != []
    assert shapes.different("mix", mix | {"pours": [pours[0] | {"bottle": "1"}]}) != []
    assert shapes.different("shelf", {"as_of": "1 March 2026", "products": []}) != []


def test_every_command_answers_in_its_shape(answers_seen, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "studio.ullage"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    (tmp_path / "stock.csv").write_text("Paint,Size,Left\nBlue,60 ml,41.5 ml\n")
    answers_seen.commands.clear()
    for line in (*DOES, *READS):
        if line.endswith(" -"):  # a file goes where the answer would
            continue
        assert main([*shlex.split(line), "--json"]) == 0, (line, capsys.readouterr().err)
    assert answers_seen.strange == []
    assert shapes.missing(answers_seen.commands) == ELSEWHERE | TEXTS | {"--version"}


def test_a_word_that_is_no_command_of_its_own_has_no_shape(capsys):
    for words in (("order",), ("demo",), ("mix", "--man")):
        assert main(["help", *words, "--shape"]) == 2
        assert "Traceback" not in capsys.readouterr().err
