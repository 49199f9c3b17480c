"""Texts that would like to be more than texts go through every command, the export and the labels.

None is ever markup, a terminal's code, SQL, a shell's word or a spreadsheet's formula. A text with a control
or direction character is refused as a name, and not even the refusal sends it to the terminal.
"""

import argparse
import csv
import json
import unicodedata
import xml.etree.ElementTree as ET

import pytest

from stock.cli.main import FAMILY_OF, main, parser_for
from stock.logbook.proof import prove
from stock.store import connection
from stock.store.models import TABLES, Job, Product
from tests.sampling import some

NASTY = (
    "[bold red]x[/]", "[/]",
    "[@click=app.quit]go[/]", "[link=file:///etc/passwd]x", "\\[b]", "{0} {x!r} %s %n",
    "=1+1", "=cmd|' /C calc'!A0", "+cmd", "-2+3", "@SUM(A1)", "'=1", "Robert'); DROP TABLE product;--", "' OR '1'='1",
    "\" OR \"\"=\"", "x'; DELETE FROM movement; --", "$(touch pwned)", "`touch pwned`", "; touch pwned",
    "| cat", "&& ls",
    "../../etc/passwd", "C:\\con\\nul", "<script>alert(1)</script>", "]]><x>", "&amp;&#0;", "</text><text>",
    "a,b;c\"d",
    "N/A", "null", "None", "NaN", "1e309", "0x41", "--json x", "Ünïcödé", "漢字漢字", "🎨🧴", "Z̗̖̙a̗̖l̗g̙o",
    "e\u0301" * 20, "Ａ", "x" * 80,
)  # fmt: skip
CONTROL = (
    "\x1b]0;pwned\x07", "\x1b[2J", "\x9b31m", "a\u202eb", "a\u2066b", "a\u200bb",
    "\ufeffa", "a\x7fb",
)  # fmt: skip
LINES = (
    "product show @", "product change @ --note @ --maker @", "product list",
    "receive @ 60ml --lot @ --count 2", "receive @ 60ml --place @", "shelf", "shelf --all",
    "mix @=2ml --job @ --note @", "mix @=2ml --dry-run", "bottle open 1", "bottle discard 2 --reason @",
    "bottle move 1 @", "wash @=1ml", "job add @", "job list", "job show @", "cost", "cost --job @",
    "emissions --month 2026-01", "trace @", "place list", "supplier list", "supplier change @",
    "sheet add @ --title @ --revised 2026-01-01 --source @", "sheet list @", "recipe list",
    "recipe add @ @=1", "recipe show @", "advise @", "reduce 30ml 20%", "reduce @ @", "viscosity @ 30",
    "classify --flash-point @", "coverage @", "forecast", "forecast @", "order list", "order make",
    "order receive @", "plan-use @ 10ml --on 2030-01-01", "cautions", "caution-rule list",
    "caution-rule silence @ --reason @", "today", "logbook", "logbook --product @", "logbook --lot @ --job @",
    "undo mix 99999", "undo @ 1", "check", "studio show", "studio", "step 4 @", "close 4 --outcome @",
    "restore @", "import @", "copy @/x", "backup @/x", "@", "@ @", "new --name @", "labels @/x.svg",
    "export @/x",
)  # fmt: skip


@pytest.fixture
def run(books, capsys, monkeypatch, tmp_path):
    """A command typed in an empty folder; nothing it prints can do anything but be read."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)

    def typed(*words):
        status = main(["--studio", books, *words])
        out, err = capsys.readouterr()
        assert status in (0, 1, 2, 3), words
        for letter in out + err:
            assert letter == "\n" or unicodedata.category(letter) not in ("Cc", "Cf", "Zl", "Zp", "Cs"), (
                words,
                letter,
            )
        assert "Traceback" not in err
        assert "something went wrong in Ullage itself" not in err, (words, err)
        assert not (here / "pwned").exists()
        return status, out, err

    return typed


def leaves(parser, words=()):
    """Every command with its sub-commands, and its parser: a command that is added is tried without being named."""
    deeper = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not deeper:
        yield words, parser
    for action in deeper:
        for name, below in action.choices.items():
            yield from leaves(below, (*words, name))


def tried_lines(text):
    """Each command with the text in every place that takes one, and then with each of its options set to it."""
    for words, parser in leaves(parser_for(None)):
        places = [action for action in parser._actions if not action.option_strings]
        options = [action for action in parser._actions if action.option_strings and action.nargs != 0]
        for many in (1, 2):
            yield [*words, "--", *[text] * many * len(places)]
        for option in options:
            yield [*words, f"{option.option_strings[-1]}={text}", "--", *[text] * len(places)]


@pytest.mark.deepens
def test_every_command_there_is_takes_nasty_texts_in_every_place(run, engine, request):
    """On the server a part of the lines, since the texts meet the same code; all with --deep."""
    for text in NASTY[:6]:
        run("product", "add", "--role=paint", "--", text)
        run("receive", "--", text, "60ml")
    lines = list(enumerate(tried_lines("@")))
    assert {words[0] for _, words in lines} == set(FAMILY_OF)
    assert len(lines) > 300
    for at, words in some(request.config, lines, 120 if engine == "sqlite" else 40):
        run(*(word.replace("@", NASTY[at % len(NASTY)]) for word in words))


@pytest.mark.deepens
def test_nasty_names_through_every_command(run, books, capsys, request):
    """Several names at a time, one command after another; at the end every name is what was typed."""
    tried = 0
    for text in NASTY:
        run("product", "add", "--role=paint", "--", text)
    with connection.connection():
        kept = {name for (name,) in Product.select(Product.name).tuples()}
    assert kept == {" ".join(unicodedata.normalize("NFC", text).split()) for text in NASTY}
    for number, line in some(request.config, enumerate(LINES), 15):
        for text in (NASTY[number % len(NASTY)], NASTY[(number * 7 + 3) % len(NASTY)]):
            run(*(word.replace("@", text) for word in line.split()))
            tried += 1
    for text in some(request.config, NASTY, 12):
        run("job", "add", "--", text)
        run("receive", "--lot=" + text, "--label=L" + text[:30], "--", text, "60ml")
        run("mix", "--job=" + text, "--note=" + text, "--", text + "=2ml")
        tried += 3
    with connection.connection():
        assert prove().problems == []
        assert {name for (name,) in Product.select(Product.name).tuples()} == kept
        assert Job.select().count() > tried / 15
        assert all(table.select().count() >= 0 for table in TABLES)
    status, out, _ = run("shelf", "--json")
    assert {product["name"] for product in json.loads(out)["products"]} <= kept
    assert status == 0
    with capsys.disabled():
        print(f"\n  {len(NASTY)} nasty names, {tried} commands", end="")


@pytest.mark.sampled(4)
@pytest.mark.parametrize("text", CONTROL)
def test_control_and_direction_characters_are_refused_and_never_sent_on(run, text):
    """As a name and wherever else a command takes a text. (A NUL can't come in: no command line holds one.)"""
    run("product", "add", "Harbour Blue", "--role", "paint")
    status, _, err = run("product", "add", text, "--role", "paint")
    assert (status, err != "") == (2, True)
    for line in LINES[::4]:
        run(*(word.replace("@", text) for word in line.split()))


def test_a_line_separator_in_a_name_is_a_blank(run, books):
    assert run("product", "add", "Harbour\u2028Blue", "--role", "paint")[0] == 0
    with connection.connection():
        assert Product.select().get().name == "Harbour Blue"


def test_nasty_texts_in_an_export_and_on_labels(run, tmp_path):
    """A spreadsheet that opens the export runs nothing; a label is well-formed and shows the letters."""
    for text in NASTY:
        run("product", "add", "--role=paint", "--", text)
        run("receive", "--lot=" + text, "--", text, "60ml")
    folder = tmp_path / "out"
    assert run("export", str(folder))[0] == 0
    cells = 0
    for path in folder.glob("*.csv"):
        with path.open(encoding="utf-8-sig", newline="") as file:
            for row in csv.reader(file):
                for cell in row:
                    cells += 1
                    harmless = not cell.startswith(("=", "+", "@", "\t", "\r")) and not (
                        cell.startswith("-") and not cell[1:].replace(".", "").isdigit()
                    )
                    assert harmless, (path.name, cell)
    assert cells > len(NASTY)
    assert run("labels", str(tmp_path / "labels.svg"))[0] == 0
    shown = ""
    pages = list(tmp_path.glob("labels*.svg"))
    assert pages
    for page in pages:
        root = ET.fromstring(page.read_text(encoding="utf-8"))
        assert not [
            one
            for one in root.iter()
            if one.tag.rpartition("}")[2] in ("script", "foreignObject", "image", "a")
        ]
        shown += " ".join("".join(one.itertext()) for one in root.iter())
    assert "[/]" in shown
    assert "=1+1" in shown
