"""Today: what to order, what not to use, what was just done, and the usual mixes."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from types import SimpleNamespace

import pytest

from stock import clock
from stock.bench import closing
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.pot_life import PotLife
from stock.bench.step_requests import StepRequest
from stock.bench.steps import book_step
from stock.cautions.facts import Finding
from stock.logbook.proof import prove
from stock.logbook.today import (
    CautionGroup,
    Today,
    ToOrder,
    _caution_lines,
    _made,
    grouped,
    made_since,
    open_two_part,
    today,
)
from stock.logbook.undo import undo
from stock.logbook.usual import PastMix
from stock.shelf import deliveries
from tests.clock import clock_at

DAY = date(2026, 3, 1)


def finding(severity: str, code: str = "old", product: str = "Blue", action: str = "use_first", **more):
    given = {"bottle": None, "place": None, "since": None, "message": "Old", "remedy": "Look", "source": "x"}
    return Finding(code=code, severity=severity, product=product, action=action, **{**given, **more})


def test_each_stop_stands_alone_and_warnings_of_one_kind_together() -> None:
    found = [
        finding("stop", product="Blue", bottle=1),
        finding("stop", product="Blue", bottle=2),
        finding("stop", product="White", bottle=3),
        finding("warn", code="near", product="Blue", bottle=1),
        finding("warn", code="near", product="White", bottle=3),
        finding("note", code="small"),
    ]
    groups = grouped(found)
    assert [(one.first.severity, one.about, one.bottles) for one in groups] == [
        ("stop", ("Blue",), (1, 2)),
        ("stop", ("White",), (3,)),
        ("warn", ("Blue", "White"), (1, 3)),
    ]
    assert [one.not_to_use for one in groups] == [True, True, False]
    assert groups[2].words() == "Blue (bottle 1): Old"
    assert groups[2].others() == "also White; 2 bottles in total"


def test_empty_books_have_a_quiet_day(books: str) -> None:
    seen = today()
    assert (seen.order, seen.cautions, seen.done, seen.usual) == ((), (), (), ())
    text = "\n".join(seen.lines())
    assert "Nothing within 28 days." in text
    assert "No caution forbids a bottle." in text
    assert "Nothing yet." in text
    assert "safety data sheet" in text


def test_what_was_just_done_stands_first_and_an_undo_is_told(stocked: str, mixed: int) -> None:
    assert (today().done[0].kind, today().done[0].id) == ("mix", mixed)
    undo("mix", mixed)
    seen = today().done
    assert seen[0].kind == "undo"
    assert seen[1].undone_by == seen[0].id


def test_the_usual_mix_can_be_logged_again_at_once(stocked: str) -> None:
    request = MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), needle_um=350)
    first = book_mix(request)
    book_mix(request)
    (habit,) = today().usual
    assert habit.words() == "Harbour Blue 8 ml, 20 % Slow Thinner, needle 0.35 mm"
    again = book_mix(habit.request)
    assert [pour["volume_ml"] for pour in again["pours"]] == [pour["volume_ml"] for pour in first["pours"]]
    assert again["reduction"] == first["reduction"]
    assert prove().problems == []


def test_an_undone_mix_makes_no_habit(stocked: str) -> None:
    request = MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20))
    numbers = [int(book_mix(request)["mix"]) for _ in range(3)]
    undo("mix", numbers[0])
    undo("mix", numbers[1])
    assert today().usual == ()


def test_a_past_day_knows_nothing_of_what_came_after(stocked: str) -> None:
    now = clock.now()
    seen = today(now.date() - timedelta(days=30))
    assert seen.done == ()
    assert seen.as_json()["as_of"] == (now.date() - timedelta(days=30)).isoformat()


@pytest.fixture
def three_months(stocked: str) -> str:
    """A blue mixed twice a week for three months, nearly used up."""
    start = clock.now() - timedelta(days=91)
    deliveries.receive("Harbour Blue", 60_000, count=4, on=start)
    deliveries.receive("Slow Thinner", 120_000, on=start)
    for week in range(13):
        for day in (0, 3):
            book_mix(
                MixRequest(
                    parts=(("Harbour Blue", 8_000),),
                    reduce=Fraction(20),
                    at=start + timedelta(days=7 * week + day, minutes=5),
                ),
                judge=False,
            )
    from stock.shelf.handling import discard

    discard("1")
    discard("2")
    return stocked


def test_what_runs_short_is_to_be_ordered(three_months: str) -> None:
    seen = today()
    first = seen.order[0]
    assert first.product == "Harbour Blue"
    assert first.size_ul == 60_000
    assert first.cost_minor == (first.count or 0) * 790
    assert any("Harbour Blue" in line for line in seen.lines()[: 4 + len(seen.order)])
    days = [one.order_by for one in seen.order]
    assert days == sorted(days)


def test_mixes_are_read_with_their_steps_in_two_queries(three_months: str) -> None:
    from tests.queries import counted

    with counted() as queries:
        mixes = made_since(date(2000, 1, 1), clock.now().date())
    assert len(queries) <= 2
    assert len(mixes) == 26
    assert all(mix.paint_ul == 8_000 and dict(mix.reducers)["Slow Thinner"] == 1_600 for mix in mixes)


def test_a_group_says_what_else_it_concerns() -> None:
    """Up to three further names and how many more; how many bottles, where there are several."""

    def others(*found: Finding) -> str:
        return CautionGroup(tuple(found)).others()

    names = [finding("warn", product=name, bottle=at) for at, name in enumerate("ABCDEF", 1)]
    assert others(names[0]) == ""
    assert others(names[0], names[0]._replace(bottle=2)) == "2 bottles"
    assert others(names[0], names[1]) == "also B; 2 bottles in total"
    assert others(*names[:4]) == "also B, C, D; 4 bottles in total"
    assert others(*names[:5]) == "also B, C, D and 1 more; 5 bottles in total"
    bare = [each._replace(bottle=None) for each in names]
    assert others(bare[0], bare[1]) == "also B"
    named = CautionGroup((finding("warn", message="Blue is old", bottle=1),))
    assert named.words() == "Blue is old"
    assert CautionGroup((bare[0],)).words() == "A: Old"
    studio_wide = CautionGroup((finding("warn")._replace(product=None, place=None),))
    assert studio_wide.about == ("the studio",)
    several = CautionGroup((finding("warn", product=None, others=("Blue", "White")), finding("warn")))
    assert several.about == ("Blue", "White"), "a finding about several products names them"
    answer = CautionGroup((names[0], names[1])).as_json()
    assert (answer["about"], answer["bottles"], answer["not_to_use"], answer["action"]) == (
        ["A", "B"],
        [1, 2],
        False,
        "use_first",
    )


def test_the_usual_mixes_are_listed_where_there_are_some(stocked: str) -> None:
    assert "Usual mixes" not in today().lines()
    for _ in range(2):
        book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)), judge=False)
    lines = today().lines()
    assert lines[lines.index("Usual mixes") + 1] == "  Harbour Blue 8 ml, 20 % Slow Thinner"


def test_of_open_two_part_mixes_the_one_with_least_time_left_is_first(monkeypatch) -> None:
    """Of two with as much left the newer one; one whose pot life nobody noted comes first, as if none were left."""
    now = clock.now()
    lives = {1: 90, 2: 30, 3: 30, 4: None, 5: "no hardener"}
    mixes = [
        SimpleNamespace(id=number, pot_life=None if minutes == "no hardener" else PotLife(now, minutes))
        for number, minutes in lives.items()
    ]
    mixes.append(SimpleNamespace(id=6, pot_life=SimpleNamespace(left_minutes=lambda now: 1)))
    monkeypatch.setattr("stock.logbook.today.open_mixes", lambda: mixes)
    assert [mix.id for mix in open_two_part(None)] == [4, 6, 3, 2, 1]
    assert open_two_part(date(2026, 3, 1)) == ()


def test_what_to_order_says_its_packs_or_nothing_where_no_size_is_known() -> None:
    blue = ToOrder(1, "Blue", date(2026, 3, 1), False, 60_000, 2, None, None, None, None)
    assert blue.what("metric") == "2 x 60 ml"
    assert replace(blue, size_ul=None).what("metric") == ""


@pytest.mark.parametrize(
    ("known", "words"),
    [
        ({}, "by 2026-03-01: Blue, 2 x 60 ml"),
        ({"late": True}, "now, it may come too late: Blue, 2 x 60 ml"),
        ({"size_ul": None}, "by 2026-03-01: Blue, size unknown"),
        (
            {"supplier": "Quay & Co", "cost_minor": 1_580},
            "by 2026-03-01: Blue, 2 x 60 ml, Quay & Co, 15.80 EUR",
        ),
        ({"cost_minor": 0}, "by 2026-03-01: Blue, 2 x 60 ml, 0.00 EUR"),
    ],
)
def test_what_to_order_is_one_line_of_what_is_known(known: dict[str, object], words: str) -> None:
    blue = ToOrder(1, "Blue", date(2026, 3, 1), False, 60_000, 2, None, None, None, None)
    shown = SimpleNamespace(studio=SimpleNamespace(measures="metric", currency="EUR"))
    assert Today._order_words(shown, replace(blue, **known)) == words


def test_a_mix_is_remembered_with_its_steps_and_the_needle_that_sprayed_it() -> None:
    """8 ml of blue in two pours, 2 of hardener, and reducer poured twice; only paint counts as its size."""
    pours = [
        (4, DAY, 350, "paint", "Blue", -5_000), (4, DAY, 350, "paint", "Blue", -3_000),
        (4, DAY, 350, "additive", "Slow-down", -2_000), (4, DAY, 350, "reducer", "Thinner", -800),
        (4, DAY, 350, "reducer", "Thinner", -400),
    ]  # fmt: skip
    parts, reducers = (("Blue", 8_000), ("Slow-down", 2_000)), (("Thinner", 1_200),)
    assert _made(pours, "good", 500) == PastMix(4, DAY, parts, reducers, 8_000, 500, "good")
    assert _made(pours, None, None) == PastMix(4, DAY, parts, reducers, 8_000, 350, None)


def test_a_past_day_does_not_know_what_was_added_to_a_mix_later_and_how_it_ended(stocked: str) -> None:
    with clock_at("2030-01-10 09:00"):
        mix = int(book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)), judge=False)["mix"])
    with clock_at("2030-01-12 09:00"):
        book_step(mix, StepRequest(Fraction(5)))
        closing.close(mix, closing.Ending(outcome="good"))
    days = [
        (date(2030, 1, first), date(2030, 1, last)) for first, last in ((1, 11), (1, 12), (10, 10), (11, 12))
    ]
    assert [[one.outcome for one in made_since(*each)] for each in days] == [[None], ["good"], [None], []]
    added = [[one.reducers for one in made_since(*each)] for each in days]
    assert added == [[()], [(("Slow Thinner", 400),)], [()], []]


def test_a_caution_is_told_with_what_else_it_concerns_its_remedy_and_its_source() -> None:
    names = [finding("warn", product=name, bottle=at) for at, name in enumerate("AB", 1)]
    first, others, remedy = _caution_lines(CautionGroup(tuple(names)))
    assert (first.split()[0], others) == ("WARN", "    also B; 2 bottles in total")
    assert remedy.startswith("    ") and remedy.endswith("]")
    assert len(list(_caution_lines(CautionGroup((names[0],))))) == 2
