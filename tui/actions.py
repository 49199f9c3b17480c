"""The registry of actions: what can be done on each screen and its sheets, each entered here, once.

The strip of keys, `?`, the palette and the README's table of keys are made of it.
"""

from collections.abc import Iterator

from stock.language import _
from tui.action import Action

ACTIONS = (
    Action(
        "app.settings",
        "comma",
        _("Settings"),
        _("The studio's settings"),
        shown=False,
        display=",",
        commands=("studio change", "training add", "training list"),
    ),
    Action("app.quit", "q", _("Quit"), _("Leave; everything booked is in the books"), shown=False),
    Action("any.help", "question_mark", _("Keys"), _("These words"), display="?"),
    Action("any.step_back", "escape", _("Leave the field"), "", shown=False, display=_("Esc")),
    Action("today.again", "m", _("Mix again"), _("Log the most usual mix again")),
    Action(
        "today.yesterdays",
        "y",
        _("Yesterday's"),
        _("Repeat a mix of yesterday, or of the last day before today"),
    ),
    Action("today.new_mix", "n", _("New mix"), _("To the Bench")),
    Action("today.receive", "r", _("Receive"), _("Put a delivery on the shelf")),
    Action("today.wash", "w", _("Wash"), _("Book a wash-out")),
    Action("today.act", "enter", _("Open"), _("Act on the selected line")),
    Action("shelf.receive", "r", _("Receive"), _("Put a delivery on the shelf"), commands=("receive",)),
    Action(
        "shelf.open", "o", _("Open"), _("Note that the selected bottle was opened"), commands=("bottle open",)
    ),
    Action(
        "shelf.count",
        "c",
        _("Count"),
        _("Measure the selected bottle; the books follow"),
        commands=("bottle count",),
    ),
    Action(
        "shelf.weigh",
        "w",
        _("Weigh"),
        _("Count bottles on the scale, one after the other"),
        commands=("product weigh",),
    ),
    Action(
        "shelf.spill",
        "s",
        _("Spill"),
        _("Book what was spilled from the selected bottle"),
        shown=False,
    ),
    Action(
        "shelf.move", "m", _("Move"), _("Put the selected bottle somewhere else"), commands=("bottle move",)
    ),
    Action("shelf.decant", "t", _("Decant"), _("Fill some of it into another container")),
    Action(
        "shelf.discard", "d", _("Discard"), _("Throw the selected bottle away"), commands=("bottle discard",)
    ),
    Action("shelf.mix", "x", _("Mix"), _("Take this paint to the Bench")),
    Action("shelf.freeze", "f", _("Froze"), _("Note that the selected bottle froze"), shown=False),
    Action(
        "shelf.facts",
        "k",
        _("Facts"),
        _("Note the selected bottle's label, days, container and owner"),
        shown=False,
        commands=("bottle change",),
    ),
    Action("shelf.record", "p", _("Record"), _("The record of its product, with its sheets")),
    Action(
        "shelf.find", "slash", _("Find"), _("Find by a few letters of paint, place or label"), display="/"
    ),
    Action("shelf.group", "g", _("Group"), _("Group the bottles by role, line or place")),
    Action("shelf.view", "v", _("List"), _("Bottles or a list")),
    Action("shelf.empties", "e", _("Empties"), _("Show or hide empty and discarded bottles"), shown=False),
    Action("shelf.labels", "l", _("Labels"), _("Labels with a QR code, to print"), shown=False),
    Action("bench.book", "f8,b", _("Book it"), _("Book this mix (b outside the fields)"), display="F8"),
    Action("bench.another", "f7,a", _("+ paint"), _("One more paint (a outside the fields)"), display="F7"),
    Action("bench.jar", "f9,j", _("Jar"), _("Take what is left of this colour in a jar"), display="F9"),
    Action("bench.area", "f10,e", _("Area"), _("How much for an area (e outside the fields)"), display="F10"),
    Action(
        "bench.pour",
        "ctrl+g,k",
        _("Weigh it"),
        _("Pour this mix by weight (k outside the fields)"),
        display="^G",
    ),
    Action("bench.wash", "w", _("Wash"), _("Book a wash-out of the mix in hand, with its usual amount")),
    Action("bench.next", "x", _("Next"), _("Fill in the next mix that a job needs")),
    Action("bench.clear", "n", _("New"), _("Empty the form")),
    Action("bench.fields", "i", _("Fields"), _("Back into the form"), shown=False),
    Action("open_mix.add", "s", _("Step"), _("Add the advised step of reducer, as the page says")),
    Action("open_mix.good", "g", _("Good"), _("It sprays right: close it as good")),
    Action("open_mix.close", "c", _("Close"), _("Close it with outcome, rest, settings, words")),
    Action("open_mix.back", "p", _("Too thin"), _("Add the paint that brings it back")),
    Action("open_mix.tint", "t", _("Tint"), _("Add a colour, an additive, or more of its own paint")),
    Action(
        "open_mix.other_step", "S", _("Other step"), _("Drops, another size or reducer, or after spraying")
    ),
    Action("open_mix.board", "l", _("Large"), _("This mix in large print, to read from the booth")),
    Action(
        "open_mix.cup",
        "v",
        _("Cup"),
        _("Note a flow cup's time"),
        shown=False,
        commands=("viscosity --target-for",),
    ),
    Action("open_mix.recipe", "r", _("Recipe"), _("Keep this mix as a recipe"), shown=False),
    Action("open_mix.undo", "u", _("Undo"), _("Take the whole mix back")),
    Action("forecast.order", "o", _("Order"), _("Everything due from this supplier becomes one order")),
    Action(
        "forecast.incoming",
        "i",
        _("On order"),
        _("What is on order: receive what came, cancel the rest"),
        commands=("order list",),
    ),
    Action("forecast.plans", "p", _("Plans"), _("Known needs of jobs: new, changed, dropped")),
    Action(
        "forecast.use_more", "plus", _("Use"), _("What if 10 % more were used"), display="+/-", does="use(1)"
    ),
    Action(
        "forecast.use_less", "minus", _("Less"), _("What if 10 % less were used"), shown=False, does="use(-1)"
    ),
    Action("forecast.later", "l", _("Later"), _("What if deliveries took longer")),
    Action("forecast.service", "s", _("Sure"), _("How sure to be that nothing runs dry: 90, 95 or 99 %")),
    Action("forecast.bottle", "b", _("Bottle"), _("What if there were one bottle more of each")),
    Action("forecast.as_it_is", "0", _("As it is"), _("Forecast without the what-ifs")),
    Action("forecast.mix", "x", _("Mix"), _("Take this paint to the Bench")),
    Action("forecast.look_back", "v", _("Look back"), _("How past forecasts compare with what happened")),
    Action("on_order.receive", "r", _("Receive"), _("What came of the selected order goes on the shelf")),
    Action("on_order.cancel", "c", _("Cancel"), _("What has not come of it will not come")),
    Action("on_order.everything", "a", _("Past ones, too"), _("Show past orders, too, or only open ones")),
    Action("plans.new", "n", _("New"), _("A job's known need of a product, on a day")),
    Action("plans.change", "enter,c", _("Change"), _("Change the selected need"), display="c"),
    Action("plans.drop", "d", _("Drop"), _("The selected need is dropped")),
    Action(
        "cautions.move",
        "m",
        _("Move"),
        _("Put its bottle somewhere else, or see what to move where"),
        of_finding=("bottle move",),
    ),
    Action("cautions.discard", "d", _("Discard"), _("Throw its bottle away"), of_finding=("bottle discard",)),
    Action(
        "cautions.note",
        "f",
        _("Fill in"),
        _("Open the record at what nobody has noted"),
        of_finding=("product change", "place change"),
    ),
    Action("cautions.mix", "x", _("Mix"), _("Take it to the Bench and use it up")),
    Action("cautions.shelf", "s", _("Bottle"), _("See its bottle on the Shelf")),
    Action(
        "cautions.carry",
        "w",
        _("All moves"),
        _("What to move where so that every place is right"),
        commands=("cautions --moves",),
    ),
    Action("cautions.opened", "o", _("Opened"), _("Note the day its bottle was opened")),
    Action(
        "cautions.tested",
        "t",
        _("Tested"),
        _("Its bottle was tested on a card and is good"),
        commands=("bottle tested",),
    ),
    Action("cautions.record", "p", _("Record"), _("The record of its product or place")),
    Action("cautions.notes", "n", _("Notes"), _("Show or hide what is only worth noting")),
    Action("cautions.silence", "z", _("Silence"), _("Stop showing this rule, with a reason")),
    Action("cautions.tighten", "h", _("Stricter"), _("Make this rule stricter, with a reason"), shown=False),
    Action(
        "cautions.choices", "y", _("Rules"), _("What was silenced or tightened here, and how to restore it")
    ),
    Action("rules.restore", "r", _("As shipped"), _("The selected rule is as it was made")),
    Action(
        "logbook.undo",
        "u",
        _("Undo"),
        _("Take this entry back by a reversal"),
        commands=("undo",),
        on_what=True,
    ),
    Action("logbook.mix", "x", _("Mix again"), _("Take this mix to the Bench")),
    Action("logbook.narrow", "f", _("Show only"), _("Only a product, bottle, lot, job, kind, some days")),
    Action("logbook.kind", "k", _("Kind"), _("Only mixes, washes, deliveries ...")),
    Action(
        "logbook.reports",
        "r",
        _("Figures"),
        _("Value, purchases, costs, emissions, invoices, closing: read, printed, as tables"),
    ),
    Action("logbook.trace", "t", _("Trace"), _("Where its bottle or lot went")),
    Action("logbook.books", "y", _("Books"), _("Backups, export, taking files in, a copy, check")),
    Action("logbook.recipe", "n", _("Recipe"), _("Keep this mix as a recipe")),
    Action(
        "logbook.find", "slash", _("Find"), _("Only what moved one product; or a bottle's label"), display="/"
    ),
    Action("logbook.shelf", "s", _("Bottle"), _("See its bottle on the Shelf")),
    Action(
        "books.back_up",
        "b",
        _("Back up"),
        _("Make a backup now"),
        anywhere=_("Back up"),
        commands=("backup",),
    ),
    Action(
        "books.put_back",
        "r",
        _("Put back"),
        _("A backup takes the place of the books"),
        anywhere=_("Put back"),
        commands=("restore",),
    ),
    Action("books.write_out", "e", _("Export"), _("The whole studio as CSV files"), anywhere=_("Export")),
    Action(
        "books.take_in",
        "t",
        _("Take in"),
        _("A spreadsheet or an exported folder"),
        anywhere=_("Take in a spreadsheet"),
    ),
    Action(
        "books.copy",
        "o",
        _("Copy"),
        _("The whole studio to another file or a server"),
        anywhere=_("Copy the studio"),
    ),
    Action(
        "books.prove",
        "c",
        _("Check"),
        _("Whether the books add up"),
        anywhere=_("Check the books"),
        commands=("check",),
    ),
    Action("books.undo", "u", _("Undo"), _("Take back all that a file booked, or do it again")),
    Action("incoming.book", "b", _("Book it"), _("Book what the file holds, whole")),
    Action("incoming.columns", "c", _("Columns"), _("Say what each column means")),
    Action("incoming.mend", "e", _("Mend"), _("Write the selected row's cells anew")),
    Action("incoming.take", "t", _("Take row"), _("Read a row that was taken for a title or a total")),
    Action(
        "incoming.good", "g", _("Good rows"), _("Book the good rows, and write the others to a file to mend")
    ),
    Action("proposed.sure", "a", _("All that are sure"), _("Take every figure that is sure, or leave them")),
    Action(
        "proposed.one", "space", _("This one"), _("Take the selected figure, or leave it"), display=_("Space")
    ),
    Action("proposed.book", "b", _("Book"), _("Book what is taken")),
    Action(
        "sheet-folder.one",
        "enter",
        _("Open"),
        _("Take the figures of this file one by one"),
        display=_("Enter"),
    ),
    Action("sheet-folder.book", "b", _("Book"), _("Book what is sure of all files")),
    Action("reports.open", "enter", _("Show"), _("Show these figures"), display=_("Enter")),
    Action("reports.trace", "t", _("Trace a lot"), _("Where a bottle or a lot went")),
    Action(
        "reports.invoices",
        "i",
        _("Invoices"),
        _("Suppliers' invoices and the deliveries that they are for"),
        anywhere=_("Invoices"),
        commands=("invoice list",),
    ),
    Action(
        "reports.periods",
        "c",
        _("Closed period"),
        _("Until when the books are closed: close a month, or open it again"),
        anywhere=_("Close a month"),
        commands=("period reopen",),
    ),
    Action("invoices.new", "n", _("New"), _("Note an invoice")),
    Action("invoices.tie", "enter,t", _("Deliveries"), _("Name the deliveries that it is for"), display="t"),
    Action("invoices.remove", "d", _("Remove"), _("Take back what was noted of it")),
    Action("periods.close", "c", _("Close"), _("Close the books until the end of a month, or a day")),
    Action("periods.reopen", "o", _("Open again"), _("Open them again, with a reason")),
    Action("report.page", "p", _("Page to print"), _("Write a page to print")),
    Action("report.sheet", "v", _("For a spreadsheet"), _("Write a file for a spreadsheet")),
    Action(
        "records.new",
        "n",
        _("New"),
        _("Enter a new record"),
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
        _("Correct"),
        _("Correct the selected record"),
        commands=("product change", "place change"),
    ),
    Action(
        "records.sheets",
        "s",
        _("Sheets"),
        _("The data sheets of this product"),
        commands=("sheet add", "sheet correct", "sheet list"),
    ),
    Action(
        "records.read",
        "r",
        _("Read a sheet"),
        _("Read figures from a data sheet's file, or from a folder of them"),
        commands=("sheet read",),
    ),
    Action("records.discontinue", "d", _("Discontinue"), _("It is no longer made, or is made after all")),
    Action(
        "records.close",
        "d",
        _("Close"),
        _("Close this job, or open it again"),
        commands=("job change --open",),
    ),
    Action("records.bottles", "b", _("Bottles"), _("Its bottles on the Shelf")),
    Action("records.mix", "x", _("Mix"), _("Take it to the Bench")),
    Action("records.like", "l", _("Like it"), _("A new product like this one")),
    Action(
        "records.mark", "space", _("Mark"), _("Mark several, then correct a field of all"), display=_("Space")
    ),
    Action("records.fill", "f", _("Fill"), _("Many products of this line, a name a row")),
    Action(
        "records.delete",
        "delete",
        _("Delete"),
        _("Delete a product entered by mistake and never used, or your own substance"),
        shown=False,
        display=_("Del"),
    ),
    Action("records.find", "slash", _("Find"), _("Find by a few letters"), display="/"),
)
"""In the order of the keys in their strip."""
SHEETS = {"books": "logbook", "reports": "logbook"}
"""Sheets whose actions the palette lists everywhere, and the screen whose action of the same name opens them."""
PAGES = {"open_mix": ("bench", _("an open mix"))}
"""Other holders of actions: the screen that each is a part of, and its name for a person."""


def of(holder: str) -> Iterator[Action]:
    """The actions of a screen or a sheet."""
    return (action for action in ACTIONS if action.holder == holder)
