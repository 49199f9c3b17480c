"""What an error says to do can be done: its commands are typed as they are printed, and the errand then succeeds.

Every `remedy=` of the code is found by a walk over it. One that names a command is in SCENARIOS, or in ELSEWHERE with
the reason why it can't come up here. One that names none begins with a word of OPENINGS, or stands in BY_HAND: what
it asks of a person is said there, so that a new one fails until somebody has looked.
"""

import ast
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.remedies import Do, Option, Remedy
from stock.store.models import database
from tests.faults.fuzzing import Ran, run

LAST = {
    "CLOSE": "closed as",
    "DELIVERY": ", number ",
    "IMPORT": r"undo import (\d+)",
    "LAST": r"Order (\d+)",
    "UNDO": "Took back",
}
"""Words that stand for the number of the last errand of a kind, and what the command says of it."""
PARTS = {"Remedy": Remedy, "Do": Do, "Option": Option}
HOUSE = Path(__file__).parents[2]
COMMAND = re.compile(r"`ullage ([^`]*)`")

BLUE = {"PRODUCT": "'Harbour Blue'"}
SCENARIOS = (
    # what was done before; what is refused; what stands for the words in capitals; whether it then succeeds
    (("receive 'Gull White' 60ml",), "mix 'Gull White=2g'", {"NAME": "'Gull White'", "MASS": "10g"}, True),
    ((), "bottle count 4 --weight 50g --tare 20g", {"NAME": "'Wash Down'", "MASS": "10g"}, True),
    (
        ("product add Other --role reducer", "product add Plain --role paint", "receive Plain 60ml"),
        "mix Plain=5ml --reduce 20%",
        {"NAME": "Plain", "REDUCER": "'Slow Thinner'"},
        True,
    ),
    (("close MIX --outcome good",), "step MIX 5%", {}, True),
    ((), "recipe show Sea", {"NAME": "Sea", "PAINT": "'Harbour Blue'", "REDUCER": "'Slow Thinner'"}, True),
    ((), "order make --basket Depot", {"NAME": "Depot"}, False),
    (("bottle discard 2",), "bottle open 2", {}, True),
    ((), "bottle count 4 '1,5 ml'", {}, True),
    (("bottle count 1 0ml",), "mix 'Harbour Blue=8ml' --from 1", {}, True),
    ((), "shelf --as-of 27.02.2026", {}, True),
    (
        ("job add Bow --on 2026-01-01", "job close Bow --on 2026-01-02"),
        "mix 'Harbour Blue=1ml' --job Bow",
        {},
        True,
    ),
    (
        ("sheet add 'Harbour Blue' --title T --revised 2025-01-01",),
        "sheet add 'Harbour Blue' --title T --revised 2025-01-01",
        {"PRODUCT": "'Harbour Blue'", "TITLE": "T", "DATE": "2025-01-01"},
        False,
    ),
    (("undo mix MIX",), "undo mix MIX", {}, True),
    (("close MIX --outcome good", "undo mix MIX"), "undo close CLOSE", {}, False),
    (("import mixes.csv",), "undo delivery IMPORT", {}, False),
    ((), "bottle count 4 900ml", {}, False),
    (
        (
            "receive 'Gull White' 60ml --label X-1",
            "undo delivery DELIVERY",
            "receive 'Gull White' 60ml --label X-1",
        ),
        "undo undo UNDO",
        {"OTHER": "X-2"},
        True,
    ),
    (("job add Bow --on 2024-01-01", "job close Bow --on 2024-01-02"), "import jobs.csv", {}, True),
    ((), "step 99 5%", {}, False),
    ((), "wash 'Wash Down=5ml' --mix 99", {}, False),
    ((), "cautions --explain nonsense", {}, False),
    (("supplier change Depot --lead-time 7d",), "order make --basket Depot", {}, False),
    ((), "order receive 99", {}, False),
    (
        (),
        "sheet add 'Wash Down' --title Notes --revised 2026-01-01 --whole-line",
        {"NAME": "'Wash Down'", "LINE": "Quay"},
        True,
    ),
    (("order make 'Harbour Blue=1x60ml'",), "order receive LAST --of 'Gull White' lot=1", {}, False),
    (
        ("order make 'Harbour Blue=2x60ml'",),
        "order receive LAST 'Harbour Blue=9'",
        {"PRODUCT": "'Harbour Blue'", "SIZE": "60ml"},
        False,
    ),
    ((), "bottle open 99", {}, False),
    ((), "undo import 99", {}, False),
    ((), "undo mix 99", {}, False),
    ((), "undo movement 6", {}, False),
    ((), "trace --lot Nothing", {}, False),
    ((), "job show Bow", {"NAME": "Bow"}, True),
    ((), "bottle move 4 Attic --studio bare.ullage", {}, False),
    ((), "product show Plain --studio bare.ullage", {"NAME": "Plain", "ROLE": "paint"}, True),
    ((), "line show Plain --studio bare.ullage", {"NAME": "Plain"}, True),
    (
        ("receive 'Gull White' 60ml --left half --label P-1",),
        "bottle open P-1",
        {"DATE": "2026-01-01"},
        False,
    ),
    ((), "bottle change 2 --opened 2026-01-01", {}, True),
    (
        ("close MIX --outcome good --left 2ml --keep --label J-1",),
        "bottle change J-1 --best-before 2030-01-01",
        {},
        False,
    ),
    ((), "receive 'Wash Down' 250ml --left 100g --tare 20g", {"NAME": "'Wash Down'", "MASS": "10g"}, True),
    ((), "substance show Pearlene", {"NAME": "Pearlene"}, True),
    ((), "substance change Pearlene --note x", {"NAME": "Pearlene"}, True),
    ((), "sheet correct 'Harbour Blue' --title T --revised 2025-01-01 --source x", BLUE, False),
    ((), "sheet add 'Harbour Blue' --title T --revised 2025-01-01 --replaces Nothing", BLUE, False),
    ((), "sheet compare 'Harbour Blue'", BLUE, False),
    ((), "shelf --studio nowhere.ullage", {}, True),
    ((), "--theme", {}, False),
    ((), "help mix now", {}, False),
    ((), "training drop Nobody", {}, False),
    (
        ("job add Bow --on 2026-01-01", "recipe add Storm 'Harbour Blue=1'"),
        "mix --next Bow",
        {"JOB": "Bow", "RECIPE": "Storm"},
        False,
    ),
    (("job add Bow --on 2026-01-01",), "job queue Bow --drop 99", {"JOB": "Bow"}, False),
    ((), "invoice remove 99", {}, False),
    ((), "invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10 --delivery 99", {}, False),
    ((), "invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10 --tax 19% --gross 12", {}, False),
    (
        ("invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10",),
        "invoice add R-1 --supplier Depot --dated 2026-01-05 --net 10",
        {},
        False,
    ),
    (("period close 2026-01",), "receive 'Harbour Blue' 60ml --on 2026-01-20", {"WHY": "late"}, True),
    ((), "config set theme ' '", {}, False),
    ((), "scale", {}, False),
    ((), "product delete 'Harbour Blue'", {}, False),
)
ELSEWHERE = {
    "Correct that file, or delete it and set what you need again: `ullage config set --help`": (
        "a file of settings that can't be read; told in tests/cli/test_about.py"
    ),
    "Look at `ullage logbook`, or repeat it with `--key` as it had; check the disk and its free room": (
        "a disk that fails in the moment of booking; told in tests/faults"
    ),
    "Add it with `ullage place add NAME`": "a place is asked for where a bottle is, and places come before",
    "Do that again first: `ullage undo undo {by}`": "told in tests/logbook/test_undo.py",
    "Make one with `ullage new`": "a server without books, or with those of no studio",
    "See what it sends with `ullage scale --try`; nothing was booked": "a silent scale; told in tests/scale",
    "Name a file: `ullage backup PATH`": "a server's studio; told in tests/exchange/test_backup.py",
    "Put it back, or a backup: `ullage restore` lists them; then open it again": "books that go while they are open",
    "Restore a backup: `ullage restore PATH`": "damaged books; told in tests/faults",
    "Check the original: `ullage check`": "a copy that differs, which is a fault of ours",
    "See `ullage serve --help`": "told in tests/tui/test_serving.py",
    "They were changed by another program; restore a backup with `ullage restore PATH`": "told in tests/faults",
    "Do the whole import again: `ullage undo undo {tips[whole.first]}`; nothing was booked": "told in tests/logbook",
    "Use a command instead: `ullage --help` lists them": "the dashboard where there is no terminal",
}
OPENINGS = {
    "Write": "the line is typed again, with this",
    "Give": "the line is typed again, with this",
    "Say": "the line is typed again, with this",
    "Add": "the line is typed again, with this",
    "Leave": "the line is typed again, without this",
    "Name": "the line is typed again, with another name",
    "Pick": "the line is typed again, with another choice",
    "Take": "the line is typed again, with another choice",
    "Choose": "the line is typed again, with another choice",
    "Type": "the words are typed again",
    "Swap": "two words of the line are exchanged",
    "Nothing": "nothing is to be done",
    "The nearest": "the line is typed again, with one of these",
    "It holds": "the line is typed again, with one of these",
    "It has": "the line is typed again, with one of these",
    "Its": "the file is looked at",
    "Is": "the file is looked at",
    "Close": "a quote of the file, or a mix, is closed",
    "Correct": "the file or the entry is corrected",
    "Empty": "the scale is put right",
    "Keep draughts": "the scale is put right",
    "Plug": "the scale is put right",
    "Fill": "the file is corrected",
    "Export": "the folder is exported again",
    "Save": "the file is saved again",
    "Count": "the errand is done otherwise",
    "Check": "something outside is looked at",
    "Ask": "somebody is asked",
    "Begin": "a rule's file is mended",
    "Change": "the command `change` of the same family",
    "Decant": "the errand is done otherwise",
    "Did you mean": "the line is typed again, with one of these",
    "Do it again": "the line is typed again",
    "End": "another program is ended",
    "Enter": "the line is typed again, with other parts",
    "Free": "room is made on the disk",
    "Import": "the line is typed again, with other books",
    "Install": "a package is installed",
    "It is left": "the owner of a file gives a right; the command stands there",
    "Look": "the line is typed again",
    "Make": "the errand is done otherwise",
    "Measure": "a figure is measured again",
    "Mend": "a rule's file is mended",
    "Mix": "the errand is done otherwise",
    "Open": "the books are opened once",
    "Order": "the line is typed again, with another",
    "Pour": "the errand is done otherwise",
    "Put": "the words or the file are changed",
    "Read": "a figure is measured again",
    "Receive": "the errand is done otherwise",
    "Rename": "a rule's file is mended",
    "Run it again": "the line is typed again",
    "See": "help is read",
    "Set that back": "what was done since is done back",
    "Start": "the line is typed again",
    "Stay": "the line is typed again, with less",
    "The file has": "the line is typed again, with one of these",
    "There is": "nothing is to be done",
    "They may": "the line is typed again, with less",
    "Throw": "the errand is done otherwise",
    "Tighten": "the line is typed again, with one of these",
    "To ": "the line or the field says how",
    "Undo": "what was done since is undone",
    "Update": "a newer Ullage is installed",
    "Use": "the line is typed again, with another file",
    "Weigh": "a figure is measured again",
    "{": "what went before it stands in another remedy",
}


class Typist:
    """Types lines in which MIX, IMPORT and others stand for the numbers that they got."""

    def __init__(self, mix: int) -> None:
        self.numbers = {"MIX": str(mix)}

    def __call__(self, line: str) -> Ran:
        for word, number in self.numbers.items():
            line = re.sub(rf"\b{word}\b", number, line)
        ran = run(shlex.split(line))
        for word, sign in LAST.items():
            said = re.search(sign, ran.out) if ran.status == 0 else None
            if said is not None:
                self.numbers[word] = said[1] if said.groups() else last_booking()
        return ran


def last_booking() -> str:
    from stock.store.connection import connection
    from stock.store.models import Booking

    with connection():
        return str(Booking.select().order_by(Booking.id.desc()).get().id)


@pytest.mark.only("sqlite")
def test_what_an_error_says_to_type_is_typed(
    stocked: str, mixed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    database.close()
    Path("mixes.csv").write_text(
        "Date,Paint,Amount\n2025-01-01,Harbour Blue,8 ml\n2025-01-02,Harbour Blue,8 ml\n"
    )
    Path("jobs.csv").write_text("Date,Paint,Amount,Job\n2025-01-01,Harbour Blue,8 ml,Bow\n")
    assert run(["new", "--studio", "bare.ullage"]).status == 0
    kept, bare, wrong, said = Path(stocked).read_bytes(), Path("bare.ullage").read_bytes(), [], ""
    for before, refused, words, succeeds in SCENARIOS:
        Path(stocked).write_bytes(kept)
        Path("bare.ullage").write_bytes(bare)
        typed = Typist(mixed)
        for line in before:
            ran = typed(line)
            if ran.status:
                wrong.append(f"{line}: {ran.err}")
        first = typed(refused)
        said += first.err
        if first.status not in (2, 3):
            wrong.append(f"{refused} is not refused: {first}")
        wrong += follow(typed, first.err, words, refused)
        if succeeds and typed(refused).status:
            wrong.append(f"{refused} is refused still: {typed(refused).err}")
    assert not wrong, "\n".join(wrong)
    unsaid = {each for each in remedies() if COMMAND.search(each) and not pattern(each).search(said)}
    assert unsaid == {each for each in ELSEWHERE if COMMAND.search(each)}, "say in SCENARIOS when it comes up"


def follow(typed: Typist, said: str, words: dict[str, str], refused: str, deep: int = 2) -> list[str]:
    """Type the commands of a remedy, and first what stands in the way of one; tells what went wrong."""
    wrong = []
    studio = "".join(re.findall(r" --studio \S+", refused))
    for command in COMMAND.findall(said):
        line = command + studio
        for word, meant in words.items():
            line = re.sub(rf"\b{word}\b", meant, line)
        ran = typed(line)
        if ran.status and deep and COMMAND.search(ran.err):
            wrong += follow(typed, ran.err, words, refused, deep - 1)
            ran = typed(line)
        if ran.status and "already" not in ran.err:
            wrong.append(f"{refused} says: {line}, which says: {ran.err}")
    return wrong


def pattern(template: str) -> re.Pattern[str]:
    """What a remedy looks like with its names filled in."""
    return re.compile(".+".join(map(re.escape, re.split(r"\{[^{}]*\}", template))))


def remedies() -> dict[str, str]:
    """Every remedy of the code as it is written, and the module that says it first."""
    found: dict[str, str] = {}
    for path in sorted([*(HOUSE / "stock").rglob("*.py"), *(HOUSE / "tui").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                for said in (
                    text for word in node.keywords if word.arg == "remedy" for text in texts(word.value)
                ):
                    found.setdefault(said, str(path.relative_to(HOUSE)))
    return found


def texts(node: ast.expr) -> Iterator[str]:
    """What an expression may come to, names in braces; nothing for one that is made elsewhere."""
    if isinstance(node, ast.IfExp):
        yield from texts(node.body)
        yield from texts(node.orelse)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "_":
        yield message_of(node)
    elif isinstance(node, ast.JoinedStr):
        yield "".join(
            each.value if isinstance(each, ast.Constant) else f"{{{ast.unparse(each.value)}}}"
            for each in node.values
        )
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in PARTS:
        words = [next(texts(each), f"{{{ast.unparse(each)}}}") for each in node.args]
        made = str(PARTS[node.func.id](*words))
        yield made.replace('"{', "{").replace('}"', "}")  # whether a name is quoted depends on the name


def message_of(call: ast.Call) -> str:
    """The English message of a call of `_`, with each value as it is worked out in braces."""
    (message,) = call.args
    values = {each.arg: re.sub(r"_\(('[^']*')\)", r"\1", ast.unparse(each.value)) for each in call.keywords}
    return re.sub(
        r"\{(\w+)(![rs])?(:[^{}]*)?\}", lambda named: f"{{{values[named[1]]}}}", ast.literal_eval(message)
    )


def test_every_remedy_of_the_code_was_looked_at() -> None:
    every = remedies()
    assert len(every) > 250
    own = {said for said in every if not COMMAND.search(said)}
    opening = {said: next((each for each in OPENINGS if said.startswith(each)), None) for said in own}
    unread = sorted(said for said in own if opening[said] is None)
    assert not unread, "look whether it can be followed:\n" + "\n".join(unread)
    assert set(opening.values()) == set(OPENINGS), "nothing opens with it any more"
    assert not [said for said in own if "ullage" in said and "pip install" not in said], "write it in quotes"
    noting = [said for said in own if re.search(r"\b(note|enter|correct the|set it)\b", said)]
    assert noting == [], "what is to be noted has a command"
