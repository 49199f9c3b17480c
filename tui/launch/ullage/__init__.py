"""Ullage under its own name: what the command `ullage` and `python -m ullage` start.

The packages of the program have common names, `stock` and `tui`. A package of such a name that stands earlier on the
path (in PYTHONPATH, or in the folder of a script) must not be taken for ours, so the folder that ours stand in comes
first while this process runs.
"""

import os
import sys

_BESIDE = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))
"""The folder that this package stands in: site-packages, or `tui/launch` in a checkout."""


def at_home() -> None:
    """Let `stock` and `tui` be found beside this package in an installed program, and at the top of a checkout."""
    in_checkout = os.path.basename(_BESIDE) == "launch"
    sys.path.insert(0, os.path.dirname(os.path.dirname(_BESIDE)) if in_checkout else _BESIDE)


def main() -> int:
    """Run one command, or open the dashboard; returns the exit status."""
    at_home()
    from tui.__main__ import main as run

    return run()
