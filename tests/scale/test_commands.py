"""The commands that weigh, with a simulated scale."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.cli.main import main
from stock.shelf.bottles import numbered
from tests.scale.simulated import PATIENCE_S, SimulatedScale

PROGRAM = (
    "import signal; signal.signal(signal.SIGINT, signal.default_int_handler);"
    "from tui.__main__ import main; raise SystemExit(main())"
)
pytestmark = pytest.mark.only("sqlite")


@pytest.fixture
def scale(tmp_path: Path) -> Iterator[SimulatedScale]:
    one = SimulatedScale(tmp_path)
    yield one
    one.close()


def test_a_bench_keeps_its_scale_and_weighs(scale, stocked, capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))

    def ullage(*line, status=0):
        assert main(["--studio", stocked, *line]) == status
        out, err = capsys.readouterr()
        return out or err

    assert "no scale is set on this bench" in ullage("scale", status=2)
    ullage("config", "set", "scale", scale.path)
    scale.keep_sending(b"ST,GS,+ 63.20 g\r\n")
    assert ullage("scale") == "63.2 g\n"
    weighed = json.loads(ullage("scale", "--json"))
    assert (weighed["mass_g"], weighed["resolution_g"], weighed["scale"]) == (63.2, 0.01, scale.path)
    ran = ullage("scale", "--try", "--for", "0.5s")
    assert "ST,GS,+ 63.20 g" in ran
    assert "= 63.2 g, stands still" in ran
    assert "It says whether the weight stands still" in ran

    counted = ullage("bottle", "count", "1", "--weigh", "--tare", "20.15g")
    assert counted.startswith("Bottle 1 holds 41 ml; the books said")
    assert numbered("1").tare_mg == 20_150
    assert "the scale weighs already" in ullage("bottle", "count", "1", "41ml", "--weigh", status=2)
    scale.keep_sending(b"ST,GS,+ 12.62 g\r\n")
    learnt = ullage("product", "weigh", "Harbour Blue", "10ml", "--tare", "2.12g", "--within", "0.1ml")
    assert learnt == "Harbour Blue: 1.05 g/ml, give or take 0.012\n"
    scale.keep_sending(b"ST,GS,-  1.00 g\r\n")
    assert "less than nothing" in ullage("bottle", "count", "1", "--weigh", status=2)
    assert "weighs 21 g when it is empty" in ullage("bottle", "change", "1", "--tare", "21g")
    ullage("config", "forget", "scale")
    assert "no scale is set" in ullage("bottle", "count", "1", "--weigh", status=2)


def test_a_trial_ends_at_ctrl_c_and_says_what_to_try(scale, tmp_path):
    """As a process: a scale that sends no unit, then Ctrl-C."""
    scale.keep_sending(b"63.2\r\n")
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "scale", "--try", "--scale", scale.path],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, "HOME": str(tmp_path)},
    )  # fmt: skip
    assert process.stdout is not None
    assert (
        "a figure without a unit: set it to grams, or say the unit behind the port: unit=g"
        in process.stdout.readline()
    )
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, err) == (1, "")
    assert "Set the scale to grams" in out
