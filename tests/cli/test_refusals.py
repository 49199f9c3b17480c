"""A refused errand writes nothing, and a repeated one gets its first answer: a walk over every command there is.

The commands come from the parsers, so that a new one fails here until somebody has said how it is refused.
"""

import json
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stock.cli.main import parser_for
from stock.store.models import database
from tests.content import content
from tests.faults.fuzzing import leaves, litter, run

REFUSED = """
new --name Other
bottle tested 1 --until whenever
bottle tested 999
caution-rule silence past-best-before --reason x --until 2w
caution-rule silence past-best-before --reason x --bottle 1 --until 2001-01-01
caution-rule restore past-best-before --reason x --place Nowhere
caution-rule silence stored-apart --reason x --product Harbour
caution-rule silence frost --reason x --other Harbour
product add 'Quay Red' --role hardener --pot-life soon
studio show --studio nowhere.ullage
studio change --name Other --measures cubits
studio change --measures us --dry-risk 1e999%
studio change --fan -3 --rule-sets ghs
studio change --rule-sets ghs nowhere --name Other
studio change --room 4x3 --name Other
training add Ana --on 2199-01-01
training add Ana --on 2019-01-01 --until 2030-01-01
training list --studio nowhere.ullage
training drop Nobody
product add 'Quay Red' --role paint --voc-categories eu:nothing
product add 'Quay Red' --line Nowhere --color blau
product add 'Quay Red' --like Nobody
product change --line Quay
product change --line Nowhere --opened-life 12mo
product change --line Quay --h-statements H999
line add quay --role paint
line add Pier --role varnish
line change Nowhere --role paint
line change Quay --solvent ethanol=120%
line rename Quay ' '
line show Nowhere
line fill Quay nowhere.csv
line fill Quay .
line list --studio nowhere.ullage
receive 'Harbour Blue' 60ml --left 90ml
receive 'Harbour Blue' 60ml --left 5
receive 'Harbour Blue' 60ml --left 40g
receive 'Harbour Blue' 60ml --left half --opened 2199-01-01
bottle change 2 --opened 2026-01-01
bottle change 2 --container metal --opened unknown
product add 'Quay Red' --role paint --supplier 'New Shop' --line Quay --usual-reducer Nobody
product add 'Quay Red' --role paint --supplier 'New Shop' --solvent ethanol=45% --solvent nonsense=1%%
product add 'Harbour Blue' --role paint
product change 'Harbour Blue' --water 60 --density 0
product change 'Harbour Blue' --supplier 'New Shop' --not-with Nobody
product change 'Harbour Blue' --note x --rename 'Gull White'
product list --studio nowhere.ullage
product show Nobody
product delete Nobody
product delete 'Harbour Blue'
place add Cabinet --kind shelf
place add Attic --lowest 30C --highest 5C
place change Cabinet --kind shelf --rename ' '
place change Cabinet --note x --rename Attic --flammable-limit -1l
place list --studio nowhere.ullage
substance show 67-64-2
substance show nothing-of-that-name
substance add Pearlene --cas 999-99-4 --flash-point 31C
substance add Pearlene --flash-point none --h H226
substance add Pearlene --flash-point 100C --h H225
substance add Pearlene --aliases toluene
substance add xylene --cas 108-88-3
substance change Nobody --note x
substance delete Nobody
substance list --studio nowhere.ullage
supplier change 'New Shop' --lead-time 7d --shipping -1
supplier change 'New Shop' --order-days mon someday
supplier change 'Paint Depot' --lead-time 9d --rename ' '
receive 'Harbour Blue' 60ml --count 0
receive 'Harbour Blue' 60ml --place Nowhere
receive 'Harbour Blue' 60ml --count 3 --label L-1
receive 'Harbour Blue' 60ml --opened 2199-01-01
receive 'Harbour Blue' 60ml --on 2199-01-01
shelf --as-of 2199-01-01
bottle open 1 --on 2019-01-01
bottle move 1 Nowhere
bottle count 1 --level 300mm --inner-diameter 71mm
bottle count 1 500ml
bottle count 1 --level 20mm --inner-diameter 71mm --on 2019-01-01
bottle discard 99
bottle change 1 --container wood
bottle change 1
bottle change 1 --container metal --label 7
bottle change 99 --container metal
bottle change 1 --made 2026-13-01
bottle change 1 --best-before soon
bottle decant 2 500ml --size 600ml
bottle decant 2 5ml --into 3
bottle decant 2 5ml --size 6ml --label 7
bottle freeze 1 --on 2019-01-01
spill 1 900ml
spill 99 1ml
spill 1 1ml --on 2019-01-01
mix 'Harbour Blue=500ml' --job 'A new job'
mix 'Harbour Blue=8ml' --reduce 20% --from 3 --from 4 --job 'A new job'
mix --recipe Nobody --total 30ml --job 'A new job'
wash 'Harbour Blue=5ml'
wash 'Wash Down=5ml' --mix 99
wash 'Wash Down=500ml'
reduce 30ml 1:0
viscosity ford-4 42 --mix 99
viscosity ford-4 1e999 --target-for 'Harbour Blue'
viscosity ford-4 40 --mix MIX --target-for 'Harbour Blue'
recipe add Both 'Harbour Blue=1' --of-mix MIX
advise Nobody
step 99 5%
step MIX 5% --on 2019-01-01
step MIX --back-to 90%
close MIX --outcome good --left 500ml --keep
close MIX --outcome good --left 3ml --keep --place Nowhere
close MIX --outcome good --left 3ml --keep --jar 1ml
close MIX --outcome splendid
sheet add 'Harbour Blue' --title T --revised 2025-01-01 --dosing 'with=Nobody low=20 high=30'
sheet add 'Harbour Blue' --title T --revised 2025-01-01 --dosing 'low=30 high=20'
sheet add 'Harbour Blue' --title T --revised 2025-01-01 --replaces Nothing
sheet correct 'Harbour Blue' --title T --revised 2025-01-01 --source x
sheet read nowhere.pdf
sheet read nowhere.pdf --take all-sure
sheet read nowhere.pdf other.pdf --take density_g_per_ml
sheet read nowhere.pdf other.pdf --line Nobody
sheet read nowhere.pdf other.pdf --role splendid
sheet list Nobody
sheet compare 'Harbour Blue'
recipe add 'Storm Grey' 'Harbour Blue=3'
recipe add New 'Harbour Blue=3' 'Nobody=1'
recipe list --studio nowhere.ullage
recipe show Nobody
coverage -5m2
forecast Nobody
forecast --use nan
order list --as-of 2199-01-01
order make 'Harbour Blue=2x60ml' 'Nobody=1x60ml'
order make 'Harbour Blue=2x60ml' --expected 2019-01-01
order make --basket 'Paint Depot' --expected 2019-01-01
order receive ORDER 'Harbour Blue=1' 'Nobody=1'
order receive ORDER 'Harbour Blue=3'
order receive ORDER --place Nowhere
order cancel ORDER 'Harbour Blue=9'
plan-use 'Harbour Blue' 120ml --on 2019-01-01 --job 'A new job'
cautions --explain nonsense
classify --flash-point 1e999C
caution-rule silence nonsense --reason x
caution-rule silence too-old --reason ' '
caution-rule tighten bottle-old --reason x --figure nothing=1
caution-rule restore nonsense --reason x
caution-rule sets ghs nowhere
caution-rule list --studio nowhere.ullage
backup full/something
restore damaged.ullage
restore sheet.csv --yes
copy full/something
today --as-of 2199-01-01
logbook --kind nonsense
undo mix 99
undo mix MIX --on 2019-01-01
check --studio nowhere.ullage
job add 'North Door'
job add Bow --due 2019-01-01 --on 2026-01-01
job change 'North Door' --note x --rename ' '
job show Nobody
job close 'North Door' --on 2019-01-01
job change 'North Door' --hours 3:75
job sheet Nobody
job queue Nobody
job queue 'North Door' 'Nobody=30ml'
job queue 'North Door' --drop 99
job list --as-of 2199-01-01
cost --month 2026-13
emissions --month nan
trace --lot Nothing
valuation --month 2026-01 --since 2026-01-01
valuation --until 2199-01-01
valuation --method lifo
period close 2199-01
period close 2199-01-01
period reopen --reason ' '
period reopen --reason early
period list --studio nowhere.ullage
invoice add R-1 --supplier Depot --dated 2199-01-01 --net 10
invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10 --tax 19% --gross 12
invoice add R-1 --supplier Depot --dated 2026-01-05 --net -10
invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10 --delivery 99
invoice tie 99 --delivery 1
invoice remove 99
invoice list --studio nowhere.ullage
purchases --month 2026-01 --until 2026-01-05
export full
import sheet.csv
import quotes.csv --kind mixes --make
import twice.csv --make --role paint
import full
labels out.svg --bottle 99
demo --keep full/something/deep.ullage
serve --port 80
help bottle cuont
completion tcsh
supplier list --studio nowhere.ullage
config --ink
config show ink
config set theme neon
scale --scale /dev/nowhere
product weigh 'Harbour Blue' 10ml --weight 90g
config forget ink
"""

ATTIC = "place change Cabinet --rename Attic"
KEYED = {
    "receive": ("receive Blue 60ml --label R-1 --place Cabinet", ("RENAME", ATTIC)),
    "line fill": ("line fill Quay rows.txt --place Cabinet", ("line rename Quay Pier", ATTIC)),
    "bottle open": ("bottle open J-7", ("bottle discard J-7",)),
    "bottle move": ("bottle move J-7 Cabinet", (ATTIC, "bottle discard J-7")),
    "bottle count": (
        "bottle count 1 --weight 63.2g --tare 20.15g",
        ("product change 'Harbour Blue' --density 0.31", "bottle discard 1"),
    ),
    "bottle discard": ("bottle discard J-7 --reason spilt", ()),
    "bottle decant": ("bottle decant J-7 5ml --size 30ml --label D-1", ("bottle discard J-7",)),
    "bottle freeze": ("bottle freeze J-7", ("bottle discard J-7",)),
    "spill": ("spill J-7 2ml", ("bottle discard J-7",)),
    "mix": (
        "mix --recipe 'Storm Grey' --total 8ml",
        ("RENAME", "product change 'Gull White' --rename 'Tern White'"),
    ),
    "wash": ("wash 'Wash Down=80g'", ("product change 'Wash Down' --rename Rinse --density 0.31",)),
    "step": ("step MIX 5%", ("close MIX --outcome good", "RENAME")),
    "close": ("close MIX --outcome good --left 3ml --keep --place Cabinet", (ATTIC,)),
    "order make": (
        "order make --basket 'Paint Depot'",
        ("RENAME", "supplier change 'Paint Depot' --rename 'Other Depot'"),
    ),
    "order receive": (
        "order receive ORDER 'Harbour Blue=1' --place Cabinet",
        ("RENAME", ATTIC, "order cancel ORDER"),
    ),
    "order cancel": ("order cancel ORDER 'Harbour Blue=1'", ("RENAME", "order cancel ORDER")),
    "plan-use": ("plan-use Blue 10ml --on 2199-01-01 --job Bow", ("RENAME", "job close Bow")),
    "undo": ("undo mix MIX", ()),
}
"""An errand, and what happens before it is repeated."""

RENAME = "product change 'Harbour Blue' --rename 'Deep Water' --discontinued"


@pytest.fixture
def errands(stocked: str, mixed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Run a line of the command on a studio where there is something of everything; MIX and ORDER are numbers."""
    folder = tmp_path / "work"
    folder.mkdir()
    litter(folder)
    monkeypatch.chdir(folder)
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    database.close()
    order = 0

    def go(line: str) -> Any:
        said = line.replace("RENAME", RENAME).replace("MIX", str(mixed)).replace("ORDER", str(order))
        return run([*shlex.split(said), "--json"])

    for line in (
        "supplier change 'Paint Depot' --lead-time 7d",
        "product change 'Harbour Blue' --supplier 'Paint Depot'",
        "product change 'Wash Down' --density 1.0",
        "receive 'Gull White' 60ml --label J-7",
        "recipe add 'Storm Grey' 'Harbour Blue=3' 'Gull White=1'",
        "job add 'North Door'",
        "order make 'Harbour Blue=2x60ml'",
    ):
        ran = go(line)
        assert ran.status == 0, ran
    order = json.loads(ran.out)["order"]
    return go


def test_every_command_that_is_refused_leaves_the_books_as_they_are(errands: Any, stocked: str) -> None:
    lines = REFUSED.strip().splitlines()
    words = [" ".join(words) for words, _ in leaves(parser_for(None))]
    untold = [each for each in words if not any(f"{line} ".startswith(f"{each} ") for line in lines)]
    assert untold == [], "say in REFUSED how these are refused"
    before, wrong = content(stocked), []
    for line in lines:
        ran = errands(line)
        now = content(stocked)
        changed = [name for name in now if now[name] != before.get(name)]
        if ran.status not in (2, 3) or ran.wrong(as_json=True) or changed:
            wrong.append(f"{line}: status {ran.status}, changed {changed}, said {ran.err}{ran.out[:100]}")
        before = now
    assert not wrong, "\n".join(wrong)


def test_every_errand_with_a_key_is_answered_again_after_what_it_named_is_gone(
    errands: Any, stocked: str
) -> None:
    keyed = {
        " ".join(words)
        for words, parser in leaves(parser_for(None))
        if any("--key" in each.option_strings for each in parser._actions)
    }
    assert keyed == set(KEYED), "say in KEYED what happens before a repeat"
    Path("rows.txt").write_text("Fen Green;;;60ml;2;half\n")
    # what is due to be ordered is known only where something was used
    for number in range(1, 8):
        assert errands(f"mix 'Harbour Blue=10ml' --on 2026-0{number}-01").status in (0, 2)
    wrong = []
    for number, (errand, between) in enumerate(KEYED.values()):
        wrong += _repeated(errands, stocked, errand, between, f"key-{number}")
    assert not wrong, "\n".join(wrong)


def _repeated(errands: Any, books: str, errand: str, between: Any, key: str) -> list[str]:
    put_back = _as_it_is(errands, books)
    first = errands(f"{errand} --key {key}")
    failures = [f"{errand}: {first.err}"] if first.status else []
    for line in between:
        ran = errands(line)
        failures += [f"between: {line}: {ran.err}"] if ran.status else []
    before = content(books)
    again = errands(f"{errand} --key {key}")
    if (again.status, again.out) != (first.status, first.out):
        failures.append(
            f"{errand} again: {again.status} {again.err}{again.out[:300]} first {first.out[:300]}"
        )
    if content(books) != before:
        failures.append(f"{errand} again: the books changed")
    put_back()
    return failures


def _as_it_is(errands: Any, books: str) -> Callable[[], object]:
    """A call that puts the books back as they are now: the bytes of a file, or a copy of a server's."""
    if not books.startswith("postgresql"):
        kept = Path(books).read_bytes()
        return lambda: Path(books).write_bytes(kept)
    assert errands("copy kept.ullage").status == 0

    def put_back() -> None:
        assert errands("restore kept.ullage --yes").status == 0
        Path("kept.ullage").unlink()

    return put_back
