"""Rules are data: a wrong file is refused with its line, and a studio's own word is kept."""

import pytest

from stock.cautions.facts import ACTIONS, SEVERITIES, RuleChange
from stock.cautions.rules import MAY_STOP, STATUSES, BadRule, parse_rules, rule_book, shipped
from stock.errors import BadInput, NotFound

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
"""


def test_a_good_file_is_read():
    warm, cold = parse_rules(GOOD, "good.toml")
    assert (warm.code, warm.severity, warm.source) == ("too-warm", "warn", "common practice, no source")
    assert cold.source == "A standard, 2020, 4.2"


@pytest.mark.parametrize(
    ("old", "new", "line", "why"),
    [
        ('severity = "warn"', 'severity = "dire"', 4, "severity"),
        ('action = "move"\nstatus = "practice"', 'action = "flee"\nstatus = "practice"', 5, "action"),
        ('status = "practice"', 'status = "hearsay"', 6, "status"),
        ('status = "practice"', 'status = "memory"', 2, "document"),
        ('code = "too-cold"', 'code = "Too Cold"', 11, "code"),
        ('remedy = "Close the window"', 'remedy = ""', 10, "remedy"),
        ('status = "verified"', 'status = "memory"', 12, "stop"),
        ('edition = "2020"', "edition = 2020", 16, "edition"),
        ('clause = "4.2"', 'paragraph = "4.2"', 17, "paragraph"),
        ('clause = "4.2"', "limits = [1]", 17, "limit"),
        ('clause = "4.2"', 'limits = [{ jurisdiction = "ghs" }]', 17, "what"),
        ('message = "It is {cold} here"', "message = It is cold here", 18, "line 18"),
        ("[[rule]]", "[[rules]]", 1, "rule"),
    ],
)
def test_a_wrong_file_is_refused_with_its_line(old, new, line, why):
    with pytest.raises(BadRule) as refused:
        parse_rules(GOOD.replace(old, new), "bad.toml")
    assert "bad.toml" in refused.value.message
    assert f"line {line}" in refused.value.message
    assert why in refused.value.message


def test_a_code_may_stand_in_one_file_only(tmp_path):
    from stock.cautions.rules import read_rules

    for name in ("one.toml", "two.toml"):
        (tmp_path / name).write_text(GOOD, encoding="utf-8")
    with pytest.raises(BadRule, match=r"two\.toml.*there twice"):
        read_rules([tmp_path / "one.toml", tmp_path / "two.toml"])


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
        assert all(limit.status in MAY_STOP for limit in rule.limits)


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


def test_a_tightening_never_makes_milder():
    book = rule_book(changes=[RuleChange("flammable", "note", "nonsense")])
    words = {"signal": "", "phrase": "", "hazard": "", "category": 1, "nfpa": "IA", "flash": ""}
    [found] = book.find("flammable", product=(1, "x"), **words)
    assert found.severity == "warn"


def test_a_rule_of_another_jurisdiction_is_not_spoken():
    words = {"kilograms": 1, "limit": 1}
    assert list(rule_book(["ghs"]).find("too-much-waste", **words)) == []
    assert len(list(rule_book(["us-epa"]).find("too-much-waste", **words))) == 1


def test_limits_are_those_of_the_chosen_sets():
    def jurisdictions(*sets):
        return {limit.jurisdiction for limit in rule_book(sets).limits("over-building-limit")}

    assert jurisdictions("uk") == {"uk"}
    assert jurisdictions("ghs") == set()
    assert jurisdictions("ghs", "strictest") == {"us-osha", "nfpa", "uk", "de"}


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
