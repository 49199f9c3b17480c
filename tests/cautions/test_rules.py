"""Rules are data: a wrong file is refused with its line, and a studio's own word is kept."""

from pathlib import Path

import pytest

from stock.cautions import rule_entries
from stock.cautions.facts import ACTIONS, SEVERITIES, RuleChange
from stock.cautions.rule_files import parse_rules
from stock.cautions.rules import JURISDICTIONS, MAY_STOP, STATUSES, STRICTEST, BadRule, rule_book, shipped
from stock.errors import BadInput, NotFound
from tests.cautions.sample_facts import TODAY, bottle, codes, product, said
from tests.rule_entries import current

GOOD = """\
# A comment.
[[rule]]
code = "too-warm"
severity = "warn"
action = "move"
status = "practice"
message = "It is {warm} here"
remedy = "Open a window"

[[rule]]
code = "too-cold"
severity = "stop"
action = "move"
status = "verified"
document = "A standard"
edition = "2020"
clause = "4.2"
message = "It is {cold} here"
remedy = "Close the window"
figures = { most_mc = 5000 }
tighter = { most_mc = "higher", litres_milli = "lower" }

  [[rule.limits]]
  jurisdiction = "uk"
  what = "cold liquids"
  litres_milli = 1000
  status = "verified"
  document = "A table"
  edition = "2019"
"""


def test_a_good_file_is_read():
    warm, cold = parse_rules(GOOD, "good.toml")
    assert (warm.code, warm.severity, warm.source) == ("too-warm", "warn", "common practice, no source")
    assert cold.source == "A standard, 2020, 4.2"


WRONG = [
    # not TOML, or no rules in it
    ('message = "It is {cold} here"', "message = It is cold here", 18, "line 18"),
    ("[[rule]]", "[[rules]]", 1, "rule"),
    # a word that isn't one of those
    ('severity = "warn"', 'severity = "dire"', 4, "severity"),
    ('action = "move"\nstatus = "practice"', 'action = "flee"\nstatus = "practice"', 5, "action"),
    ('status = "practice"', 'status = "hearsay"', 6, "status"),
    ('clause = "4.2"', 'jurisdiction = "mars"', 17, "jurisdiction"),
    ('code = "too-cold"', 'code = "Too Cold"', 11, "code"),
    # what can't be filled in
    ("It is {warm} here", "It is {warm here", 7, "braces"),
    ("It is {warm} here", "It is {} here", 7, "braces"),
    ("Open a window", "Open {a window}", 8, "braces"),
    # a key that is no key, or not of its kind
    ('clause = "4.2"', 'paragraph = "4.2"', 17, "paragraph"),
    ('edition = "2020"', "edition = 2020", 16, "edition"),
    ('severity = "warn"', 'severity = ["warn"]', 4, "severity"),
    ("figures = { most_mc = 5000 }", "figures = 5000", 20, "figures"),
    # something left out or empty
    ('code = "too-cold"\n', "", 10, "code"),
    ('severity = "warn"\n', "", 2, "severity"),
    ('action = "move"\nstatus = "practice"', 'status = "practice"', 2, "action"),
    ('status = "practice"\n', "", 2, "status"),
    ('message = "It is {warm} here"\n', "", 2, "message"),
    ('remedy = "Close the window"', 'remedy = ""', 10, "remedy"),
    ('remedy = "Close the window"', 'remedy = ["Close it: ", {do = 7}]', 19, "remedy"),
    (
        'remedy = "Close the window"',
        'remedy = ["Close it: ", {do = "shelf", with = "{bottle"}]',
        19,
        "remedy",
    ),
    ('remedy = "Close the window"', 'remedy = [{do = "shelf", with = ["{bottle"]}]', 19, "braces"),
    # by whose word
    ('status = "practice"', 'status = "memory"', 2, "document"),
    (
        'status = "verified"\ndocument = "A standard"',
        'status = "memory"\ndocument = "A standard"',
        12,
        "stop",
    ),
    # figures
    ("most_mc = 5000 }", "most_mc = 5.5 }", 20, "whole number"),
    ("most_mc = 5000 }", 'most_mc = "5000" }', 20, "whole number"),
    ("most_mc = 5000 }", "most_mc = true }", 20, "whole number"),
    ("most_mc = 5000 }", "most_mc = -1 }", 20, "whole number"),
    ('most_mc = "higher", ', "", 20, "most_mc"),
    ('most_mc = "higher"', 'most_mc = "up"', 21, "most_mc"),
    ('most_mc = "higher"', 'most_mc = "higher", warm_mc = "lower"', 21, "warm_mc"),
    (', litres_milli = "lower"', "", 20, "litres_milli"),
    # limits
    ('remedy = "Open a window"', 'remedy = "Open a window"\nlimits = [1]', 9, "limit"),
    (
        '  edition = "2019"\n',
        '  edition = "2019"\n  [[rule.limits]]\n  what = "x"\n',
        30,
        "jurisdiction",
    ),
    ("  litres_milli = 1000", '  litres_milli = "many"', 21, "litres_milli"),
    ('  what = "cold liquids"\n', "", 23, "what"),
    ('  jurisdiction = "uk"\n', "", 23, "jurisdiction"),
    ('  status = "verified"\n', "", 23, "status"),
    ('  document = "A table"\n', "", 23, "document"),
    ('  edition = "2019"\n', "", 23, "edition"),
    ('jurisdiction = "uk"', 'jurisdiction = "mars"', 23, "jurisdiction"),
    ('  status = "verified"\n  document', '  status = "hearsay"\n  document', 23, "status"),
    ('  status = "verified"\n  document', '  status = "memory"\n  document', 23, "status"),
    (
        '  status = "verified"\n  document',
        '  status = "memory"\n  severity = "stop"\n  document',
        23,
        "severity",
    ),
]


@pytest.mark.parametrize(("old", "new", "line", "why"), WRONG)
def test_a_wrong_file_is_refused_with_its_line(old, new, line, why):
    wrong = GOOD.replace(old, new)
    assert wrong != GOOD
    with pytest.raises(BadRule) as refused:
        parse_rules(wrong, "bad.toml")
    assert "bad.toml" in refused.value.message
    assert f"line {line}" in refused.value.message
    assert why in refused.value.message


def test_a_code_may_stand_in_one_file_only():
    from stock.cautions.rule_files import read_rules

    with pytest.raises(BadRule, match=r"two\.toml.*there twice"):
        read_rules({"one.toml": GOOD, "two.toml": GOOD})


def test_the_entries_read_before_are_those_of_the_rule_files():
    assert Path(rule_entries.PATH).read_text(encoding="utf-8") == current(), (
        "run `python -m tests.rule_entries`"
    )


def test_entries_are_not_taken_for_other_files_nor_when_altered(tmp_path, monkeypatch):
    texts = {"good.toml": GOOD}
    entries = tmp_path / "entries.json"
    monkeypatch.setattr(rule_entries, "PATH", entries)
    assert rule_entries.of_files(texts) == {}, "there are none yet"
    entries.write_text(rule_entries.written(texts, {"good.toml": [{"code": "too-warm"}]}), encoding="utf-8")
    assert rule_entries.of_files(texts) == {"good.toml": [{"code": "too-warm"}]}
    assert rule_entries.of_files({"good.toml": GOOD.replace("1000", "2000")}) == {}
    assert rule_entries.of_files({"better.toml": GOOD}) == {}
    assert rule_entries.of_files({**texts, "new.toml": GOOD}) == {}
    entries.write_text(entries.read_text(encoding="utf-8").replace("warm", "cold"), encoding="utf-8")
    assert rule_entries.of_files(texts) == {}


def test_every_shipped_rule_says_where_it_comes_from():
    assert len(shipped()) > 30
    for rule in shipped().values():
        assert rule.source
        assert rule.severity in SEVERITIES
        assert rule.action in ACTIONS
        assert all(limit.source and limit.status in STATUSES for limit in rule.limits)


def test_only_what_was_seen_or_computed_may_stop_work():
    stopping = [rule for rule in shipped().values() if rule.severity == "stop"]
    assert stopping
    for rule in stopping:
        assert rule.status in MAY_STOP
        assert all(limit.status in MAY_STOP or limit.severity in ("note", "warn") for limit in rule.limits)


def test_what_rests_on_memory_or_practice_says_so_where_it_is_shown():
    for rule in shipped().values():
        if rule.status == "memory":
            assert "from memory" in rule.source
        if rule.status == "practice":
            assert rule.source == "common practice, no source"


def test_a_rule_is_silenced_with_its_reason():
    book = rule_book(changes=[RuleChange("discontinued", None, "we know")])
    assert list(book.find("discontinued", product=(1, "Gull White"))) == []


def test_a_rule_is_taken_more_gravely_and_says_why():
    book = rule_book(changes=[RuleChange("discontinued", "stop", "never again")])
    [found] = book.find("discontinued", product=(1, "Gull White"))
    assert found.severity == "stop"
    assert "made graver here: never again" in found.source


TIGHT = RuleChange("near-best-before", None, "a slow season", (("near_days", 60),))


def test_a_figure_is_tightened_and_says_why():
    book = rule_book(changes=[TIGHT])
    assert book.figure("near-best-before", "near_days") == 60
    assert book.own_figure("near-best-before", "near_days") == 60
    assert rule_book().own_figure("near-best-before", "near_days") is None
    [found] = book.find("near-best-before", day="", how="", days=45)
    assert found.severity == "note"
    assert "tighter here (told ahead: 60 days): a slow season" in found.source


def test_a_tightened_figure_is_the_one_that_counts():
    from datetime import timedelta

    later = bottle(best_before=TODAY + timedelta(45))
    assert "near-best-before" not in codes(said(product(), later))
    assert "near-best-before" in codes(said(product(), later, changes=(TIGHT,)))


def test_whatever_the_books_hold_no_figure_gets_looser():
    loose = RuleChange("near-best-before", None, "nonsense", (("near_days", 1),))
    assert rule_book(changes=[loose]).figure("near-best-before", "near_days") == 30


def test_a_tightened_limit_is_tighter_for_every_jurisdiction_and_looser_for_none():
    tight = RuleChange("over-building-limit", None, "the landlord", (("litres_milli", 100_000),))
    own = [limit.figures for limit in rule_book().limits("over-building-limit")]
    here = [limit.figures for limit in rule_book(changes=[tight]).limits("over-building-limit")]
    assert here == [
        {**each, "litres_milli": min(each["litres_milli"], 100_000)} if "litres_milli" in each else each
        for each in own
    ]
    assert here != own


def test_a_tightening_never_makes_milder():
    book = rule_book(changes=[RuleChange("flammable", "note", "nonsense")])
    words = {"signal": "", "phrase": "", "hazard": "", "category": 1, "nfpa": "IA", "flash": ""}
    [found] = book.find("flammable", product=(1, "x"), **words)
    assert found.severity == "warn"


def test_a_rule_of_another_jurisdiction_is_not_spoken():
    words = {"kilograms": 1, "limit": 1, "codes": "D001"}
    assert list(rule_book(["ghs"]).find("too-much-waste", **words)) == []
    assert len(list(rule_book(["us-epa"]).find("too-much-waste", **words))) == 1


def test_limits_are_those_of_the_chosen_sets():
    def jurisdictions(*sets):
        return {limit.jurisdiction for limit in rule_book(sets).limits("over-building-limit")}

    assert jurisdictions("uk") == {"uk"}
    assert jurisdictions("ghs") == set()
    assert jurisdictions("de") == {"de", "eu-general"}
    assert jurisdictions("ghs", "strictest") == {
        "us-osha", "nfpa", "ifc", "uk", "de", "eu-general", "fr", "au",
    }  # fmt: skip


def test_an_unknown_set_or_code_is_refused():
    with pytest.raises(BadInput, match="no rule set `mars`"):
        rule_book(["mars"])
    with pytest.raises(NotFound, match="no caution `mars`"):
        rule_book().rule("mars")


def test_every_message_can_be_filled():
    """Every word in braces is one that the code gives; found by the findings of the other tests too."""
    import string

    for rule in shipped().values():
        fields = [
            name for _, name, _, _ in string.Formatter().parse(rule.message + rule.remedy) if name is not None
        ]
        assert all(name.isidentifier() for name in fields), rule.code


def test_a_rule_book_equals_none_but_itself():
    """What was found by one book is remembered for it alone."""
    book = rule_book(("de",))
    assert book == rule_book(("de",))
    assert book is rule_book(("de",))
    assert [book._replace()].count(book) == 0
    assert len({book, book, book._replace()}) == 2


def test_a_rule_set_is_a_place_s_own_or_the_strictest(books):
    for name in (*JURISDICTIONS[1:], STRICTEST):
        assert rule_book((name,)).sets == (name,)
    for name in ("mars", JURISDICTIONS[0]):
        with pytest.raises(BadInput, match=f"there is no rule set `{name}`"):
            rule_book((name,))
