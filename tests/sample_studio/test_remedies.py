"""Each rule's remedy can be followed: what it says to type is typed, and the finding is gone.

A remedy that names no command stands in BY_HAND with what a person does instead, so that a new rule fails here until
somebody has looked whether it can be followed.
"""

import json
import re
import shlex
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from stock.cautions.books import findings
from stock.cautions.facts import Finding
from stock.cautions.rules import shipped
from stock.store.connection import connection, open_books
from stock.store.models import Bottle, Product, database
from tests.faults.fuzzing import run

COMMAND = re.compile(r"`ullage ([^`]+)`")
SHEET = {"NAME=PERCENT": "ethanol=40%", "PERCENT": "30"}
FILLED: dict[str, dict[str, str]] = {
    "acetone-uncut": {"OTHER": "Eddy Reducer"},
    "age-unknown": {},
    "air-unknown": SHEET,
    "boiling-point-unknown": {},
    "composition-unknown": SHEET,
    "container-too-big": {},
    "diisocyanate-training": {"WHO": "'Duarte Vaz'", "DATE": "today"},
    "flash-point-unknown": {},
    "frozen-once": {},
    "glass-in-spray-room": {},
    "keeping-temperature-unknown": {},
    "label-unknown": {"DATE": "2099-01-01"},
    "leftover-too-old": {},
    "mix-flash-unknown": SHEET,
    "open-too-long": {},
    "opened-day-unknown": {"DATE": "2026-01-10"},
    "past-best-before": {},
    "place-not-described": {},
    "place-over-limit": {},
    "place-unknown": {"PLACE": "'New shelf'"},
    "spraying-at-home": {},
    "unknown-with-reactive": SHEET,
    "wash-flash-unknown": {},
    "corrosive-in-metal": {},
    "not-noted": SHEET,
    "rag-bin-missing": {},
    "sheet-contradicts": {},
    "statements-unknown": {},
    "two-part-can-open": {},
    "waste-on-hand": {},
}
"""What a person puts in the place of the words in capitals; NUMBER and NAME are what the finding speaks of."""
BY_HAND = {
    "aerosol-can": "how it is kept",
    "aerosol-cans-many": "cans are carried",
    "toxic-over-limit": "less is bought",
    "aerosol-too-warm": "cans are carried",
    "bottle-in-rag-bin": "bottles are carried",
    "breathing-allergy": "air and mask as the sheet says",
    "cancer-genes-unborn": "another is chosen, or section 8 is followed",
    "corrosive": "gloves and goggles as the sheet says",
    "explosive": "it is left alone, and the maker is asked",
    "gas-under-pressure": "how it is kept",
    "harms-water": "how waste is collected",
    "metal-powder": "how it is handled",
    "organic-peroxide": "how it is kept",
    "rags-heat-up": "the bin is emptied",
    "residues-ignite": "the booth is cleaned",
    "self-heating": "how it is kept",
    "skin-allergy": "gloves as the sheet says",
    "toxic": "how it is kept, and section 8",
    "toxic-metal": "extraction, mask and clean hands",
    "water-reactive": "how it is kept",
    "air-while-spraying": "the fan, the distance to a flame and a respirator",
    "between-codes": "nothing is to be done",
    "blend-burns-lower": "the sheet is read; a lower flash point is a field of the product's record",
    "cures": "how it is mixed",
    "dichloromethane": "an authority is asked, another remover is bought",
    "curdles": "other parts of the mix are chosen",
    "discontinued": "what takes its place is chosen",
    "flame-near": "stock or flame is carried",
    "flammable": "how it is handled",
    "frost": "bottles are carried",
    "hardener-open": "how it is handled",
    "hazardous-waste": "how waste is collected",
    "incompatible": "they are kept from meeting",
    "isocyanate-mist": "supplied air and a booth",
    "leftover-day-unknown": "it is tried on a card",
    "leftover-kept": "it is used up",
    "mix-burns": "how it is handled",
    "mix-burns-by-label": "how it is handled",
    "more-than-a-day": "bottles are carried",
    "near-best-before": "it is used first",
    "not-with": "another is chosen",
    "open-nearly-too-long": "it is used first",
    "over-building-limit": "stock is carried, out of the house if need be",
    "over-code-limit": "stock is carried",
    "over-home-limit": "stock is carried out of the home",
    "perhaps-peroxides": "it is left alone, or handed to the waste collection",
    "peroxides": "it is left alone, or handed to the waste collection",
    "pour-slowly": "how it is poured",
    "reacts": "they are kept apart",
    "stored-apart": "they are carried apart",
    "tested-good": "it is used first",
    "target-metals": "a small cup, or an authority is asked",
    "too-much-waste": "an authority is asked",
    "voc-over-limit": "it is reduced less",
    "wash-burns": "how it is handled",
    "waste-apart": "how waste is collected",
    "wrong-temperature": "it is carried",
}
EITHER = {"frozen-once", "open-too-long", "past-best-before"}
"""Rules that say what to do if the card is good, and what if it isn't."""
DATED = "--best-before 2099-01-01"
PREPARED = {
    "age-unknown": ["product change 'Buoy Red' --opened-life unknown --sealed-life unknown"],
    "boiling-point-unknown": ["product change 'Flint Reducer' --boiling-point unknown --h-statements H319"],
    "composition-unknown": ["product change Bilgebright --solvent unknown"],
    "container-too-big": [
        f"receive 'Plain Propan-2-ol' 960ml --container plastic --place 'Red cabinet' {DATED}"
    ],
    "corrosive-in-metal": [f"receive 'Slipway Bleach' 480ml --place 'Cool drawer' {DATED}"],
    "diisocyanate-training": ["training drop 'Ines Calado'"],
    "flash-point-unknown": [
        "product change 'Slackwater Retarder' --flash-point unknown --pictograms unknown"
    ],
    "frozen-once": [
        f"receive 'Buoy Red' 60ml --label {label} --on DAYS_AGO --place 'Paint wall' {DATED}"
        for label in ("one", "two")
    ]
    + [f"bottle freeze {label} --on DAYS_AGO" for label in ("one", "two")],
    "glass-in-spray-room": [f"receive Gullwash 240ml --container glass --place 'Spray bench' {DATED}"],
    "keeping-temperature-unknown": ["product change Bilgebright --store-at unknown"],
    "label-unknown": ["receive 'Buoy Red' 60ml --place 'Paint wall'"],
    "leftover-too-old": ["caution-rule tighten leftover-too-old --reason strict --figure life_days=1"],
    "opened-day-unknown": ["receive 'Buoy Red' 60ml --left half"],
    "past-best-before": [
        "receive 'Buoy Red' 60ml --count 2 --place 'Paint wall' --on DAYS_AGO --best-before DAYS_AGO"
    ],
    "place-not-described": ["place add Loft --kind shelf", f"receive 'Buoy Red' 60ml --place Loft {DATED}"],
    "place-over-limit": [f"receive Gullwash 480ml --container metal --place 'Spray bench' {DATED}"],
    "place-unknown": ["receive 'Buoy Red' 60ml"],
    "rag-bin-missing": ["place change 'Rag bin' --kind shelf --rename 'Old bin'"],
    "sheet-contradicts": ["product change 'Flint Reducer' --h-statements H319"],
    "spraying-at-home": [f"receive Gullwash 240ml --container metal --place 'Kitchen table' {DATED}"],
    "statements-unknown": [
        "product add Rinse --role cleaner --water 97 --solids 3 --solvent none --flash-point none "
        "--store-at 5C..30C --opened-life 12mo --sealed-life 3y",
        f"receive Rinse 480ml --place 'Paint wall' {DATED}",
    ],
    "two-part-can-open": [
        f"receive 'Capstan Two-Part Can' 400ml --opened DAYS_AGO --container aerosol_can {DATED}"
    ],
    "waste-on-hand": [
        "caution-rule tighten waste-on-hand --reason strict --figure on_hand_kg=1",
        "receive 'Flint Reducer' 2l --label old-flint --on DAYS_AGO",
        "bottle discard old-flint --on DAYS_AGO",
    ],
}
"""What makes a well-kept shelf show a rule."""
MISPLACED = (
    f"receive 'Buoy Red' 60ml --place 'Ice-wall garage' {DATED}",
    f"receive 'Slipway Bleach' 480ml --container metal --place 'Wash trolley' {DATED}",
    f"receive Gullwash 480ml --container glass --place 'Spray bench' {DATED}",
)
MIXES = {
    "acetone-uncut": "'Foilby Herring Silver=5ml' --reduce 20% --with 'Flint Reducer'",
    "air-unknown": "'Harbour Blue=8ml' 'Skimmer Flow Aid=1ml' --reduce 20%",
    "mix-flash-unknown": "'Harbour Blue=8ml' 'Skimmer Flow Aid=1ml' --reduce 20%",
    "unknown-with-reactive": "'Skimmer Flow Aid=1ml' 'Tarnwick Hardener=5ml'",
}


@pytest.fixture
def copied(sample: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The sample studio, to be changed."""
    books = str(tmp_path / "sample.ullage")
    shutil.copy(sample, books)
    monkeypatch.setenv("ULLAGE_STUDIO", books)
    yield books
    if not database.is_closed():
        database.close()


def test_every_rule_says_what_can_be_done() -> None:
    rules = shipped()
    typed = {code for code, rule in rules.items() if "`" in rule.remedy}
    assert typed == set(FILLED)
    assert set(rules) - typed == set(BY_HAND), "look whether what it says can be done, and say how"
    note = [code for code in BY_HAND if re.search(r"\bnote\b", rules[code].remedy, re.IGNORECASE)]
    assert note == [], "what is to be noted has a command"


@pytest.mark.sampled(6)
@pytest.mark.parametrize("code", sorted(FILLED.keys() - MIXES.keys() - {"wash-flash-unknown"}))
def test_what_a_rule_of_the_stock_says_makes_its_finding_go_away(code: str, copied: str) -> None:
    day = date.fromisoformat(typed("today")["as_of"]) - timedelta(3)
    for line in PREPARED.get(code, ()):
        typed(line.replace("DAYS_AGO", day.isoformat()))
    found = standing(copied, code)
    assert found, "the sample studio shows it on no shelf of today: prepare it"
    one = found[0]
    commands = COMMAND.findall(one.remedy)
    if code in EITHER:
        for command, each in zip(commands, found, strict=False):
            typed(command.replace(f" {one.bottle}", f" {each.bottle}"))
            assert about(each) not in {about(other) for other in standing(copied, code)}
        return
    for command in reversed(commands):  # what is needed for it is said behind it
        for said in filled(command, FILLED[code], one):
            ran = typed(said)
            if said.endswith("--moves"):
                carry(ran)
    left = [each for each in standing(copied, code) if about(each) == about(one)]
    assert not left, left[0].message


def test_the_cautions_agree_with_what_is_to_be_moved(copied: str) -> None:
    """What the cautions say to move is gone once the moves are done, or was said to stay."""
    for line in MISPLACED:
        typed(line)
    answer = typed("cautions --moves")
    to_move = {code for code, rule in shipped().items() if rule.action == "move"}
    before = [each for each in answer["findings"] if each["code"] in to_move]
    assert {"frost", "stored-apart", "flame-near", "place-over-limit"} <= {each["code"] for each in before}
    assert len(before) > len(answer["unsolved"]) > 0
    carry(answer)
    after = [each for each in typed("cautions")["findings"] if each["code"] in to_move]
    said = [{key: each[key] for key in each if key != "why"} for each in answer["unsolved"]]
    assert after == said
    again = typed("cautions --moves")
    assert (again["moves"], again["unsolved"]) == ([], answer["unsolved"])


@pytest.mark.parametrize("code", sorted(MIXES))
def test_what_a_rule_of_a_mix_says_makes_its_finding_go_away(code: str, copied: str) -> None:
    mix = f"mix {MIXES[code]} --dry-run --json"
    (remedy,) = {each["remedy"] for each in mixed(mix) if each["code"] == code}
    if code == "acetone-uncut":
        (cut,) = re.findall("`(--with [^`]+)`", remedy)
        mix = mix.replace("--with 'Flint Reducer'", cut.replace("OTHER", FILLED[code]["OTHER"]))
    for command in COMMAND.findall(remedy):
        for said in filled(command, FILLED[code], None):
            typed(said)
    assert code not in {each["code"] for each in mixed(mix)}


def test_what_a_rule_of_a_wash_out_says_makes_its_finding_go_away(copied: str) -> None:
    typed(f"receive 'Oldquay Reducer' 240ml {DATED}")
    wash = "wash 'Oldquay Reducer=5ml'"
    (remedy,) = {each["remedy"] for each in typed(wash)["cautions"] if each["code"] == "wash-flash-unknown"}
    for command in COMMAND.findall(remedy):
        typed(command)
    assert {each["code"] for each in typed(wash)["cautions"]} >= {"wash-burns"}
    assert "wash-flash-unknown" not in {each["code"] for each in typed(wash)["cautions"]}


def filled(command: str, words: dict[str, str], one: Finding | None) -> list[str]:
    """The command with its words in capitals filled in, once for each bottle or product that is meant."""
    for word, said in words.items():
        command = command.replace(word, said)
    with connection():
        bottles = list(one.bottles) if one is not None else []
        names = Product.select(Product.name).join(Bottle).where(Bottle.id.in_(bottles)).distinct()
        if "NUMBER" in command:
            return [command.replace("NUMBER", str(number)) for number in bottles]
        if "NAME" in command:
            return [command.replace("NAME", f"'{row.name}'") for row in names]
    return [command]


def typed(line: str) -> Any:
    ran = run([*shlex.split(line), *([] if "--json" in line else ["--json"])])
    assert ran.status in (0, 1), f"{line}: {ran.err}"
    return json.loads(ran.out)


def carry(answer: Any) -> None:
    """Do the moves that `ullage cautions --moves` says."""
    for move in answer["moves"]:
        typed(f"bottle move {move['bottle']} '{move['to']}'")


def standing(books: str, code: str) -> list[Finding]:
    open_books(books)
    with connection():
        return [each for each in findings() if each.code == code]


def about(one: Finding) -> tuple[object, ...]:
    return one.product, one.bottle, one.place


def mixed(line: str) -> Any:
    return typed(line)["cautions"]
