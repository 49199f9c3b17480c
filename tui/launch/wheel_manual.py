"""The manual page inside the wheel: made from the parsers while the wheel is built, so that it is never out of date."""

import os
import subprocess
import sys
from pathlib import Path

from setuptools.command.build_py import build_py  # type: ignore[import-untyped] # only where a wheel is built

FOLDER = "share/man/man1"


class BuildWithManual(build_py):  # type: ignore[misc] # setuptools has no types
    """Builds the packages, and the page that `man ullage` finds where the wheel is installed."""

    def run(self) -> None:
        """Build, then write the page and have it installed."""
        super().run()
        if self.editable_mode:
            return
        page = Path(self.build_lib).parent / "ullage.1"
        # A process of its own, for the language of messages is chosen as they are imported. With both variables
        # it needs nothing that isn't installed where a wheel is built.
        made = subprocess.run(
            [
                sys.executable,
                "-c",
                "import sys; from stock.cli.main import main; sys.exit(main(['help', '--man']))",
            ],
            capture_output=True,
            check=True,
            env={
                **os.environ,
                "ULLAGE_LANGUAGE": "en",
                "ULLAGE_STUDIO": "studio.ullage",
                "PYTHONPATH": os.getcwd(),
            },
        )
        page.write_bytes(made.stdout)
        self.distribution.data_files = [(FOLDER, [str(page)])]
