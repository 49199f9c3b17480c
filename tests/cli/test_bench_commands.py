"""The bench's commands as scripts and people meet them: answers, refusals, exit codes."""

import json

import pytest

from stock.cli.main import main
from tests.cli.answers import answer_of


@pytest.fixture
def ullage(stocked: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Runs a command on the stocked books; returns (status, answer, what was said on stderr)."""
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)

    def run(*line: str) -> tuple[int, dict, str]:
        capsys.readouterr()
        status = main([*line, "--json"])
        shown = capsys.readouterr()
        return status, answer_of(shown.out) if shown.out else {}, shown.err

    return run


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path):
    """Runs a command where there are no books at all."""
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "none.ullage"))

    def run(*line: str) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main(list(line))
        shown = capsys.readouterr()
        return status, shown.out, shown.err

    return run


REDUCED = {
    "percent_of_paint": 20,
    "paint_parts": 5,
    "reducer_parts": 1,
    "percent_of_mix": 16.667,
    "paint_ml": 30,
    "reducer_ml": 6,
    "total_ml": 36,
}


class TestWithoutBooks:
    @pytest.mark.parametrize("reduction", ["20%", "5:1"])
    def test_reduce(self, alone, reduction: str):
        status, out, _ = alone("reduce", "30ml", reduction, "--json")
        assert (status, answer_of(out)) == (0, REDUCED)

    def test_reduce_to_a_total(self, alone):
        status, out, _ = alone("reduce", "36ml", "20%", "--total", "--json")
        assert (status, answer_of(out)) == (0, REDUCED)

    def test_reduce_for_people(self, alone):
        _, out, _ = alone("reduce", "30ml", "20%")
        assert "30 ml paint + 6 ml reducer = about 36 ml" in out
        assert "20 % of the paint = 5:1 = 16.7 % of the mix" in out

    @pytest.mark.parametrize(
        ("line", "said"),
        [
            (("reduce", "30ml", "0%"), "is no reducer"),
            (("reduce", "30ml", "1000%"), "more than two parts"),
            (("reduce", "30ml", "1:5"), "read both ways"),
            (("reduce", "30", "20%"), "has no unit"),
            (("reduce", "-5ml", "20%"), "required|negative|expected"),
            (("reduce", "nan", "20%"), "not a figure"),
            (("reduce", "1 oz", "20%"), "us fl oz or imp fl oz"),
            (("reduce", "1e9l", "20%"), "exponent"),
            (("viscosity", "ford-9", "40"), "no cup"),
            (("viscosity", "ford-4"), "no time of flow"),
            (("viscosity", "ford-4", "0"), "not a possible flow time"),
            (("viscosity", "ford-4", "40", "--density", "x"), "does not begin"),
        ],
    )
    def test_refused_in_one_line(self, alone, line: tuple[str, ...], said: str):
        status, out, err = alone(*line)
        assert status == 2
        assert out == ""
        assert err.startswith("ullage: ")
        assert err.count("\n") == 1
        assert any(word in err for word in said.split("|"))

    def test_viscosity(self, alone):
        status, out, _ = alone("viscosity", "iso2431-4", "40", "--density", "1.05", "--json")
        answer = answer_of(out)
        assert status == 0
        assert (answer["mm2_per_s"], answer["mpa_s"], answer["in_range"]) == (49.8, 52.29, True)
        assert answer["range_s"] == [30, 100]
        assert answer["source"]

    def test_out_of_range(self, alone):
        answer = answer_of(alone("viscosity", "iso2431-4", "10", "--json")[1])
        assert answer["in_range"] is False
        assert answer["mm2_per_s"] is None

    def test_coverage_there_and_back(self, alone):
        options = ("--film", "25um", "--solids", "30%", "--json")
        answer = answer_of(alone("coverage", "1m2", *options, "--reduce", "20%")[1])
        assert (answer["paint_ml"], answer["reducer_ml"], answer["m2_per_litre"]) == (166.667, 33.333, 10)
        assert answer_of(alone("coverage", "--amount", "166.667ml", *options)[1])["area_m2"] == 1.000002

    @pytest.mark.parametrize(
        "line",
        [(), ("1m2", "--amount", "5ml"), ("5",), ("1m2", "--transfer", "0%"), ("1m2", "--reduce", "0%")],
    )
    def test_coverage_refused(self, alone, line: tuple[str, ...]):
        status, out, err = alone("coverage", *line, "--film", "25um", "--solids", "30%")
        assert (status, out) == (2, "")
        assert err.startswith("ullage: ")

    def test_milk(self, alone):
        assert "2 mm²/s" in alone("viscosity", "milk")[1]


def test_advise(ullage):
    ullage("sheet", "add", "Harbour Blue", "--title", "Blue", "--revised", "2024-01-01",
           "--dosing", "with=Slow Thinner needle<=0.18 low=20 high=30 step=5")  # fmt: skip
    status, answer, _ = ullage("advise", "harbour", "--needle", "0.15", "--with", "Slow Thinner")
    assert status == 0
    assert (answer["start_percent"], answer["limit_percent"], answer["step_percent"]) == (20, 30, 5)
    first = answer["because"][0]
    assert {"kind", "title", "revised", "withdrawn", "low", "high", "n"} <= set(first)
    assert (first["kind"], first["title"], first["low"], first["high"]) == ("sheet", "Blue", 20, 30)
    assert isinstance(answer["disagreements"], list)


def test_the_advised_thinning_says_what_air_it_needs_as_a_mix_of_it_does(ullage):
    ullage("product", "add", "Hull Enamel", "--role", "paint", "--solvent", "toluene=70%", "--water", "0",
           "--solids", "30", "--flash-point", "4C")  # fmt: skip
    for product, size in (("Hull Enamel", "60ml"), ("Slow Thinner", "120ml")):
        ullage("receive", product, size)
    _, usual, _ = ullage("advise", "Hull Enamel", "--with", "Slow Thinner")
    _, asked, _ = ullage("advise", "Hull Enamel", "--with", "Slow Thinner", "--paint", "40ml")
    assert (usual["air_for_ml"], asked["air_for_ml"]) == (20, 40)
    reduce = f"{asked['start_percent']}%"
    _, mix, _ = ullage("mix", "Hull Enamel=40ml", "--reduce", reduce, "--with", "Slow Thinner", "--dry-run")
    air = [each for each in mix["cautions"] if each["code"].startswith("air-")]
    assert "air-unknown" in {each["code"] for each in air}
    assert asked["cautions"] == air
    assert usual["cautions"] != air


def test_advise_with_a_cut_blend(ullage):
    assert ullage("product", "add", "Fast Thinner", "--role", "reducer")[0] == 0
    status, answer, _ = ullage("advise", "Harbour Blue", "--with", "Slow Thinner:Fast Thinner=1:1")
    assert status == 0
    assert answer["with"] == ["Slow Thinner", "Fast Thinner"]


@pytest.mark.parametrize(
    "line",
    [
        ("advise", "Harbour Blue", "--needle", "abc"),
        ("advise", "Harbour Blue", "--needle", "9"),
        ("advise", "Nothing"),
        ("advise", "Wash Down"),
        ("advise", "Harbour Blue", "--paint", "20 apples"),
        ("step", "99", "5%"),
        ("step", "99", "five"),
        ("close", "99", "--outcome", "good"),
        ("close", "1", "--outcome", "splendid"),
        ("sheet", "add", "Harbour Blue", "--title", "T", "--revised", "someday"),
        ("sheet", "add", "Harbour Blue", "--title", "T", "--revised", "2024-01-01", "--dosing", "low=x"),
        ("sheet", "compare", "Harbour Blue"),
    ],
)
def test_refused(ullage, line: tuple[str, ...]):
    status, answer, err = ullage(*line)
    assert status == 2
    assert answer == {}
    assert json.loads(err)["error"]["message"]


def test_a_mix_from_first_pour_to_jar(ullage):
    mix = ullage("mix", "Harbour Blue=8ml", "--reduce", "20%")[1]["mix"]
    planned = ullage("step", str(mix), "5%", "--dry-run")[1]
    assert planned["booked"] is False
    step = ullage("step", str(mix), "5%", "--key", "k")[1]
    assert (step["added_ml"], step["reduction"]["percent_of_paint"]) == (0.4, 25)
    assert ullage("step", str(mix), "5%", "--key", "k")[1] == step
    back = ullage("step", str(mix), "--back-to", "20%")[1]
    assert back["added_ml"] == 2
    assert ullage("close", str(mix), "--outcome", "good", "--left", "3ml")[0] == 2
    assert ullage("close", str(mix), "--outcome", "good", "--keep")[0] == 2
    closed = ullage(
        "close", str(mix), "--outcome", "good", "--left", "3ml", "--keep", "--needle", "0.35",
        "--pressure", "20 psi", "--room", "21C", "--humidity", "45%",
    )[1]  # fmt: skip
    assert (closed["sprayed_ml"], closed["left_ml"], closed["kept"]["on_hand_ml"]) == (9, 3, 3)
    status, _, err = ullage("close", str(mix), "--outcome", "good")
    assert status == 2
    assert json.loads(err)["error"]["code"] == "closed"
    proof = ullage("check")[1]
    assert proof["ok"] is True
    assert proof["kept_ml"] == 3


def test_readings_of_a_mix(ullage):
    mix = ullage("mix", "Harbour Blue=8ml", "--reduce", "20%")[1]["mix"]
    assert ullage("viscosity", "iso2431-4", "40", "--target-for", "Harbour Blue")[0] == 0
    answer = ullage("viscosity", "iso2431-4", "60", "--mix", str(mix), "--at", "23C")[1]
    assert answer["next"]["target_s"] == 40


def test_sheets(ullage):
    ullage(
        "sheet",
        "add",
        "Harbour Blue",
        "--title",
        "Blue",
        "--revised",
        "2022-01-01",
        "--dosing",
        "low=10 high=20",
    )
    added = ullage("sheet", "add", "Harbour Blue", "--title", "Blue", "--revised", "2024-01-01",
                   "--dosing", "low=10 high=25", "--source", "leaflet")[1]  # fmt: skip
    assert (added["revised"], added["in_force"], added["source"]) == ("2024-01-01", True, "leaflet")
    assert [each["in_force"] for each in ullage("sheet", "list", "Harbour Blue")[1]["sheets"]] == [
        True,
        False,
    ]
    changes = ullage("sheet", "compare", "Harbour Blue")[1]["changes"]
    assert [(each["what"], each["before"]["high"], each["after"]["high"]) for each in changes] == [
        ("changed", 20, 25)
    ]
    assert ullage("sheet", "correct", "Harbour Blue", "--title", "Blue", "--revised", "2024-01-01",
                  "--withdrawn", "yes")[1]["withdrawn"] is True  # fmt: skip


def test_a_mix_is_printed_with_the_figures_of_the_screens(
    stocked: str, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["--studio", stocked, "mix", "Harbour Blue=3.497ml", "--reduce", "17%", "--dry-run"]
    assert main(line) == 0
    shown = capsys.readouterr().out
    assert "paint 3.5 ml, reducer 0.59 ml, total 4.1 ml" in shown
    assert main([*line, "--json"]) == 0
    assert answer_of(capsys.readouterr().out)["paint_ml"] == 3.497
