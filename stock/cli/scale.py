"""`ullage scale`: the weight on the scale, and the lines that it sends."""

import time
from fractions import Fraction
from typing import Any

from stock.cli.frame import Context, Result, command
from stock.errors import BadInput, UllageError
from stock.grammar import in_full
from stock.language import _
from stock.remedies import Do, Option, Remedy


def register(commands: Any) -> None:
    """Add the parser."""
    scale = command(commands, "scale", weigh, _("show the weight on the scale, or what the scale sends"))
    add_port(scale)
    scale.add_argument(
        "--try", dest="trial", action="store_true", help=_("show each line as it comes, until Ctrl-C")
    )
    scale.add_argument("--for", dest="seconds", metavar="TIME", help=_("listen for so long at most, as 5s"))


def add_port(parser: Any) -> None:
    """Add the option that names a scale to the parser of a command that weighs."""
    parser.add_argument(
        "--scale",
        metavar="PORT",
        help=_("as /dev/ttyUSB0, COM3,2400,7e1 or hid; this bench's own if left out"),
    )


def weigh(args: Any, context: Context) -> Result:
    """`ullage scale`."""
    from stock.scale import waiting  # only where a scale is asked for
    from stock.units import from_thousandths, show_mass

    port = named_port(args.scale)
    seconds = waiting.read_seconds(args.seconds) if args.seconds is not None else None
    if args.trial:
        return _try(port, seconds, as_json=context.json)
    weight = waiting.weight_on(port, seconds or waiting.USUAL_S)
    answer = {
        "mass_g": from_thousandths(weight.mass_mg),
        "resolution_g": from_thousandths(weight.resolution_mg),
        "scale": port.path or "hid",
    }
    return Result(answer, [show_mass(weight.mass_mg)])


def named_port(given: str | None) -> Any:
    """The port of the scale: the one given to the command, or this bench's own.

    Raises:
        BadInput: neither is set, or the text is no port.
    """
    from stock.scale import setting  # only where a scale is asked for

    port = setting.port_of_bench(given)
    if port is None:
        raise BadInput(
            _("no scale is set on this bench"),
            remedy=Remedy(
                _("Name its port "),
                Option("scale"),
                _(", or keep it: "),
                Do("config set", "scale", "/dev/ttyUSB0"),
            ),
        )
    return port


def on_the_scale(given: str | None) -> Any:
    """The weight that stands still on the scale: the one given to the command, or this bench's own.

    Raises:
        BadInput: no scale is set, or its weight is negative.
        UllageError: it can't be read, or the weight doesn't stand still.
    """
    from stock.scale.waiting import weight_on  # only where a scale is asked for

    standing_weight = weight_on(named_port(given))
    if standing_weight.mass_mg < 0:
        raise BadInput(_("the scale shows less than nothing"), remedy=_("Empty it, zero it, and weigh again"))
    return standing_weight


def add_weigh(verbs: Any) -> None:
    """Add `product weigh`, which learns a density, to the verbs of `product`."""
    parser = command(verbs, "weigh", weigh_product, _("learn a density: weigh a measured volume"))
    parser.add_argument("name")
    parser.add_argument("volume", help=_("what was measured out, as 10ml"))
    parser.add_argument(
        "--weight", help=_("what the scale shows with it, as 10.52g; read from the scale if left out")
    )
    parser.add_argument("--tare", help=_("the empty cup's weight, as 2.1g; nothing if left out"))
    parser.add_argument(
        "--within", help=_("how wrong the volume may be, as 0.1ml; a syringe's 5%% if left out")
    )
    add_port(parser)


def weigh_product(args: Any, context: Context) -> Result:
    """`ullage product weigh`."""
    from stock import units  # only where a scale is asked for
    from stock.bench import weighing, weighings
    from stock.cli.shelf import volume

    context.open()
    volume_ul = volume(args.volume)
    tare_mg = (
        units.mass(args.tare, zero=True, what=_("tare")) if args.tare is not None else units.Milligrams(0)
    )
    limit_ul = volume(args.within) if args.within is not None else None
    resolution_mg = weighing.SCALE_MG
    if args.weight is not None:
        gross_mg = units.mass(args.weight)
    else:
        standing_weight = on_the_scale(args.scale)
        gross_mg, resolution_mg = standing_weight.mass_mg, standing_weight.resolution_mg
    answer = weighings.teach_density(
        args.name, gross_mg, tare_mg, volume_ul, resolution_mg=resolution_mg, limit_ul=limit_ul
    )
    return Result(answer, [weighings.density_words(answer)])


def _try(port: Any, seconds: float | None, *, as_json: bool) -> Result:
    """Show what a scale sends until the time is over or Ctrl-C is pressed, and sum it up."""
    from stock.scale.trial import Trial  # only for this

    trial = Trial(port)
    begun_s = time.monotonic()
    try:
        for line in trial.lines(seconds):
            if not as_json:
                from stock.cli.streams import write_now

                write_now(line)
    except KeyboardInterrupt:
        pass
    except OSError as error:
        raise UllageError(
            _("the lines can't be written ({strerror})", strerror=error.strerror), code="answer-lost"
        ) from error
    finally:
        trial.close()
    lasted_s = in_full(Fraction(round((time.monotonic() - begun_s) * 10), 10))
    return Result(
        trial.as_json(),
        [_("Listened for {lasted_s} s: {words}", lasted_s=lasted_s, words=trial.words)],
        0 if trial.weights else 1,
    )
