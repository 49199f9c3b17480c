"""The studio's settings are changed on the screen, and used at once."""

from typing import Any

from stock.shelf import training
from stock.shelf.studio import settings
from stock.store.connection import connection
from tests.journeys.test_products import click_words, fill, tab_to
from tests.tui.driving import opened, press, seen, settle, write
from tui.records.studio import RuleForm, SettingForm
from tui.widgets.fields import Field


async def to_row(pilot: Any, letters: str) -> None:
    """The hand onto one setting, by a few letters."""
    await press(pilot, "comma", "slash")
    await write(pilot, letters)
    await press(pilot, "enter")


async def test_settings_are_used_at_once_and_one_that_is_refused_stays_beneath_its_field(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2", "comma", "enter")
        assert isinstance(pilot.app.screen, SettingForm)
        pilot.app.screen.query_one("#value", Field).text = "Lantern Yard"
        await press(pilot, "enter")
        assert seen(pilot.app).splitlines()[0].startswith(" Lantern Yard")
        await press(pilot, "1")
        assert seen(pilot.app).splitlines()[0].startswith(" Lantern Yard")

        await to_row(pilot, "currency")  # what the books were made with stays
        assert "(e Correct)" in seen(pilot.app).splitlines()[-1]
        await press(pilot, "enter")
        assert not isinstance(pilot.app.screen, SettingForm)
        assert "as the books were made" in " ".join(seen(pilot.app).split())

        before = settings()
        for row, text in (("drops", "900"), ("run dry", "90%")):
            await to_row(pilot, row)
            await press(pilot, "enter")
            pilot.app.screen.query_one("#value", Field).text = text
            await press(pilot, "enter")
            assert isinstance(pilot.app.screen, SettingForm)
            refusal: Any = pilot.app.screen.query_one("#refusal")
            said = seen(pilot.app) + str(refusal.render())
            assert "from 1 to 200" in said if row == "drops" else "out of range" in said
            await press(pilot, "escape")
        assert settings() == before

        await to_row(pilot, "rule sets")
        await press(pilot, "enter")
        pilot.app.screen.query_one("#value", Field).text = "ghs mars"
        await press(pilot, "enter")
        wrong: Any = pilot.app.screen.query_one("#value .wrong")
        assert "no rule set" in str(wrong.render())
        await tab_to(pilot, "value")
        pilot.app.screen.query_one("#value", Field).text = "ghs, uk"
        await press(pilot, "enter")
        with connection():
            assert settings().rule_sets == ("ghs", "uk")

        for row, text in (("trained", "Ana Reis 2019-01-02"), ("room", "4x3x2.5 m")):
            await to_row(pilot, row)
            await press(pilot, "enter")
            pilot.app.screen.query_one("#value", Field).text = text
            await press(pilot, "enter")
        with connection():
            assert settings().room_l == 30_000
            assert [(each.name, str(each.until)) for each in training.everything()] == [
                ("Ana Reis", "2024-01-02")
            ]

        await to_row(pilot, "measures")
        await press(pilot, "enter", "down", "enter")
        assert settings().measures == "us"
        await press(pilot, "2", "r")
        await fill(pilot, "size", "1 pint")
        size: Any = pilot.app.screen.query_one("#size", Field)
        assert size.read() == 473_176


async def test_look_is_changed_by_mouse_and_motion_stilled(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_words(pilot, "7 Records")
        await click_words(pilot, "Studio", nth=-1)
        await to_row(pilot, "look")
        await click_words(pilot, "Look")
        await click_words(pilot, "Correct")
        await click_words(pilot, "daylight")
        await click_words(pilot, "Set it", nth=-1)
        assert pilot.app.theme == "daylight"
        await to_row(pilot, "motion")
        await press(pilot, "enter")
        await write(pilot, "no")
        await press(pilot, "enter")
        assert pilot.app.animation_level == "none"


async def test_a_rule_is_silenced_taken_as_made_again_tightened_and_never_loosened(studio: str) -> None:
    from stock.cautions.choices import chosen

    async with opened(studio) as pilot:
        await to_row(pilot, "past-best-before")
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, RuleForm)
        pilot.app.screen.query_one("#choice", Field).text = "silence"
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, RuleForm)  # a choice without a reason is not logged
        await fill(pilot, "reason", "we test each before use")
        await press(pilot, "enter")
        await settle(pilot)
        assert "silenced: we test each before" in seen(pilot.app)
        pilot.app.clear_notifications()
        await press(pilot, "5")
        assert "Silenced here:" in seen(pilot.app)
        await to_row(pilot, "past-best-before")
        await press(pilot, "enter")
        pilot.app.screen.query_one("#choice", Field).text = "as shipped"
        await fill(pilot, "reason", "no longer")
        await press(pilot, "enter", "5")
        assert "Silenced here" not in seen(pilot.app)

        await to_row(pilot, "near-best-before")
        await press(pilot, "enter")
        await fill(pilot, "figure-near_days", "10")
        await fill(pilot, "reason", "sooner is better")
        await press(pilot, "enter")
        refusal: Any = pilot.app.screen.query_one("#refusal")
        assert "is not tighter than" in str(refusal.render())
        pilot.app.screen.query_one("#figure-near_days", Field).text = "45"
        await press(pilot, "enter")
        assert "told ahead: 45 days" in " ".join(seen(pilot.app).split())
    with connection():
        made = next(one for one in chosen() if one.figures)
    assert (made.choice, made.severity, dict(made.figures)) == ("tighten", None, {"near_days": 45})
