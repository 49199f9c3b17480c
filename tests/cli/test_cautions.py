"""`ullage cautions`, `classify` and `caution-rule`, as a person and as a script."""

import json

import pytest

from stock.cli.main import main
from tests.cli.answers import answer_of

FINDING_KEYS = {"code", "severity", "product", "bottle", "place", "since", "message", "remedy", "source"}


@pytest.fixture
def ullage(books, capsys, monkeypatch):
    """Run a command on a studio of its own; returns (status, answer or text, error)."""
    monkeypatch.setenv("ULLAGE_STUDIO", books)

    def run(*line, as_json=True):
        capsys.readouterr()
        status = main([*line, *(["--json"] if as_json else [])])
        out, err = capsys.readouterr()
        if as_json:
            return status, answer_of(out) if out else None, json.loads(err)["error"] if err else None
        return status, out, err

    return run


@pytest.fixture
def shop(ullage):
    """A healthy paint, a flammable reducer, an oxidising cleaner; two bottles of paint, one old."""
    return ullage


@pytest.fixture
def template(request):
    """Made once by the commands themselves."""
    return (
        ("shop of the cautions", make_shop) if "shop" in request.fixturenames else ("North Quay", make_studio)
    )


def make_studio(address):
    assert main(["--studio", address, "new", "--name", "North Quay", "--time-zone", "Europe/Lisbon"]) == 0


def make_shop(address):
    make_studio(address)
    for line in (
        ("place", "add", "Cabinet", "--kind", "cabinet", "--lowest", "12C", "--highest", "24C", "--ignition", "no"),
        ("product", "add", "Harbour Blue", "--role", "paint", "--water", "60", "--solvent", "none",
         "--flash-point", "none", "--opened-life", "12mo", "--sealed-life", "3y", "--store-at", "5C..35C"),
        ("product", "add", "Swift Thinner", "--role", "reducer", "--solvent", "acetone=50", "--water", "50",
         "--flash-point=-5C", "--boiling-point", "56C", "--opened-life", "2y", "--sealed-life", "4y",
         "--store-at", "5C..35C", "--not-with", "Harbour Blue"),
        ("receive", "Harbour Blue", "60ml", "--place", "Cabinet"),
        ("receive", "Harbour Blue", "60ml", "--best-before", "2020-01-01", "--place", "Cabinet"),
        ("receive", "Swift Thinner", "120ml", "--place", "Cabinet"),
    ):  # fmt: skip
        assert main(["--studio", address, *line]) == 0, line


def found(answer, code):
    return [each for each in answer["findings"] if each["code"] == code]


def test_the_pinned_keys(shop):
    status, answer, _ = shop("cautions")
    assert status == 0
    assert set(answer) == {"as_of", "findings"}
    assert all(set(each) == FINDING_KEYS for each in answer["findings"])
    [old] = found(answer, "past-best-before")
    assert (old["bottle"], old["product"], old["since"], old["severity"]) == (
        2,
        "Harbour Blue",
        "2020-01-01",
        "warn",
    )


def test_a_healthy_bottle_has_no_caution_and_an_old_one_has(shop):
    _, answer, _ = shop("shelf")
    by_bottle = {
        bottle["id"]: bottle["cautions"] for each in answer["products"] for bottle in each["bottles"]
    }
    assert by_bottle == {1: [], 2: ["past-best-before"], 3: ["flammable"]}


def test_as_of_a_day_before_it_was_old(shop):
    shop("receive", "Harbour Blue", "60ml", "--best-before", "2026-02-01", "--on", "2025-12-01")
    _, before, _ = shop("cautions", "--as-of", "2026-02-01")
    _, after, _ = shop("cautions", "--as-of", "2026-02-02")
    assert not found(before, "past-best-before")
    assert [each["bottle"] for each in found(after, "past-best-before")] == [4]


def test_fail_exits_one_only_for_a_stop(shop):
    assert shop("cautions", "--fail")[0] == 0
    shop("caution-rule", "tighten", "past-best-before", "--to", "stop", "--reason", "a customer was angry")
    assert shop("cautions", "--fail")[0] == 1
    assert shop("cautions")[0] == 0


def test_a_person_reads_what_to_do_and_whose_rule_it_is(shop):
    status, text, _ = shop("cautions", as_json=False)
    assert status == 0
    assert "Throw away, or test first (1)" in text
    assert "days past its best-before day 2020-01-01" in text
    assert "[past-best-before] common practice, no source" in text
    assert "the safety data sheet, local fire and environmental codes" in text


def test_nothing_to_be_careful_of(ullage):
    status, text, _ = ullage("cautions", as_json=False)
    assert status == 0
    assert text.startswith("Nothing to be careful of")


def test_a_silenced_caution_is_named_with_its_reason(shop):
    _, made, _ = shop("caution-rule", "silence", "flammable", "--reason", "all in the [steel] cabinet")
    assert (made["choice"], made["reason"]) == ("silence", "all in the [steel] cabinet")
    _, answer, _ = shop("cautions")
    assert not found(answer, "flammable")
    _, text, _ = shop("cautions", as_json=False)
    assert "Silenced here: flammable (all in the [steel] cabinet)" in text
    shop("caution-rule", "restore", "flammable", "--reason", "new lodger")
    assert found(shop("cautions")[1], "flammable")
    _, log, _ = shop("caution-rule", "list")
    assert [each["choice"] for each in log["choices"]] == ["default", "silence"]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (("silence", "no-such-rule", "--reason", "x"), "not-found"),
        (("silence", "flammable", "--reason", "  "), "bad-input"),
        (("tighten", "flammable", "--to", "warn", "--reason", "x"), "bad-input"),
        (("tighten", "not-with", "--to", "stop", "--reason", "x"), "bad-input"),
        (("sets", "mars"), "bad-input"),
    ],
)
def test_a_choice_without_sense_is_refused_and_nothing_is_logged(shop, line, code):
    status, _, error = shop("caution-rule", *line)
    assert (status, error["code"]) == (2, code)
    assert shop("caution-rule", "list")[1]["choices"] == []


def test_a_figure_is_tightened_never_loosened_and_shown_beside_the_rule_s(shop):
    _, made, _ = shop(
        "caution-rule", "tighten", "peroxides", "--figure", "opened_months=6", "--reason", "damp air"
    )
    assert (made["severity"], made["figures"]) == (None, {"opened_months": 6})
    _, rule, _ = shop("cautions", "--explain", "peroxides")
    assert rule["figures"]["opened_months"] == 12
    assert rule["here"] == {
        "severity": None, "silenced": False, "figures": {"opened_months": 6}, "reason": "damp air",
    }  # fmt: skip
    _, text, _ = shop("cautions", "--explain", "peroxides", as_json=False)
    assert "opened_months: watched, once open: 12 months, here 6 months (tighter is lower)" in text
    assert "here     tighter, because: damp air" in text
    status, _, error = shop(
        "caution-rule", "tighten", "peroxides", "--figure", "opened_months=24", "--reason", "x"
    )
    assert (status, error["code"]) == (2, "bad-input")
    assert "not tighter than the rule's own 12 months" in error["message"]
    assert "Write less than 12 months" in error["remedy"]
    assert len(shop("caution-rule", "list")[1]["choices"]) == 1
    shop("caution-rule", "silence", "peroxides", "--reason", "none here")
    assert shop("cautions", "--explain", "peroxides")[1]["here"]["silenced"]


@pytest.mark.parametrize(
    "figure",
    ["opened_months", "opened_months=", "opened_months=six", "opened_months=-6", "=6", "opened_months=6 kg"],
)
def test_a_figure_that_is_none_is_refused(shop, figure):
    status, _, error = shop("caution-rule", "tighten", "peroxides", "--figure", figure, "--reason", "x")
    assert (status, error["code"]) == (2, "bad-input")


def test_what_goes_where_and_the_kilograms(shop):
    shop(
        "product",
        "add",
        "Old Thinner",
        "--role",
        "reducer",
        "--solvent",
        "ethanol=90",
        "--flash-point",
        "14C",
    )
    shop("receive", "Old Thinner", "120ml", "--best-before", "2020-01-01", "--place", "Cabinet")
    _, answer, _ = shop("cautions", "--waste")
    waste = answer["waste"]
    paint, thinner = waste["bottles"]
    assert (paint["product"], paint["codes"]) == ("Harbour Blue", [])
    assert (thinner["codes"], thinner["on_hand_ml"]) == (["D001"], 120)
    assert (waste["month_limit_kg"], waste["on_hand_limit_kg"], waste["since"]) == (100, 1000, None)
    shop("bottle", "discard", str(thinner["bottle"]))
    assert shop("cautions", "--waste")[1]["waste"]["on_hand_kg"] == pytest.approx(0.168)
    _, text, _ = shop("cautions", "--waste", as_json=False)
    assert "no collection is noted): 0.17 kg" in text
    assert "    D001 (" in text and "    EU 14 06 03*" in text
    shop("studio", "change", "--waste-collected", "yesterday")
    assert shop("cautions", "--waste")[1]["waste"]["since"] is not None


def test_the_studio_s_spray_rate(shop):
    _, studio, _ = shop("studio", "change", "--spray-rate", "1.5ml")
    assert studio["spray_ml_per_min"] == 1.5
    assert shop("studio", "change", "--spray-rate", "0.001ml")[0] == 2


def test_findings_that_are_alike_tell_their_remedy_and_source_once(shop):
    shop("receive", "Harbour Blue", "60ml", "--best-before", "2020-01-01", "--place", "Cabinet")
    _, text, _ = shop("cautions", as_json=False)
    assert text.count("past its best-before day") == 2
    assert text.count("[past-best-before]") == 1
    assert "`ullage bottle discard NUMBER`" in text


def test_rule_sets_are_chosen(shop):
    assert shop("caution-rule", "sets")[1] == {"rule_sets": ["ghs", "strictest"]}
    assert shop("caution-rule", "sets", "ghs", "uk")[1] == {"rule_sets": ["ghs", "uk"]}
    assert shop("caution-rule", "sets")[1] == {"rule_sets": ["ghs", "uk"]}


def test_not_with_stops_a_mix_and_is_accepted_by_its_code(shop):
    line = ("mix", "Harbour Blue=8ml", "--reduce", "20%", "--with", "Swift Thinner")
    status, answer, error = shop(*line)
    assert (status, answer, error["code"]) == (2, None, "stopped")
    status, answer, _ = shop(*line, "--accept", "not-with")
    assert status == 0
    assert answer["cautions"][0]["code"] == "not-with"
    assert "mix-burns" in {each["code"] for each in answer["cautions"]}


def test_moves_are_listed(shop):
    shop("place", "change", "Cabinet", "--ignition", "yes")
    shop("place", "add", "Red box", "--kind", "cabinet", "--lowest", "12C")
    _, answer, _ = shop("cautions", "--moves")
    assert answer["moves"] == []
    assert "flame-near" in {each["code"] for each in answer["unsolved"]}
    assert "Red box: nobody has noted how warm it gets and whether a flame" in answer["unsolved"][0]["why"]
    _, text, _ = shop("cautions", "--moves", as_json=False)
    assert "Moving can solve none of these" in text
    shop("place", "change", "Red box", "--highest", "22C", "--ignition", "no")
    _, answer, _ = shop("cautions", "--moves")
    [move] = answer["moves"]
    assert (move["bottle"], move["from"], move["to"]) == (3, "Cabinet", "Red box")
    _, text, _ = shop("cautions", "--moves", as_json=False)
    assert "Swift Thinner" in text
    assert "Nothing needs to be moved" not in text
    shop("place", "change", "Cabinet", "--ignition", "no")
    _, text, _ = shop("cautions", "--moves", as_json=False)
    assert text.startswith("Nothing needs to be moved.")


class TestWithoutBooks:
    """`classify` and `--explain` need no studio."""

    @pytest.fixture
    def ullage(self, capsys, monkeypatch, tmp_path):
        monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "none.ullage"))

        def run(*line):
            status = main([*line, "--json"])
            out, err = capsys.readouterr()
            return status, answer_of(out) if out else None, err

        return run

    def test_the_pinned_example(self, ullage):
        status, answer, _ = ullage("classify", "--flash-point", "18C", "--boiling-point", "78C")
        assert status == 0
        assert answer == {
            "ghs": {"category": 2, "hazard": "H225", "signal": "Danger"},
            "osha": {"category": 2},
            "nfpa30": {"class": "IB"},
            "assumed": [],
        }

    def test_what_is_not_given_is_assumed_and_said(self, ullage):
        assert ullage("classify")[1]["assumed"] == ["flash_point", "boiling_point"]
        assert ullage("classify", "--flash-point", "18C")[1]["assumed"] == ["boiling_point"]
        assert ullage("classify", "--flash-point", "22.9C", "--boiling-point", "80C")[1]["assumed"] == [
            "nfpa30_limit"
        ]

    def test_fahrenheit_and_below_zero(self, ullage):
        assert ullage("classify", "--flash-point", "74F", "--boiling-point", "200F")[1]["nfpa30"] == {
            "class": "IC"
        }
        assert ullage("classify", "--flash-point=-20C", "--boiling-point", "56C")[1]["ghs"]["category"] == 2

    def test_above_every_limit(self, ullage):
        answer = ullage("classify", "--flash-point", "120C")[1]
        assert (answer["ghs"], answer["osha"], answer["nfpa30"]) == (None, None, {"class": "IIIB"})

    def test_a_temperature_that_is_none(self, ullage):
        status, answer, error = ullage("classify", "--flash-point", "18")
        assert (status, answer) == (2, None)
        assert json.loads(error)["error"]["code"] == "bad-input"

    def test_explain_shows_figures_and_source(self, ullage):
        status, rule, _ = ullage("cautions", "--explain", "container-too-big")
        assert status == 0
        assert "1910.106(d)(2)(iii)" in rule["source"]
        assert {limit["jurisdiction"] for limit in rule["limits"]} == {"us-osha", "de"}

    def test_explain_tells_what_the_source_excepts(self, ullage):
        rule = ullage("cautions", "--explain", "flammable")[1]
        assert "sustain combustion (CLP 2.6.4.5)" in rule["exceptions"]
        assert rule["here"] is None

    def test_explain_all_and_none(self, ullage):
        assert len(ullage("cautions", "--explain", "all")[1]["rules"]) > 30
        assert ullage("cautions", "--explain", "nonsense")[0] == 2

    @pytest.mark.parametrize(
        "line", [("classify",), ("cautions", "--explain", "frost"), ("cautions", "--explain", "all")]
    )
    def test_a_person_can_read_it(self, ullage, capsys, line):
        assert main(list(line)) == 0
        assert capsys.readouterr().out.strip()


def test_what_gives_off_a_deadly_gas_is_told_before_all_else(shop):
    """Little ammonia beside bleach, where more acetone beside it stops: by the command, on Today and in a mix."""
    for line in (
        ("product", "add", "Slip Bleach", "--role", "cleaner", "--solvent", "bleach=5", "--water", "95"),
        ("product", "add", "Window Drops", "--role", "cleaner", "--solvent", "ammonia=5", "--water", "95"),
        ("receive", "Slip Bleach", "3l", "--place", "Cabinet"),
        ("receive", "Window Drops", "1l", "--place", "Cabinet"),
        ("receive", "Swift Thinner", "5l", "--count", "3", "--place", "Cabinet"),
        ("receive", "Harbour Blue", "60ml", "--count", "25", "--best-before", "2020-01-01", "--place", "Cabinet"),
    ):  # fmt: skip
        assert shop(*line)[0] == 0, line
    _, answer, _ = shop("cautions")
    first = answer["findings"][0]
    assert first["code"] == "stored-apart"
    assert {first["product"], "Cabinet"} <= {"Slip Bleach", "Window Drops", first["place"]}
    assert "chloramines" in first["message"]
    assert "stop" in {each["severity"] for each in answer["findings"][1:]}
    _, text, _ = shop("cautions", as_json=False)
    assert text.splitlines()[0].startswith("Move (")
    assert "chloramines" in text.splitlines()[1]
    _, day, _ = shop("today")
    assert "chloramines" in day["cautions"][0]["message"]
    assert day["cautions"][0]["not_to_use"]
    _, day_text, _ = shop("today", as_json=False)
    after = day_text.split("Do not use\n")[1]
    assert "chloramines" in after.splitlines()[0]
    status, mix, error = shop("mix", "Slip Bleach=5ml", "Window Drops=5ml", "Swift Thinner=5ml", "--dry-run")
    assert "chloramines" in mix["cautions"][0]["message"]
    assert (status, error) == (0, None)


def test_a_rule_is_silenced_for_one_thing_until_a_day_and_a_card_answers_an_aged_bottle(shop):
    def old():
        return [each["code"] for each in shop("cautions")[1]["findings"] if each["bottle"] == 2]

    line = ("caution-rule", "silence", "past-best-before", "--reason", "for trying brushes", "--bottle", "2")
    assert "past-best-before" in old()
    assert "No finding" not in shop(*line, as_json=False)[1]
    status, answer, _ = shop(*line, "--until", "2w")
    assert (status, answer["about"], answer["bottle"]) == (0, "bottle 2", 2)
    assert "past-best-before" not in old()
    _, text, _ = shop("cautions", as_json=False)
    assert f"Silenced for bottle 2 until {answer['asked_again_on']}: past-best-before" in text
    _, listed, _ = shop("caution-rule", "list")
    assert (listed["choices"], listed["silences"][0]["code"]) == ([], "past-best-before")
    assert shop("cautions", "--explain", "past-best-before")[1]["here"] is None
    assert shop("caution-rule", "restore", "past-best-before", "--bottle", "2", "--reason", "done")[0] == 0
    assert "past-best-before" in old()
    assert shop("caution-rule", "list")[1]["silences"] == []
    _, text, _ = shop(
        "caution-rule", "silence", "frost", "--reason", "x", "--place", "Cabinet", as_json=False
    )
    assert "No finding about the stock is hidden by that today" in text
    for wrong in (
        (*line, "--place", "Cabinet"), (*line, "--until", "2020-01-01"), (*line, "--until", "3y"),
        ("caution-rule", "silence", "past-best-before", "--reason", "x", "--until", "2w"),
        ("bottle", "tested", "2", "--until", "whenever"), ("bottle", "tested", "9"),
    ):  # fmt: skip
        assert shop(*wrong)[0] == 2, wrong
    status, answer, _ = shop("bottle", "tested", "2", "--until", "3w", "--note", "covers well")
    assert (status, answer["bottle"], answer["note"]) == (0, 2, "covers well")
    assert "tested-good" in old()
    assert "past-best-before" not in old()
    assert shop("bottle", "tested", "2", "--until", "today")[0] == 0
    assert "past-best-before" in old()
