"""What a sheet says, typed as people write it: statements, temperatures below zero, pressures; how it is refused."""

import json

import pytest

from stock.cli.main import main
from tests.cli.answers import answer_of


@pytest.fixture
def ullage(stocked: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Runs a command on the stocked books; returns (status, what it printed, what it said on stderr)."""
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)

    def run(*line: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main(list(line))
        shown = capsys.readouterr()
        return status, shown.out, shown.err

    return run


def test_a_sheet_is_noted_in_the_short_words_and_shown(ullage):
    line = ("product", "change", "Harbour Blue", "--signal", "danger", "--h", "H225 H319", "--p", "P210 P280",
            "--gloves", "butyl, 0.7 mm", "--eyes", "goggles", "--breathing", "A2", "--un", "1263", "--class", "3",
            "--packing-group", "II", "--pictograms", "flame", "--incompatible", "oxidisers")  # fmt: skip
    status, ran, _ = ullage(*line)
    assert status == 0
    assert "H225 Highly flammable liquid and vapour. H319 Causes serious eye irritation." in ran
    assert "UN 1263, class 3, packing group II" in ran
    assert "! H225 is noted, and that it has no flash point" in ran
    _, out, _ = ullage("product", "show", "Harbour Blue", "--json")
    answer = answer_of(out)
    assert (answer["h_statements"], answer["pictograms"], answer["signal_word"]) == (
        ["H225", "H319"],
        ["GHS02"],
        "danger",
    )
    status, _, said = ullage("product", "change", "Harbour Blue", "--h", "")
    assert (status, "can't become unknown" in said) == (2, True)
    status, _, said = ullage("product", "change", "Harbour Blue", "--h", "H225 H399", "--json")
    assert (status, json.loads(said)["error"]["code"]) == (2, "bad-input")
    assert "no hazard statement 'H399'" in said


@pytest.mark.parametrize(
    ("line", "shown"),
    [
        (("product", "change", "Slow Thinner", "--flash-point", "-20C"), "-20 °C"),
        (("product", "change", "Slow Thinner", "--flash-point", "-4F"), "-20 °C"),
        (("product", "change", "Slow Thinner", "--boiling-point", "-0.5C"), "-0.5 °C"),
        (("product", "change", "Slow Thinner", "--store-at", "-10C..35C"), "-10 °C to 35 °C"),
        (("place", "add", "Loft", "--lowest", "-4C", "--highest", "32C"), "Loft"),
        (("classify", "--flash-point", "-20 °C", "--boiling-point", "56C"), "H225"),
    ],
)
def test_below_zero_is_typed_as_it_is(ullage, line, shown):
    status, ran, said = ullage(*line)
    assert (status, said) == (0, "")
    assert shown in ran


@pytest.mark.parametrize(
    "line", [("classify", "--flash-point", "-x"), ("classify", "--flash-point", "--json")]
)
def test_what_is_no_temperature_stays_an_option(ullage, line):
    status, _, said = ullage(*line)
    assert status == 2
    assert said


def test_the_pressure_of_a_sheet_is_told(ullage):
    ranges = ("low=10 high=20 pressure=1..2bar needle<=0.5", "low=5 high=10 pressure=1.5bar needle>=0.6")
    ullage("sheet", "add", "Harbour Blue", "--title", "TDS", "--revised", "2026-01-01",
           *(word for text in ranges for word in ("--dosing", text)))  # fmt: skip
    _, listed, _ = ullage("sheet", "list", "Harbour Blue")
    assert "needle up to 0.5 mm, at 1 bar to 2 bar" in listed
    assert "needle from 0.6 mm, at 1.5 bar" in listed
    _, advised, _ = ullage("advise", "Harbour Blue", "--needle", "0.35")
    assert "says 10 to 20 %, needle up to 0.5 mm, at 1 bar to 2 bar" in advised


@pytest.mark.parametrize(
    ("cup", "seconds", "said"),
    [
        ("din-4", "30", "at 25 s the cup's equation gives 96 mm²/s and the published range table 112"),
        ("din-4", "140", None),
        ("iso2431-4", "31", None),
    ],
)
def test_a_cup_says_where_its_equation_and_its_table_disagree(ullage, cup, seconds, said):
    _, ran, _ = ullage("viscosity", cup, seconds)
    assert ("they disagree" in ran) == bool(said)
    assert said is None or said in ran


def test_a_mil_is_25_point_4_micrometres(ullage):
    _, ran, _ = ullage("coverage", "1m2", "--film", "1mil", "--solids", "50%")
    assert "wet film 50.8 µm" in ran


def test_a_caution_says_where_its_figure_was_read(ullage, tmp_path):
    """On paper and for scripts: the sheet, the page or line, and the words."""
    sheet = tmp_path / "sheet.txt"
    titles = (
        "Identification",
        "Hazards",
        "Composition",
        "First aid",
        "Fire",
        "Release",
        "Handling",
        "Exposure",
        "Physical",
    )
    texts = {1: "Revision date: 14.03.2024", 9: "Flash point: 12 °C (closed cup)"}
    sheet.write_text(
        "\n".join(f"SECTION {at}: {title}\n{texts.get(at, '')}" for at, title in enumerate(titles, 1))
    )
    assert ullage("sheet", "read", str(sheet), "--product", "Slow Thinner", "--take", "flash_point_c")[0] == 0
    place = "Safety data sheet of 2024-03-14, line 18, section 9"
    _, ran, _ = ullage("cautions")
    assert f'read in {place}: "Flash point: 12 °C (closed cup)"' in ran
    _, out, _ = ullage("cautions", "--json")
    [found] = [
        each
        for each in answer_of(out)["findings"]
        if each["code"] == "flammable" and each["product"] == "Slow Thinner"
    ]
    assert [(one["place"], one["file"]) for one in found["read_from"]] == [(place, "sheet.txt")]
