"""The command's names, keys and exit statuses, as scripts of studios lean on them."""

import json

import pytest

from stock.cli.main import main
from tests.cli.answers import answer_of


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
    """The command on a studio with two paints, a reducer, a cleaner and bottles of each."""
    return ullage


@pytest.fixture
def template(request):
    """Made once by the commands themselves."""
    return (
        ("shop of the contract", make_shop) if "shop" in request.fixturenames else ("North Quay", make_studio)
    )


def make_studio(address):
    assert main(["--studio", address, "new", "--name", "North Quay", "--time-zone", "Europe/Lisbon"]) == 0


def make_shop(address):
    make_studio(address)
    for line in (
        ("product", "add", "Slow Thinner", "--role", "reducer", "--flash-point", "40C"),
        ("product", "add", "Quick Thinner", "--role", "reducer", "--flash-point", "none"),
        (
            "product",
            "add",
            "Harbour Blue",
            "--role",
            "paint",
            "--usual-reducer",
            "Slow",
            "--flash-point",
            "none",
        ),
        ("product", "add", "Gull White", "--role", "paint", "--flash-point", "none"),
        ("product", "add", "Wash Down", "--role", "cleaner", "--flash-point", "none"),
        ("place", "add", "Cabinet"),
        ("receive", "Harbour Blue", "60ml", "--count", "2", "--on", "2026-03-01", "--place", "Cabinet"),
        ("receive", "Slow Thinner", "120ml", "--on", "2026-03-01"),
        ("receive", "Quick Thinner", "120ml", "--on", "2026-03-01"),
        ("receive", "Wash Down", "250ml", "--on", "2026-03-01"),
    ):
        assert main(["--studio", address, *line]) == 0, line


def test_new_refuses_to_touch_what_is_there(ullage, engine):
    status, answer, error = ullage("new", "--name", "Other")
    code = "would-overwrite" if engine == "sqlite" else "exists"
    assert (status, answer, error["code"]) == (2, None, code)


def test_receive_tells_each_bottle(ullage):
    ullage("product", "add", "Harbour Blue", "--role", "paint")
    status, answer, _ = ullage("receive", "harbour", "2 fl oz us", "--count", "2")
    assert status == 2 or answer["bottles"][0]["size_ml"] == 59.147
    status, answer, _ = ullage("receive", "harbour", "60ml", "--count", "2")
    assert status == 0
    assert answer["bottles"][-1] == {
        "id": answer["bottles"][-1]["id"], "product": "Harbour Blue", "size_ml": 60, "on_hand_ml": 60,
    }  # fmt: skip


def test_the_shelf_has_the_pinned_keys(shop):
    status, answer, _ = shop("shelf")
    assert status == 0
    assert set(answer) == {"as_of", "products"}
    blue = next(product for product in answer["products"] if product["name"] == "Harbour Blue")
    assert set(blue) == {"name", "role", "on_hand_ml", "bottles"}
    assert blue["on_hand_ml"] == 120
    assert set(blue["bottles"][0]) == {
        "id", "size_ml", "on_hand_ml", "state", "received_on", "opened_on", "best_before", "place", "cautions",
    }  # fmt: skip


def test_a_mix_has_the_pinned_answer_and_comes_off_both_bottles(shop):
    status, answer, _ = shop(
        "mix", "Harbour Blue=8ml", "--reduce", "20%", "--needle", "0.35", "--job", "Tank"
    )
    assert status == 0
    assert set(answer) == {
        "mix", "paint_ml", "reducer_ml", "total_ml", "reduction", "pours", "cautions", "booked",
    }  # fmt: skip
    assert (answer["paint_ml"], answer["reducer_ml"], answer["total_ml"], answer["booked"]) == (
        8,
        1.6,
        9.6,
        True,
    )
    assert answer["reduction"] == {
        "percent_of_paint": 20, "paint_parts": 5, "reducer_parts": 1, "percent_of_mix": 16.667,
    }  # fmt: skip
    assert answer["pours"] == [
        {"bottle": 1, "product": "Harbour Blue", "volume_ml": 8, "on_hand_ml": 52},
        {"bottle": 3, "product": "Slow Thinner", "volume_ml": 1.6, "on_hand_ml": 118.4},
    ]
    _, shelf, _ = shop("shelf")
    held = {
        bottle["id"]: bottle["on_hand_ml"] for product in shelf["products"] for bottle in product["bottles"]
    }
    assert (held[1], held[2], held[3]) == (52, 60, 118.4)


def test_a_dry_run_books_nothing(shop):
    status, answer, _ = shop("mix", "Harbour Blue=8ml", "--dry-run")
    assert (status, answer["booked"], answer["mix"]) == (0, False, None)
    assert shop("check")[1]["mixes"] == 0


def test_a_cut_blend_comes_off_two_bottles(shop):
    _, answer, _ = shop(
        "mix", "Harbour Blue=10.01ml", "--reduce", "20%", "--with", "Slow Thinner:Quick Thinner=1:1"
    )
    volumes = [pour["volume_ml"] for pour in answer["pours"]]
    assert volumes == [10.01, 1.001, 1.001]


def test_a_repeat_with_the_same_key_is_booked_once(shop):
    first = shop("mix", "Harbour Blue=8ml", "--key", "k1")
    again = shop("mix", "Harbour Blue=8ml", "--key", "k1")
    assert first == again
    assert shop("check")[1]["mixes"] == 1
    other = shop("wash", "Wash Down=5ml", "--key", "k1")
    assert (other[0], other[2]["code"]) == (2, "bad-input")


def test_a_pour_spans_bottles_and_the_person_may_pick(shop):
    _, answer, _ = shop("mix", "Harbour Blue=70ml")
    assert [(pour["bottle"], pour["volume_ml"]) for pour in answer["pours"]] == [(1, 60), (2, 10)]
    _, answer, _ = shop("mix", "Harbour Blue=5ml", "--from", "B0002")
    assert answer["pours"] == [{"bottle": 2, "product": "Harbour Blue", "volume_ml": 5, "on_hand_ml": 45}]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (("mix", "Harbour Blue=500ml"), "not-enough"),
        (("mix", "Harbour Blue=8ml", "--from", "3"), "bad-input"),
        (("mix", "Harbour Blue"), "bad-input"),
        (("mix", "Nobody's Paint=8ml"), "not-found"),
        (("mix", "thinner=8ml"), "ambiguous"),
        (("mix", "Harbour Blue=8ml", "--with", "Slow"), "bad-input"),
        (("mix", "Gull White=8ml", "--reduce", "20%"), "bad-input"),
        (("mix", "Harbour Blue=8ml", "--reduce", "20%", "--with", "Slow:Slow=1:1"), "bad-input"),
        (("mix", "Harbour Blue=8ml", "--reduce", "1000%"), "bad-input"),
        (("mix", "Harbour Blue=8ml", "--needle", "abc"), "bad-input"),
        (("mix", "Harbour Blue=8ml", "--on", "2026-02-01"), "not-enough"),
        (("mix", "Harbour Blue=-5 ml"), "bad-input"),
        (("mix", "Harbour Blue=nan"), "bad-input"),
        (("mix", "Harbour Blue=1e9 l"), "bad-input"),
        (("mix", "Harbour Blue=5 apples"), "bad-input"),
        (("mix", "Harbour Blue=5"), "bad-input"),
        (("mix", "Harbour Blue=1,5 ml"), "bad-input"),
        (("product", "add", "", "--role", "paint"), "bad-input"),
        (("product", "add", "x" * 10_000, "--role", "paint"), "bad-input"),
        (("product", "add", "bell\x07", "--role", "paint"), "bad-input"),
        (("product", "add", "harbour BLUE", "--role", "paint"), "exists"),
        (("product", "add", "New", "--role", "soup"), "bad-input"),
        (("receive", "Harbour Blue", "60ml", "--count", "0"), "bad-input"),
        (("receive", "Harbour Blue", "60ml", "--place", "Cellar"), "not-found"),
        (("receive", "Harbour Blue", "60ml", "--on", "2999-01-01"), "bad-input"),
        (("bottle", "open", "99"), "not-found"),
        (("bottle", "count", "1", "90ml"), "bad-input"),
        (("bottle", "move", "1", "Cabinet"), "bad-input"),
        (("bottle", "decant", "1", "5ml", "--into", "3"), "bad-input"),
        (("wash", "Harbour Blue=5ml"), "bad-input"),
        (("undo", "mix", "99"), "not-found"),
        (("logbook", "--kind", "dance"), "bad-input"),
        (("shelf", "--as-of", "2999-01-01"), "bad-input"),
        (("dance",), "bad-input"),
    ],
)
def test_bad_input_is_refused_and_books_nothing(shop, line, code):
    before = shop("check")[1]
    status, answer, error = shop(*line)
    assert (status, answer, error["code"]) == (2, None, code)
    assert error["message"]
    assert shop("check")[1] == before


def test_a_refusal_for_people_is_one_line_on_stderr(shop):
    status, out, err = shop("mix", "Harbour Blue=500ml", as_json=False)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert err.startswith("ullage: ")
    assert "Traceback" not in err


def test_books_that_are_not_there_end_with_three(tmp_path, capsys):
    assert main(["--studio", str(tmp_path / "none"), "shelf"]) == 3
    assert "ullage new" in capsys.readouterr().err


def test_a_count_answers_with_the_difference(shop):
    _, answer, _ = shop("bottle", "count", "1", "41ml")
    assert (answer["bottle"], answer["on_hand_ml"], answer["difference_ml"]) == (1, 41, -19)


def test_bottle_verbs(shop):
    assert shop("bottle", "open", "1", "--on", "2026-03-05")[1] == {"bottle": 1, "opened_on": "2026-03-05"}
    assert shop("bottle", "open", "1")[0] == 2
    assert shop("bottle", "decant", "1", "20ml")[1]["into_on_hand_ml"] == 20
    answer = shop("bottle", "discard", "2")[1]
    assert (answer["bottle"], answer["discarded_ml"]) == (2, 60)
    assert shop("bottle", "discard", "2")[0] == 2
    assert shop("undo", "discard", str(answer["discard"]))[1]["bottles"] == [{"bottle": 2, "on_hand_ml": 60}]


def test_check_has_the_pinned_keys_and_adds_up(shop):
    shop("mix", "Harbour Blue=8ml", "--reduce", "20%")
    shop("wash", "Wash Down=15ml")
    status, answer, _ = shop("check")
    assert status == 0
    assert answer["ok"]
    assert set(answer) == {
        "ok", "bottles", "movements", "mixes", "received_ml", "kept_ml", "on_hand_ml", "poured_ml", "washed_ml",
        "discarded_ml", "count_difference_ml", "money", "problems",
    }  # fmt: skip
    assert answer["received_ml"] == answer["on_hand_ml"] + answer["poured_ml"] + answer["washed_ml"]


def test_the_shelf_of_a_past_day(shop):
    shop("mix", "Harbour Blue=8ml", "--on", "2026-03-10")
    shop("mix", "Harbour Blue=8ml", "--on", "2026-03-20")
    answer = shop("shelf", "--as-of", "2026-03-15")[1]
    blue = next(product for product in answer["products"] if product["name"] == "Harbour Blue")
    assert (answer["as_of"], blue["on_hand_ml"]) == ("2026-03-15", 112)
    early = shop("shelf", "--as-of", "2026-02-15")[1]
    assert all(product["bottles"] == [] for product in early["products"])


def test_a_late_mix_must_fit_into_what_the_bottle_held_then(shop):
    shop("mix", "Harbour Blue=55ml", "--on", "2026-03-10", "--from", "1")
    shop("bottle", "count", "1", "60ml", "--on", "2026-03-20")
    status, _, error = shop("mix", "Harbour Blue=20ml", "--on", "2026-03-15", "--from", "1")
    assert (status, error["code"]) == (2, "not-enough")
    assert shop("mix", "Harbour Blue=5ml", "--on", "2026-03-15", "--from", "1")[0] == 0


def test_undo_brings_the_mix_back_and_can_be_undone(shop):
    mix = shop("mix", "Harbour Blue=8ml", "--reduce", "20%")[1]["mix"]
    undone = shop("undo", "mix", str(mix))[1]
    assert undone["bottles"] == [{"bottle": 1, "on_hand_ml": 60}, {"bottle": 3, "on_hand_ml": 120}]
    assert shop("undo", "mix", str(mix))[0] == 2
    again = shop("undo", "undo", str(undone["undo"]))[1]
    assert again["bottles"] == [{"bottle": 1, "on_hand_ml": 52}, {"bottle": 3, "on_hand_ml": 118.4}]
    assert shop("check")[1]["ok"]


def test_options_are_accepted_anywhere(shop, address, capsys):
    assert main(["--json", "--studio", address, "shelf", "--as-of=2026-03-15"]) == 0
    assert json.loads(capsys.readouterr().out)["as_of"] == "2026-03-15"


def test_names_are_shown_literally(shop):
    shop("product", "add", "[red]Fox[/red] & Sons", "--role", "paint")
    assert shop("product", "show", "fox")[1]["name"] == "[red]Fox[/red] & Sons"
    assert "[red]Fox[/red] & Sons" in shop("product", "list", as_json=False)[1]


def test_a_substance_is_looked_up_with_and_without_books(ullage, tmp_path, capsys):
    for words in (("toluene",), ("show", "108-88-3")):
        status, said, _ = ullage("substance", *words)
        assert status == 0
        pinned = {
            "cas", "name", "h_statements", "flash_point_c", "boiling_point_c", "exposure", "waste_codes", "peroxide",
            "sources",
        }  # fmt: skip
        assert pinned <= said.keys()
        assert (said["cas"], said["name"], said["flash_point_c"]) == ("108-88-3", "toluene", 4.0)
        assert {"F005", "U220"} == set(said["waste_codes"])
        assert all(one.keys() == {"value_ppm", "kind", "source"} for one in said["exposure"])
    assert main(["--studio", str(tmp_path / "none.ullage"), "substance", "toluene", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["cas"] == "108-88-3"
    assert ullage("substance", "108-88-4")[0] == 2
    assert ullage("substance", "list")[0] == 0


SHEET = """SECTION 1: Identification
Product name: Harbour Blue
Revision date: 14.03.2024
SECTION 2: Hazards identification
Signal word: Danger
H225 H319
SECTION 3: Composition
acetone  67-64-1  200-662-2  >= 10 - < 25 %
xylene  1330-20-7  215-535-7  < 10 %
toluene  108-88-3  203-625-9  2,5 %
SECTION 9: Physical and chemical properties
Flash point: < 0 °C (closed cup)
Boiling point: 133 °F
Density: 0,870 g/cm3
VOC: 612 g/l
Solids content: not determined
SECTION 14: Transport information
UN number: 1263
"""


def test_the_keys_of_what_a_sheet_proposes(shop, tmp_path):
    path = tmp_path / "sheet.txt"
    path.write_text(SHEET, encoding="utf-8")
    status, answer, _ = shop("sheet", "read", str(path))
    assert status == 0
    assert {"file", "sha256", "pages", "language", "proposals", "refused"} <= set(answer)
    assert (answer["file"], len(answer["sha256"]), answer["language"]) == ("sheet.txt", 64, "en")
    assert answer["refused"] is None
    found = {one["field"]: one for one in answer["proposals"]}
    for one in found.values():
        assert {"field", "value", "low", "high", "sure", "page", "section", "text"} <= set(one)
    said = {name: (one["value"], one["low"], one["high"], one["sure"]) for name, one in found.items()}
    assert said == {
        "name": ("Harbour Blue", None, None, True), "revised_on": ("2024-03-14", None, None, True),
        "signal_word": ("danger", None, None, True), "h_statements": (["H225", "H319"], None, None, True),
        "solvent:67-64-1": ("acetone", 10, 25, True), "solvent:1330-20-7": ("xylene", None, 10, True),
        "solvent:108-88-3": ("toluene", 2.5, 2.5, True), "flash_point_c": (None, None, 0, True),
        "flash_point_method": ("closed cup", None, None, True), "boiling_point_c": (56.1111, 56.1111, 56.1111, True),
        "density_g_per_ml": (0.87, 0.87, 0.87, True), "voc_g_per_l": (612, 612, 612, True),
        "un_number": ("1263", None, None, True),
    }  # fmt: skip
    assert (found["flash_point_c"]["section"], found["flash_point_c"]["text"]) == (
        9, "Flash point: < 0 °C (closed cup)"
    )  # fmt: skip

    status, answer, _ = shop("sheet", "read", str(path), "--product", "Harbour Blue")
    assert status == 0
    assert shop("sheet", "list", "Harbour Blue")[1]["sheets"] == []  # nothing is booked before it is taken
    line = ("sheet", "read", str(path), "--product", "Harbour Blue", "--take")
    assert shop(*line, "sure")[2]["code"] == "bad-input"
    assert shop(*line, "density_g_per_ml")[1]["taken"]["booked"] == ["density_g_per_ml"]
    status, answer, _ = shop(*line, "all-sure")
    assert {"density_g_per_ml", "boiling_point_c", "h_statements", "solvent:67-64-1"} <= set(
        answer["taken"]["booked"]
    )
    assert "flash_point_c" in answer["taken"]["kept"]  # a bound is no figure: its words are kept

    (tmp_path / "empty.pdf").write_bytes(b"")
    status, answer, error = shop("sheet", "read", str(tmp_path / "empty.pdf"))
    assert (status, answer, error["refused"]) == (2, None, "empty.pdf is empty")


def test_a_list_comes_as_a_document_for_each_entry_on_a_line_of_its_own(shop, capsys):
    def lines(*line):
        status = main([*line, "--ndjson"])
        out, err = capsys.readouterr()
        return status, [json.loads(each) for each in out.splitlines()], err

    for line, key in (
        (("shelf",), "products"),
        (("logbook",), "entries"),
        (("product", "list"), "products"),
        (("cautions",), "findings"),
        (("cautions", "--explain", "all"), "rules"),
        (("forecast",), "products"),
        (("period", "list"), "changes"),
    ):
        whole = shop(*line)[1][key]
        assert lines(*line) == (0, [{"schema": 1, **each} for each in whole], ""), line
        assert whole or line == ("period", "list")
    before = shop("check")[1]
    for line in (("mix", "Harbour Blue=1ml"), ("check",), ("cautions", "--explain", "frost")):
        status, entries, err = lines(*line)
        assert (status, entries) == (2, []), line
        assert json.loads(err)["error"]["message"].startswith("this answer is no list")
    assert shop("check")[1] == before
