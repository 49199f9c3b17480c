"""The program about itself: help, the manual page, completion in a shell, the answers' number, a fault's status."""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from stock import config
from stock.cli import main as command_line
from stock.cli.completion import script
from stock.cli.main import BadInput, main
from tests.cli.parsers import commands

HERE = os.pathsep.join((str(Path(sys.executable).parent), os.environ["PATH"]))


@pytest.fixture
def said(capsys):
    def run(*words):
        try:
            status = main(list(words))
        except SystemExit as left:
            status = left.code
        return status, *capsys.readouterr()

    return run


def test_help_says_what_the_option_does(said):
    assert said("help") == said("--help")
    assert said("help", "bottle", "count") == said("bottle", "count", "--help")
    _, page, _ = said("help")
    for word in (
        "--studio",
        "--as-of",
        "--json",
        "ULLAGE_STUDIO",
        "NO_COLOR",
        " 70 ",
        " 130 ",
        "demo",
        "serve",
    ):
        assert word in page
    status, _, refusal = said("help", "bottle", "cuont")
    assert status == 2
    assert "`bottle` has no 'cuont'. Write one of open, move, count" in refusal
    assert said("help", "botle")[2] == "ullage: 'botle' is no command. Did you mean bottle?\n"
    assert said("help", "mix", "now")[0] == 2
    assert said("help", "mix", "--man")[0] == 2


def test_the_manual_page_has_every_command_and_option(said):
    status, page, _ = said("help", "--man")
    assert status == 0
    for words, parser in commands():
        assert f"\n.Ss {' '.join(words)}\n" in page
        for action in parser._actions:
            for option in action.option_strings:
                assert option in ("-h", "--help") or f"Fl {option[1:].replace('-', chr(92) + '-')}" in page
    assert not re.search(r"\\(?![e&-])", page)


@pytest.mark.skipif(shutil.which("mandoc") is None, reason="mandoc is not installed")
def test_mandoc_finds_nothing_in_the_page(said, tmp_path):
    file = tmp_path / "ullage.1"
    file.write_text(said("help", "--man")[1])
    checked = subprocess.run(["mandoc", "-T", "lint", str(file)], capture_output=True, text=True, check=False)
    assert (checked.returncode, checked.stdout) == (0, "")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_of_each_shell_is_read_by_that_shell(shell, said, tmp_path):
    status, text, _ = said("completion", shell)
    assert (status, text) == (0, script(shell))
    assert "ullage" in text
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed")
    subprocess.run([shell, "-n"], input=text, text=True, check=True)


def test_bash_completes_commands_options_and_names(stocked, address, tmp_path):
    """Bash itself, with the script that the command prints."""
    (tmp_path / "script").write_text(script("bash"))
    lines = {
        "ullage sh": ["shelf", "sheet"],
        "ullage bottle co": ["count "],
        "ullage bottle count --l": ["--level "],
        "ullage mix Har": ["Harbour\\ Blue="],
        "ullage product show H": ["Harbour\\ Blue "],
        "ullage product show Z": [],
        f"ullage --studio {address} shelf --as": ["--as-of "],
    }
    asked = "\n".join(
        f"COMP_LINE={line!r} COMP_POINT={len(line)} COMP_TYPE=9 _python_argcomplete ullage; "
        'echo "${COMPREPLY[*]}" | tr "\\v" "|"; COMPREPLY=()'
        for line in lines
    )
    shown = subprocess.run(
        ["bash", "-c", f"IFS=$'\\v'; source {tmp_path / 'script'}\n{asked}"],
        env=os.environ | {"ULLAGE_STUDIO": address, "PATH": HERE},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert shown.stdout.splitlines() == ["|".join(found) for found in lines.values()], shown.stderr


def test_a_tab_on_books_that_are_none_says_nothing(tmp_path):
    line = "ullage product show H"
    asked = os.environ | {"PATH": HERE} | {
        "ULLAGE_STUDIO": str(tmp_path / "none.ullage"), "_ARGCOMPLETE": "1", "COMP_LINE": line,
        "COMP_POINT": str(len(line)), "_ARGCOMPLETE_STDOUT_FILENAME": str(tmp_path / "found"),
    }  # fmt: skip
    ran = subprocess.run(
        [Path(sys.executable).parent / "ullage"], env=asked, capture_output=True, text=True, check=False
    )
    assert (ran.stdout, ran.stderr, (tmp_path / "found").read_text()) == ("", "", "")
    assert not (tmp_path / "none.ullage").exists()


def test_every_answer_names_the_number_of_its_shape(stocked, said, monkeypatch):
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    for line in (("shelf",), ("cautions",), ("help", "mix"), ("--version",)):
        answer = json.loads(said(*line, "--json")[1])
        assert answer["schema"] == 1
        assert next(iter(answer)) == "schema"


def test_a_fault_of_the_program_has_a_status_of_its_own(stocked, said, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(command_line, "run", broken)
    status, _, refusal = said("shelf")
    assert status == 70
    assert "something went wrong in Ullage itself (ZeroDivisionError)" in refusal
    assert BadInput.exit_status == 2


@pytest.fixture
def settings_file(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    for variable in filter(None, config.VARIABLES.values()):
        monkeypatch.delenv(variable, raising=False)
    return tmp_path / "config" / "ullage" / "config.toml"


def test_the_settings_of_the_machine(said, settings_file, tmp_path, monkeypatch):
    books = str(tmp_path / "mine.ullage")
    assert said("config", "set", "studio", books)[0] == 0
    assert said("config", "set", "measures", "us")[0] == 0
    assert said("new")[0] == 0
    assert json.loads(said("studio", "show", "--json")[1])["measures"] == "us"
    shown = json.loads(said("config", "--json")[1])
    assert shown["file"] == str(settings_file)
    assert shown["settings"]["studio"] == {"value": books, "from": "file"}
    assert shown["settings"]["theme"] == {"value": None, "from": "built-in"}
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "other.ullage"))
    assert said("shelf")[0] == 3
    assert said("shelf", "--studio", books)[0] == 0
    assert json.loads(said("config", "--json")[1])["settings"]["studio"]["from"] == "ULLAGE_STUDIO"
    monkeypatch.delenv("ULLAGE_STUDIO")
    settings_file.write_text("# by hand\n" + settings_file.read_text() + 'ink = "blue"\n')
    assert said("config", "forget", "studio")[0] == 0
    assert settings_file.read_text() == '# by hand\nmeasures = "us"\nink = "blue"\n'


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (("theme", "neon"), "there is no theme 'neon'"),
        (("measures", "cubits"), "is no system of measures"),
        (("studio", " "), "studio needs a value"),
        (("studio", "mysql://here"), "mysql"),
        (("scale", "COM3,99"), "nothing that can stand behind that port"),
        (("ink", "blue"), "invalid choice"),
    ],
)
def test_a_setting_that_is_none_is_refused(said, settings_file, line, why):
    status, _, refusal = said("config", "set", *line)
    assert (status, settings_file.exists()) == (2, False)
    assert why in refusal


@pytest.mark.parametrize("damage", ["studio = books.ullage", "studio = 3", "\xff", '\x00 = ""'])
def test_a_settings_file_that_can_not_be_read_is_named_and_kept(said, settings_file, damage):
    settings_file.parent.mkdir(parents=True)
    settings_file.write_bytes(damage.encode("latin-1"))
    for line in (("shelf",), ("config",), ("config", "set", "theme", "daylight")):
        status, _, refusal = said(*line)
        assert status == 2
        assert refusal.startswith(f"ullage: the settings in {settings_file} can't be read: ")
    assert settings_file.read_bytes() == damage.encode("latin-1")


def test_suppliers_are_listed(stocked, said, monkeypatch):
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    assert said("supplier", "list")[1] == "No supplier is noted yet.\n"
    said(
        "supplier", "change", "Paint Depot", "--lead-time", "7d", "--shipping", "6.90", "--order-days", "mon"
    )
    assert json.loads(said("supplier", "list", "--json")[1])["suppliers"] == [
        {
            "supplier": "Paint Depot", "lead_time": "7d", "order_days": ["mon"], "shipping": 6.9,
            "free_shipping_from": None, "currency": "EUR",
        }
    ]  # fmt: skip
    assert "Paint Depot  7d         mon                    6.90              -" in said("supplier", "list")[1]
