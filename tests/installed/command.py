"""The installed `ullage` command, run as a process in an empty folder by somebody who has no other environment."""

import json
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

PATIENCE_S = 300


@dataclass(frozen=True)
class Ullage:
    """One person's command.

    Args:
        command: the installed script.
        folder: where the person stands; everything that is written must land in it.
        studio: the address of the books, a file or a server's URL.
    """

    command: Path
    folder: Path
    studio: str

    @property
    def environment(self) -> dict[str, str]:
        """What the process is told, with nothing of the environment that the tests run in."""
        return {
            "PATH": os.defpath,
            "HOME": str(self.folder),
            "LANG": "C.UTF-8",
            "TERM": "xterm-256color",
            "ULLAGE_STUDIO": self.studio,
        }

    def at(self, studio: str) -> "Ullage":
        """The same person at other books."""
        return Ullage(self.command, self.folder, studio)

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a line, whatever comes of it; a traceback is never shown."""
        done = subprocess.run(
            [self.command, *words], cwd=self.folder, env=self.environment, stdin=subprocess.DEVNULL,
            capture_output=True, encoding="utf-8", timeout=PATIENCE_S,
        )  # fmt: skip
        assert "Traceback" not in done.stderr, (words, done.stderr)
        return done

    def says(self, *words: str) -> str:
        """What a line prints that must succeed."""
        done = self.run(*words)
        assert (done.returncode, done.stderr) == (0, ""), (words, done.returncode, done.stderr)
        return done.stdout

    def tells(self, *words: str) -> Any:
        """The JSON answer of a line that must succeed."""
        return json.loads(self.says(*words, "--json"))

    def refuses(self, *words: str, status: int = 2) -> str:
        """The one sentence by which a line is refused; nothing is printed beside it."""
        done = self.run(*words)
        assert (done.returncode, done.stdout) == (status, ""), (words, done)
        assert done.stderr.startswith("ullage: "), (words, done.stderr)
        assert done.stderr.count("\n") == 1, (words, done.stderr)
        return done.stderr
