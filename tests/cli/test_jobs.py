"""`ullage job`, `cost`, `emissions`, `trace`, as a person types them."""

import json
from pathlib import Path
from typing import Any

import pytest

from stock.cli.main import main


@pytest.fixture
def run(stocked: str, capsys: pytest.CaptureFixture[str]) -> Any:
    def go(*line: str, expect: int = 0) -> Any:
        status = main([*line, "--studio", stocked, "--json"])
        out, err = capsys.readouterr()
        assert status == expect, err
        return json.loads(out if status == 0 else err)

    return go


def test_a_job_from_opening_to_what_it_cost(run: Any, stocked: str, tmp_path: Path, capsys: Any) -> None:
    job = run("job", "add", "Ferry hull", "--customer", "Quay Ltd", "--due", "2030-01-01")["job"]
    assert (job["customer"], job["due_on"], job["closed_on"]) == ("Quay Ltd", "2030-01-01", None)
    mix = run("mix", "Harbour Blue=8ml", "--job", "ferry hull")["mix"]
    run("wash", "Wash Down=15ml", "--mix", str(mix))
    ran = run("cost", "--job", "ferry", "--page", str(tmp_path / "p.html"), "--csv", str(tmp_path / "p.csv"))
    assert ran["jobs"][0]["total"] == 1.62
    assert ran["jobs"][0]["mixes"][0]["mix"] == mix
    assert "1.62" in (tmp_path / "p.csv").read_text()
    assert "Ferry hull" in (tmp_path / "p.html").read_text()
    assert run("job", "show", "ferry")["cost"]["total"] == 1.62
    assert [one["name"] for one in run("job", "list")["jobs"]] == ["Ferry hull"]
    run("job", "close", "ferry")
    assert run("job", "list")["jobs"] == []
    assert len(run("job", "list", "--all")["jobs"]) == 1
    run("job", "change", "ferry", "--open", "--note", "touch up")
    assert main(["job", "show", "ferry", "--studio", stocked]) == 0
    assert "together" in capsys.readouterr().out


def test_emissions_of_this_month_and_of_another(run: Any) -> None:
    run("mix", "Harbour Blue=8ml")
    assert run("emissions")["volume_ml"] == 8
    past = run("emissions", "--month", "2020-02")
    assert (past["volume_ml"], past["us"]["actual_g_per_l"]) == (0, None)
    assert run("emissions", "--month", "2020-14", expect=2)["error"]["code"] == "bad-input"


def test_a_trace_by_bottle(run: Any) -> None:
    mix = run("mix", "Harbour Blue=8ml", "--job", "Ferry hull")["mix"]
    ran = run("trace", "--bottle", "B0001")
    assert ran["jobs"] == [{"job": "Ferry hull", "mixes": [mix]}]
    assert run("trace", "--lot", "nowhere", expect=2)["error"]["code"] == "not-found"
    assert run("trace", expect=2)["error"]["code"] == "bad-input"
