"""The grammar of the story: what a line may say, and how one that can't be read is refused."""

from datetime import time

import pytest

from sample_studio.story import VERBS, StoryLine, read
from stock.errors import BadInput


def one(line: str) -> StoryLine:
    (line_read,) = read("here.txt", [line])
    return line_read


def test_a_line_is_day_time_verb_and_the_verbs_own_words():
    line_read = one(
        '-412 14:10 mix "Harbour Blue=8ml" "Gannet White=2ml" reduce 20% needle 0.35 step 5% step 2.5%'
    )
    assert (line_read.days_ago, line_read.at, line_read.verb) == (412, time(14, 10), "mix")
    assert line_read.about == ("Harbour Blue=8ml", "Gannet White=2ml")
    assert line_read.words == {"reduce": ("20%",), "needle": ("0.35",), "step": ("5%", "2.5%")}
    assert line_read.word("reduce") == "20%"
    assert line_read.word("job") is None


def test_words_may_come_in_any_order_and_names_keep_their_blanks():
    line_read = one('-3 08:00 receive "Gannet White" 60ml place "Paint wall" count 2')
    assert line_read.words == {"place": ("Paint wall",), "count": ("2",)}


def test_blank_lines_and_remarks_are_skipped():
    lines = ["# what happened", "", "   ", '-3 08:00 open "Gannet White #1"', "  # more"]
    assert [line_read.where for line_read in read("a.txt", lines)] == ["a.txt line 4"]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('0 10:00 open "A #1"', "the day '0'"),
        ('+3 10:00 open "A #1"', "the day '+3'"),
        ('-03 10:00 open "A #1"', "the day '-03'"),
        ('-3 24:00 open "A #1"', "the time '24:00'"),
        ('-3 9:00 open "A #1"', "the time '9:00'"),
        ('-3 09:00 drink "A #1"', "the verb 'drink'"),
        ('-3 09:00 open "A #1', "quotation mark"),
        ("-3 09:00 open", "too short"),
        ('-3 09:00 open "A #1" slowly', "has 2 objects"),
        ('-3 09:00 move "A #1" to', "ends at 'to'"),
        ('-3 09:00 move "A #1" to B to C', "'to' twice"),
        ('-3 09:00 move "A #1" to B now', "the word 'now'"),
        ('-3 09:00 receive "A" 60ml colour red', "has 4 objects"),
        ('-3 09:00 receive "A"', "has 1 objects"),
        ('-3 09:00 move "A #1"', "does not say 'to'"),
        ('-3 09:00 receive "A" 60ml opened yesterday', "the day 'yesterday'"),
        ('-3 09:00 plan "A" 60ml on 9', "the day '9'"),
    ],
)
def test_a_line_that_is_not_of_the_grammar_is_refused_with_its_place(line, says):
    with pytest.raises(BadInput) as refused:
        list(read("7-odd.txt", ["# first", line]))
    assert refused.value.message.startswith("7-odd.txt line 2 ")
    assert says in refused.value.message
    assert refused.value.remedy


@pytest.mark.parametrize("second", ['-4 08:00 open "A #2"', '-3 07:59 open "A #2"'])
def test_the_story_never_goes_back_in_time(second):
    with pytest.raises(BadInput, match="line 2 goes back in time"):
        list(read("a.txt", ['-3 08:00 open "A #1"', second]))


def test_two_things_may_happen_at_the_same_minute():
    assert len(list(read("a.txt", ['-3 08:00 open "A #1"', '-3 08:00 open "A #2"']))) == 2


def test_a_word_that_may_be_repeated_is_one_of_the_verbs_words():
    assert all({*form.again, *form.needed} <= set(form.words) for form in VERBS.values())
