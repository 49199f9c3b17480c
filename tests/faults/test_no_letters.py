"""Bytes that are no letters, on every word and behind every option: refused or written, never a fault of ours."""

import json
import os
import shlex
from pathlib import Path

import pytest

from stock.cli.main import main
from stock.store.models import database
from tests.cli.parsers import commands
from tests.faults.every_command import DOES, READS
from tests.sampling import some

pytestmark = pytest.mark.only("sqlite")
NO_LETTER = os.fsdecode(b"\xff")


def variants():
    """Each line of each command with each of its words spoiled, and with each option of that command behind it."""
    parsers = dict(commands())
    for line in [*DOES, *READS]:
        words = shlex.split(line)
        name = next(found for found in parsers if tuple(words[: len(found)]) == found)
        for at in range(len(words)):
            yield [*words[:at], words[at] + NO_LETTER, *words[at + 1 :]]
            if "=" in words[at]:
                yield [*words[:at], words[at].replace("=", f"{NO_LETTER}="), *words[at + 1 :]]
        for action in parsers[name]._actions:
            if action.option_strings and action.nargs != 0:
                yield [*words, action.option_strings[0], f"x{NO_LETTER}"]
    for option in ("--studio", "--as-of"):
        yield [option, NO_LETTER, "today"]


@pytest.mark.deepens
def test_no_word_that_is_no_text_is_met_by_a_fault_of_ours(tmp_path, monkeypatch, capfd, engine, request):
    if database.obj is not None and not database.is_closed():
        database.close()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "studio.ullage"))
    Path("stock.csv").write_text("Paint,Size,Left\nBlue,60 ml,41.5 ml\n")
    for line in DOES:
        assert main(shlex.split(line)) == 0, line
    capfd.readouterr()
    wrong, tried = [], 0
    lines = [words for words in variants() if words[0] not in ("demo", "serve")]
    assert len(lines) > 500
    for words in some(request.config, lines, 150):
        try:
            status = main(words)
        except SystemExit as end:  # `substance NO_VERB --h …` asks for help
            status = end.code
        out, err = capfd.readouterr()
        tried += 1
        err_lines = err.splitlines()
        if (
            status not in (0, 1, 2, 3)
            or "itself" in err
            or "Traceback" in err
            or (status == 2 and len(err_lines) < 1)
        ):
            wrong.append((words, status, err[-300:]))
        assert NO_LETTER not in out + err
    assert wrong == []
    assert tried >= 150
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "studio.ullage"))
    assert main(["export", "everything"]) == 0
    assert main(["check", "--json"]) == 0
    assert json.loads(capfd.readouterr().out.splitlines()[-1])["ok"]
