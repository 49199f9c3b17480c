"""The house itself: its floors, and how little a command loads before it answers."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks import mutants

TOP = Path(__file__).resolve().parent.parent
ROOMS = ("stock", "tui", "sample_studio")
HEAVY = {"textual", "rich", "numpy", "pint", "psycopg", "sample_studio", "tui", "frictionless", "segno"}
SPARED = {
    "calendar", "dataclasses", "hashlib", "inspect", "locale", "logging", "shutil", "socket", "string", "tempfile",
    "tomli", "tomllib", "uuid",
}  # fmt: skip
"""Modules of the library and of TOML whose import takes longer than what a command would use of them."""
SPARED_BY_A_LISTING = {
    "ipaddress", "pathlib", "urllib", "stock.store.all_tables", "stock.store.bench_tables", "stock.store.line_tables",
    "stock.store.office_tables", "stock.store.past_tables", "stock.store.purchase_tables", "stock.store.sheet_tables",
}  # fmt: skip
"""What a command that lists the shelf does without besides."""


def test_a_room_uses_only_what_stands_below_it():
    run = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-logo"], cwd=TOP, capture_output=True, text=True
    )
    assert run.returncode == 0, run.stdout + run.stderr


def test_no_room_has_grown_past_four_hundred_lines():
    long = {
        str(path.relative_to(TOP)): lines
        for room in ROOMS
        for path in (TOP / room).rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}


def test_a_class_has_a_name_of_its_own():
    """Two classes of one name have to be told apart by whoever reads."""
    found: dict[str, list[str]] = {}
    for room in ROOMS:
        for path in (TOP / room).rglob("*.py"):
            for name in re.findall(r"^class (\w+)", path.read_text(encoding="utf-8"), flags=re.MULTILINE):
                found.setdefault(name, []).append(str(path.relative_to(TOP)))
    assert {name: paths for name, paths in found.items() if len(paths) > 1} == {}


UNITS = {
    "ul": "Microlitres", "mg": "Milligrams", "milli": "MilliPercent", "mc": "MilliCelsius", "um": "Micrometres",
    "pa": "Pascals",
}  # fmt: skip
OTHER_THOUSANDTHS = {
    "drops_milli", "house_milli", "ph_low_milli", "ph_high_milli", "fahrenheit_milli", "mixing_milli", "molar_mg",
}  # fmt: skip
"""Thousandths of a drop a millilitre, of a pH, of a degree F, of a factor, and milligrams a mole: none has a type."""


def figures_of(tree):
    """(where, name, annotation) of each field of a class, each argument and what each function gives back."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            for field in node.body:
                if isinstance(field, ast.AnnAssign):
                    yield node.name, ast.unparse(field.target), field.annotation
        elif isinstance(node, ast.FunctionDef):
            for argument in (*node.args.args, *node.args.kwonlyargs):
                yield node.name, argument.arg, argument.annotation
            yield node.name, node.name, node.returns


def test_a_figure_has_the_type_of_its_unit():
    """So that mypy refuses a per cent where a volume is shown.

    The columns of `store` come from Peewee without types, the shapes of `answers` hold what JSON holds, and `ph.py` has
    thousandths of a pH.
    """
    plain = []
    for path in (*(TOP / "stock").rglob("*.py"), *(TOP / "tui").rglob("*.py")):
        if {"store", "answers"} & {*path.parts} or path.name == "ph.py":
            continue
        for where, name, annotation in figures_of(ast.parse(path.read_text(encoding="utf-8"))):
            unit = UNITS.get(name.rsplit("_")[-1]) if "_" in name else None
            figure = (
                ast.unparse(annotation) if annotation is not None and name not in OTHER_THOUSANDTHS else ""
            )
            if unit and re.search(r"\bint\b(?!, )", figure):
                plain.append(f"{path.relative_to(TOP)}: {where}.{name} is no {unit}")
    assert plain == []


def test_the_top_holds_the_rooms_and_nothing_else():
    listed = subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True)
    if listed.returncode:
        pytest.skip("not a git checkout")
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {top for top in tops if not top.startswith(".")} <= {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "tui", "stock", "tests", "sample_studio",
    }  # fmt: skip


@pytest.fixture(scope="module")
def small_studio(tmp_path_factory):
    """A file with a paint, its reducer and a bottle of each."""
    path = str(tmp_path_factory.mktemp("lean") / "studio.ullage")
    for line in (
        ["new"],
        ["product", "add", "Slow Thinner", "--role", "reducer", "--flash-point", "40C"],
        ["product", "add", "Harbour Blue", "--role", "paint", "--usual-reducer", "Slow Thinner"],
        ["receive", "Harbour Blue", "60ml"],
        ["receive", "Slow Thinner", "120ml"],
    ):
        assert in_a_process(path, line).returncode == 0
    return path


def in_a_process(path, line, tail="pass"):
    # The finder of an editable install brings some of the modules that a command does without.
    forget = f"[sys.modules.pop(name, None) for name in {sorted(SPARED | SPARED_BY_A_LISTING)}]"
    began = f"import sys; {forget}; began = set(sys.modules)"
    code = f"{began}; from stock.cli.main import main; status = main({line!r}); {tail}; sys.exit(status)"
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={"ULLAGE_STUDIO": path, "PATH": "/usr/bin", "HOME": str(Path(path).parent)},
    )


@pytest.mark.parametrize(
    "line",
    [
        ["shelf", "--json"],
        ["check", "--json"],
        ["logbook"],
        ["mix", "Harbour Blue=2ml", "--reduce", "20%", "--dry-run"],
        ["reduce", "30ml", "20%"],
        ["wash", "Slow Thinner=1ml"],
    ],
)
def test_a_command_stays_lean(small_studio, line):
    run = in_a_process(small_studio, line, "print(*(set(sys.modules) - began), file=sys.stderr)")
    assert run.returncode == 0, run.stderr
    modules = set(run.stderr.strip().splitlines()[-1].split())
    loaded = {name.partition(".")[0] for name in modules}
    assert loaded & HEAVY == set()
    if line[0] == "shelf":
        assert modules & SPARED_BY_A_LISTING == set()
    if line[0] != "check":  # its proofs are kept in dataclasses, which bring inspect
        assert loaded & SPARED == set()


def specs(node):
    """The format specifications that a node of a program's tree holds: of an f-string, of `format` or of a template."""
    if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
        return [part.value for part in ast.walk(node.format_spec) if isinstance(part, ast.Constant)]
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return re.findall(r"\{[^{}:]*:([^{}]*)\}", node.value)
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "format":
        return [part.value for part in node.args[1:] if isinstance(part, ast.Constant)]
    return []


def test_no_figure_is_shown_with_an_exponent_or_cut_to_six_digits():
    found = [
        f"{path.relative_to(TOP)}:{node.lineno}"
        for room in ROOMS
        for path in (TOP / room).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for spec in specs(node)
        if re.fullmatch(r"[^a-zA-Z]*[gGeEnN]", str(spec))
    ]
    assert found == [], "write figures with stock.grammar.in_full"


def test_the_mutation_run_names_files_that_are_there():
    """A module or a test that is renamed is renamed there, too, or its faults would no longer be looked for."""
    named = {name for files, tests in mutants.ROOMS.values() for name in (*files, *tests)}
    assert sorted(name for name in named if not (TOP / name).exists()) == []
