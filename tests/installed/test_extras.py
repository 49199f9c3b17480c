"""Each extra alone, and none: what it brings works, and what is missing is refused in a line that names it."""

import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.datasheets.invented import FACTS, Wording, table_with_leaders
from tests.exchange.workbook_files import xlsx
from tests.installed.command import PATIENCE_S, Ullage
from tests.installed.environments import EXTRAS
from tests.tui.served import free_port

NOWHERE = "postgresql://127.0.0.1:1/studios"
Person = Callable[..., Ullage]


@pytest.mark.parametrize(
    "installed",
    ["nothing", *(pytest.param(extra, marks=pytest.mark.sampled(2)) for extra in EXTRAS), "everything"],
)
@pytest.mark.only("sqlite")
def test_what_is_not_installed_is_named(installed: str, person: Person, stocked: Path, engine: str) -> None:
    has = {installed} if installed != "everything" else set(EXTRAS)
    one = person(installed)
    shutil.copy(stocked, one.folder / one.studio)

    server = one.at(NOWHERE).refuses("shelf", status=3)
    copied = one.refuses("copy", NOWHERE, status=3)
    if "postgresql" in has:
        assert "refused" in server
        assert "refused" in copied
    else:
        assert server == copied
        assert server.endswith("Install it: pip install 'ullage[postgresql]'\n")

    if "labels" in has:
        one.says("labels", "labels.svg")
        assert (one.folder / "labels.svg").read_text(encoding="utf-8").count("<svg") == 1
        one.says("labels", "labels.pdf")
        assert (one.folder / "labels.pdf").read_bytes().startswith(b"%PDF-")
    else:
        assert one.refuses("labels", "labels.svg").endswith("pip install 'ullage[labels]'\n")
        assert not (one.folder / "labels.svg").exists()

    weighing = one.refuses("scale", "--scale", "/dev/nowhere")
    if "scale" in has:
        assert weighing == "ullage: the scale at /dev/nowhere isn't there. Plug it in and switch it on\n"
    else:
        assert weighing.endswith("pip install 'ullage[scale]'\n")

    sheet = table_with_leaders(Wording(FACTS[0], "fr"), one.folder / "fiche.pdf")
    (one.folder / "fiche.txt").write_text("Densité : 0,87 g/cm³\n", encoding="utf-8")
    assert "density: 0.87 g/ml" in one.says("sheet", "read", "fiche.txt")
    if "sheets" in has:
        (one.folder / "stock").mkdir()  # of the person, and not the program's
        assert "flash point: -4 °C, closed cup" in one.says("sheet", "read", str(sheet))
    else:
        assert one.refuses("sheet", "read", "fiche.pdf").endswith("pip install 'ullage[sheets]'\n")

    workbook = xlsx(one.folder / "shelf.xlsx", {"Shelf": [["Paint", "Size"], ["Harbour Blue", "30 ml"]]})
    if "spreadsheets" in has:
        assert "Booked 1 bottle" in one.says("import", workbook)
    else:
        assert one.refuses("import", workbook).endswith("pip install 'ullage[spreadsheets]'\n")

    if "browser" in has:
        assert "Ullage is at http://127.0.0.1:" in served(one)
    else:
        assert one.refuses("serve").endswith("pip install 'ullage[browser]'\n")


def served(one: Ullage) -> str:
    """What `ullage serve` says until it listens; it is ended then."""
    log = Path(one.folder, "serve.log")
    with log.open("w") as out:
        process = subprocess.Popen(
            [one.command, "serve", "--port", str(free_port())], cwd=one.folder, env=one.environment,
            stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        end = time.monotonic() + PATIENCE_S
        while "Ullage is at" not in log.read_text() and process.poll() is None and time.monotonic() < end:
            time.sleep(0.05)
        return log.read_text()
    finally:
        process.terminate()
        process.wait(PATIENCE_S)
