"""The registry of actions: what can be done on each screen and its sheets, each entered here, once.

The strip of keys, `?`, the palette and the README's table of keys are made of it.
"""

from collections.abc import Iterator
from typing import NamedTuple


class Action(NamedTuple):
    """Something that a key does.

    Args:
        id: its holder, a dot, and its name. A holder is a screen's id, a sheet's, `app` or `any`.
        key: as Textual names it; several with commas between them.
        title: one or two words for the strip of keys.
        help: one line that says what it does.
        shown: whether the strip shows it; `?` and the palette show all.
        display: how the key is written, if not by its name.
        does: the Textual action that it runs, with its argument; its own name if this is empty.
        anywhere: the palette's title of an action of a sheet that it lists on every screen; empty for others.
        commands: the commands in whose place a remedy names this key; behind one may stand an option that it must have.
        of_finding: the same, in a remedy of the finding in hand, where it is read on this screen.
        on_what: whether such a remedy also names what the command's arguments name, such as mix 3.
    """

    id: str
    key: str
    title: str
    help: str
    shown: bool = True
    display: str = ""
    does: str = ""
    anywhere: str = ""
    commands: tuple[str, ...] = ()
    of_finding: tuple[str, ...] = ()
    on_what: bool = False

    @property
    def letters(self) -> str:
        """The key as a sentence names it."""
        return self.display or self.key.partition(",")[0]

    @property
    def holder(self) -> str:
        """The screen or sheet that has it, `app` or `any`."""
        return self.id.partition(".")[0]

    @property
    def call(self) -> str:
        """The action as Textual runs it."""
        return self.does or self.id.partition(".")[2]


ACTIONS = (
    Action(
        "app.settings",
        "comma",
        "Settings",
        "The studio's settings",
        shown=False,
        display=",",
        commands=("studio change", "training add", "training list"),
    ),
    Action("app.quit", "q", "Quit", "Leave; everything booked is in the books", shown=False),
    Action("any.help", "question_mark", "Keys", "These words", display="?"),
    Action("any.step_back", "escape", "Leave the field", "", shown=False, display="Esc"),
    Action("today.again", "m", "Mix again", "Log the most usual mix again"),
    Action(
        "today.yesterdays", "y", "Yesterday's", "Repeat a mix of yesterday, or of the last day before today"
    ),
    Action("today.new_mix", "n", "New mix", "To the Bench"),
    Action("today.receive", "r", "Receive", "Put a delivery on the shelf"),
    Action("today.wash", "w", "Wash", "Book a wash-out"),
    Action("today.act", "enter", "Open", "Act on the selected line"),
    Action("shelf.receive", "r", "Receive", "Put a delivery on the shelf", commands=("receive",)),
    Action("shelf.open", "o", "Open", "Note that the selected bottle was opened", commands=("bottle open",)),
    Action(
        "shelf.count",
        "c",
        "Count",
        "Measure the selected bottle; the books follow",
        commands=("bottle count",),
    ),
    Action(
        "shelf.weigh",
        "w",
        "Weigh",
        "Count bottles on the scale, one after the other",
        commands=("product weigh",),
    ),
    Action(
        "shelf.spill",
        "s",
        "Spill",
        "Book what was spilled from the selected bottle",
        shown=False,
    ),
    Action("shelf.move", "m", "Move", "Put the selected bottle somewhere else", commands=("bottle move",)),
    Action("shelf.decant", "t", "Decant", "Fill some of it into another container"),
    Action("shelf.discard", "d", "Discard", "Throw the selected bottle away", commands=("bottle discard",)),
    Action("shelf.mix", "x", "Mix", "Take this paint to the Bench"),
    Action("shelf.freeze", "f", "Froze", "Note that the selected bottle froze", shown=False),
    Action(
        "shelf.container",
        "k",
        "Made of",
        "Note what the selected bottle is made of",
        shown=False,
        commands=("bottle change --container",),
    ),
    Action("shelf.record", "p", "Record", "The record of its product, with its sheets"),
    Action("shelf.find", "slash", "Find", "Find by a few letters of paint, place or label", display="/"),
    Action("shelf.group", "g", "Group", "Group the bottles by role, line or place"),
    Action("shelf.view", "v", "List", "Bottles or a list"),
    Action("shelf.empties", "e", "Empties", "Show or hide empty and discarded bottles", shown=False),
    Action("shelf.labels", "l", "Labels", "Labels with a QR code, to print", shown=False),
    Action("bench.book", "f8,b", "Book it", "Book this mix (b outside the fields)", display="F8"),
    Action("bench.another", "f7,a", "+ paint", "One more paint (a outside the fields)", display="F7"),
    Action("bench.jar", "f9,j", "Jar", "Take what is left of this colour in a jar", display="F9"),
    Action("bench.area", "f10,e", "Area", "How much for an area (e outside the fields)", display="F10"),
    Action(
        "bench.pour", "ctrl+g,k", "Weigh it", "Pour this mix by weight (k outside the fields)", display="^G"
    ),
    Action("bench.wash", "w", "Wash", "Book a wash-out of the mix in hand, with its usual amount"),
    Action("bench.next", "x", "Next", "Fill in the next mix that a job needs"),
    Action("bench.clear", "n", "New", "Empty the form"),
    Action("bench.fields", "i", "Fields", "Back into the form", shown=False),
    Action("open_mix.add", "s", "Step", "Add the advised step of reducer, as the page says"),
    Action("open_mix.good", "g", "Good", "It sprays right: close it as good"),
    Action("open_mix.close", "c", "Close", "Close it with outcome, rest, settings, words"),
    Action("open_mix.back", "p", "Too thin", "Add the paint that brings it back"),
    Action("open_mix.tint", "t", "Tint", "Add a colour, an additive, or more of its own paint"),
    Action("open_mix.other_step", "S", "Other step", "Drops, another size or reducer, or after spraying"),
    Action("open_mix.board", "l", "Large", "This mix in large print, to read from the booth"),
    Action(
        "open_mix.cup",
        "v",
        "Cup",
        "Note a flow cup's time",
        shown=False,
        commands=("viscosity --target-for",),
    ),
    Action("open_mix.recipe", "r", "Recipe", "Keep this mix as a recipe", shown=False),
    Action("open_mix.undo", "u", "Undo", "Take the whole mix back"),
    Action("forecast.order", "o", "Order", "Everything due from this supplier becomes one order"),
    Action(
        "forecast.incoming",
        "i",
        "On order",
        "What is on order: receive what came, cancel the rest",
        commands=("order list",),
    ),
    Action("forecast.plans", "p", "Plans", "Known needs of jobs: new, changed, dropped"),
    Action("forecast.use_more", "plus", "Use", "What if 10 % more were used", display="+/-", does="use(1)"),
    Action("forecast.use_less", "minus", "Less", "What if 10 % less were used", shown=False, does="use(-1)"),
    Action("forecast.later", "l", "Later", "What if deliveries took longer"),
    Action("forecast.service", "s", "Sure", "How sure to be that nothing runs dry: 90, 95 or 99 %"),
    Action("forecast.bottle", "b", "Bottle", "What if there were one bottle more of each"),
    Action("forecast.as_it_is", "0", "As it is", "Forecast without the what-ifs"),
    Action("forecast.mix", "x", "Mix", "Take this paint to the Bench"),
    Action("forecast.look_back", "v", "Look back", "How past forecasts compare with what happened"),
    Action("on_order.receive", "r", "Receive", "What came of the selected order goes on the shelf"),
    Action("on_order.cancel", "c", "Cancel", "What has not come of it will not come"),
    Action("on_order.everything", "a", "Past ones, too", "Show past orders, too, or only open ones"),
    Action("plans.new", "n", "New", "A job's known need of a product, on a day"),
    Action("plans.change", "enter,c", "Change", "Change the selected need", display="c"),
    Action("plans.drop", "d", "Drop", "The selected need is dropped"),
    Action(
        "cautions.move",
        "m",
        "Move",
        "Put its bottle somewhere else, or see what to move where",
        of_finding=("bottle move",),
    ),
    Action("cautions.discard", "d", "Discard", "Throw its bottle away", of_finding=("bottle discard",)),
    Action(
        "cautions.note",
        "f",
        "Fill in",
        "Open the record at what nobody has noted",
        of_finding=("product change", "place change"),
    ),
    Action("cautions.mix", "x", "Mix", "Take it to the Bench and use it up"),
    Action("cautions.shelf", "s", "Bottle", "See its bottle on the Shelf"),
    Action(
        "cautions.carry",
        "w",
        "All moves",
        "What to move where so that every place is right",
        commands=("cautions --moves",),
    ),
    Action("cautions.opened", "o", "Opened", "Note the day its bottle was opened"),
    Action(
        "cautions.tested",
        "t",
        "Tested",
        "Its bottle was tested on a card and is good",
        commands=("bottle tested",),
    ),
    Action("cautions.record", "p", "Record", "The record of its product or place"),
    Action("cautions.notes", "n", "Notes", "Show or hide what is only worth noting"),
    Action("cautions.silence", "z", "Silence", "Stop showing this rule, with a reason"),
    Action("cautions.tighten", "h", "Stricter", "Make this rule stricter, with a reason", shown=False),
    Action("cautions.choices", "y", "Rules", "What was silenced or tightened here, and how to restore it"),
    Action("rules.restore", "r", "As shipped", "The selected rule is as it was made"),
    Action(
        "logbook.undo", "u", "Undo", "Take this entry back by a reversal", commands=("undo",), on_what=True
    ),
    Action("logbook.mix", "x", "Mix again", "Take this mix to the Bench"),
    Action("logbook.narrow", "f", "Show only", "Only a product, bottle, lot, job, kind, some days"),
    Action("logbook.kind", "k", "Kind", "Only mixes, washes, deliveries ..."),
    Action(
        "logbook.reports",
        "r",
        "Figures",
        "Value, purchases, costs, emissions, invoices, closing: read, printed, as tables",
    ),
    Action("logbook.trace", "t", "Trace", "Where its bottle or lot went"),
    Action("logbook.books", "y", "Books", "Backups, export, taking files in, a copy, check"),
    Action("logbook.recipe", "n", "Recipe", "Keep this mix as a recipe"),
    Action("logbook.find", "slash", "Find", "Only what moved one product; or a bottle's label", display="/"),
    Action("logbook.shelf", "s", "Bottle", "See its bottle on the Shelf"),
    Action("books.back_up", "b", "Back up", "Make a backup now", anywhere="Back up", commands=("backup",)),
    Action(
        "books.put_back",
        "r",
        "Put back",
        "A backup takes the place of the books",
        anywhere="Put back",
        commands=("restore",),
    ),
    Action("books.write_out", "e", "Export", "The whole studio as CSV files", anywhere="Export"),
    Action(
        "books.take_in",
        "t",
        "Take in",
        "A spreadsheet or an exported folder",
        anywhere="Take in a spreadsheet",
    ),
    Action(
        "books.copy", "o", "Copy", "The whole studio to another file or a server", anywhere="Copy the studio"
    ),
    Action(
        "books.prove",
        "c",
        "Check",
        "Whether the books add up",
        anywhere="Check the books",
        commands=("check",),
    ),
    Action("books.undo", "u", "Undo", "Take back all that a file booked, or do it again"),
    Action("incoming.book", "b", "Book it", "Book what the file holds, whole"),
    Action("incoming.columns", "c", "Columns", "Say what each column means"),
    Action("incoming.mend", "e", "Mend", "Write the selected row's cells anew"),
    Action("incoming.take", "t", "Take row", "Read a row that was taken for a title or a total"),
    Action("incoming.good", "g", "Good rows", "Book the good rows, and write the others to a file to mend"),
    Action("proposed.sure", "a", "All that are sure", "Take every figure that is sure, or leave them"),
    Action("proposed.one", "space", "This one", "Take the selected figure, or leave it", display="Space"),
    Action("proposed.book", "b", "Book", "Book what is taken"),
    Action("reports.open", "enter", "Show", "Show these figures", display="Enter"),
    Action("reports.trace", "t", "Trace a lot", "Where a bottle or a lot went"),
    Action(
        "reports.invoices",
        "i",
        "Invoices",
        "Suppliers' invoices and the deliveries that they are for",
        anywhere="Invoices",
        commands=("invoice list",),
    ),
    Action(
        "reports.periods",
        "c",
        "Closed period",
        "Until when the books are closed: close a month, or open it again",
        anywhere="Close a month",
        commands=("period reopen",),
    ),
    Action("invoices.new", "n", "New", "Note an invoice"),
    Action("invoices.tie", "enter,t", "Deliveries", "Name the deliveries that it is for", display="t"),
    Action("invoices.remove", "d", "Remove", "Take back what was noted of it"),
    Action("periods.close", "c", "Close", "Close the books until the end of a month, or a day"),
    Action("periods.reopen", "o", "Open again", "Open them again, with a reason"),
    Action("report.page", "p", "Page to print", "Write a page to print"),
    Action("report.sheet", "v", "For a spreadsheet", "Write a file for a spreadsheet"),
    Action(
        "records.new",
        "n",
        "New",
        "Enter a new record",
        commands=(
            "product add",
            "place add",
            "job add",
            "recipe add",
            "supplier change",
            "substance add",
            "line add",
        ),
    ),
    Action(
        "records.correct",
        "e",
        "Correct",
        "Correct the selected record",
        commands=("product change", "place change"),
    ),
    Action(
        "records.sheets",
        "s",
        "Sheets",
        "The data sheets of this product",
        commands=("sheet add", "sheet correct", "sheet list"),
    ),
    Action(
        "records.read",
        "r",
        "Read a sheet",
        "Read figures from a data sheet's file",
    ),
    Action("records.discontinue", "d", "Discontinue", "It is no longer made, or is made after all"),
    Action(
        "records.close", "d", "Close", "Close this job, or open it again", commands=("job change --open",)
    ),
    Action("records.bottles", "b", "Bottles", "Its bottles on the Shelf"),
    Action("records.mix", "x", "Mix", "Take it to the Bench"),
    Action("records.like", "l", "Like it", "A new product like this one"),
    Action("records.mark", "space", "Mark", "Mark several, then correct a field of all", display="Space"),
    Action("records.fill", "f", "Fill", "Many products of this line, a name a row"),
    Action(
        "records.delete",
        "delete",
        "Delete",
        "Delete a product entered by mistake and never used, or your own substance",
        shown=False,
        display="Del",
    ),
    Action("records.find", "slash", "Find", "Find by a few letters", display="/"),
)
"""In the order of the keys in their strip."""
SHEETS = {"books": "logbook", "reports": "logbook"}
"""Sheets whose actions the palette finds from anywhere, and the screen whose action of the same name opens them."""
PAGES = {"open_mix": ("bench", "an open mix")}
"""What else holds actions: the screen that it is a part of, and its name for a person."""
FIELDS = {
    "bottle": "or bottle",
    "encoding": "Encoding",
    "from": "Bottles",
    "head": "Heads in row",
    "left": "Left over",
    "level": "or level",
    "lot": "Lot",
    "make": "New names",
    "reason": "Because",
    "reduce": "Reduction",
    "role": "New role",
    "sheet": "Sheet",
    "supplier": "From",
    "tax": "Tax rate",
    "tare": "Empty weight",
    "total": "Total",
    "weight": "or weight",
    "with": "Reducer",
}
"""Options that a remedy may name, and the field of a form that is filled in instead."""


def of(holder: str) -> Iterator[Action]:
    """The actions of a screen or a sheet."""
    return (action for action in ACTIONS if action.holder == holder)
