"""What keeps this room honest: it knows the installed command alone, and the command stands alone."""

import ast
import subprocess
from collections.abc import Iterator
from pathlib import Path

from tests.installed.conftest import NOTHING
from tests.installed.environments import SOURCES, TOP, packages

HERE = Path(__file__).parent


def imports(path: Path) -> Iterator[str]:
    """The modules that a file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{name.name}" for name in node.names)


def reached(paths: list[Path]) -> dict[Path, set[str]]:
    """What these files import, and what the modules of the tests that they import do."""
    found: dict[Path, set[str]] = {}
    while paths:
        path = paths.pop()
        if path in found:
            continue
        found[path] = set(imports(path))
        for name in found[path]:
            if name.partition(".")[0] == "tests":
                file = TOP.joinpath(*name.split(".")).with_suffix(".py")
                paths += [file] if file.is_file() else []
    return found


def test_nothing_here_imports_what_is_tested() -> None:
    found = reached(sorted(HERE.glob("*.py")))
    assert len(found) > 5
    for path, names in found.items():
        assert not {name.partition(".")[0] for name in names} & set(SOURCES), path


def test_command_runs_what_was_installed_and_needs_nothing_else(commands: dict[str, Path]) -> None:
    """Each file of the packages is in the wheel, and each module of it can be imported with nothing else installed.

    Only what an extra brings may be missing then; the journeys show that nothing else asks for it.
    """
    command = commands["nothing"]
    installed = packages(command.parents[1])
    [wheel] = command.parents[2].glob("ullage-*.whl")
    said = subprocess.run([command, "--version"], capture_output=True, text=True, cwd=command.parent)
    assert (said.returncode, said.stdout, said.stderr) == (0, f"ullage {wheel.name.split('-')[1]}\n", "")
    for name in (*SOURCES, "ullage"):
        top = TOP / "tui" / "launch" if name == "ullage" else TOP
        ours = {path.relative_to(top) for path in (top / name).rglob("*") if path.is_file()}
        theirs = {path.relative_to(installed) for path in (installed / name).rglob("*") if path.is_file()}
        assert {
            path
            for path in ours - theirs
            if not {"__pycache__", "launch"} & set(path.parts) and path.suffix != ".po"
        } == set()
    walk = (
        "import importlib, pkgutil, sys\n"
        f"for top in {SOURCES!r}:\n"
        "    package = importlib.import_module(top)\n"
        f"    assert package.__file__.startswith({str(installed)!r}), package.__file__\n"
        "    for module in pkgutil.walk_packages(package.__path__, top + '.'):\n"
        "        if not module.name.endswith('__main__'):\n"
        "            try:\n"
        "                importlib.import_module(module.name)\n"
        "            except ModuleNotFoundError as error:\n"
        "                print(module.name, error.name)\n"
    )
    done = subprocess.run(
        [command.with_name("python"), "-I", "-c", walk], capture_output=True, text=True, cwd=command.parent
    )
    assert done.returncode == 0, done.stderr
    missing = [line.split() for line in done.stdout.splitlines()]
    assert {absent for _, absent in missing} <= {"aiohttp", "textual_serve", "pdfminer", "psycopg"}, missing


def test_the_manual_page_is_installed_as_the_command_prints_it(commands: dict[str, Path], person) -> None:
    page = commands[NOTHING].parents[1] / "share" / "man" / "man1" / "ullage.1"
    undated = [line for line in page.read_text().splitlines() if not line.startswith(".Dd ")]
    printed = person(NOTHING).says("help", "--man").splitlines()
    assert len(undated) > 1_000
    assert undated == [line for line in printed if not line.startswith(".Dd ")]


def test_a_foreign_package_of_the_same_name_is_not_taken_for_ours(person) -> None:
    """Modules `stock` and `tui` stand in the person's folder and in PYTHONPATH; the command runs ours."""
    someone = person(NOTHING)
    for name in ("stock", "tui"):
        (someone.folder / f"{name}.py").write_text(f"raise SystemExit('a foreign {name}')")
    python = someone.command.parent / "python"
    environment = someone.environment | {"PYTHONPATH": str(someone.folder)}
    for line, words in (
        ([str(someone.command)], ["new"]),
        ([str(python), "-m", "ullage"], ["shelf", "--json"]),
    ):
        done = subprocess.run(
            [*line, *words], cwd=someone.folder, env=environment, capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, "")
