"""The installed `ullage` command, run as a process in an empty folder by somebody who has no other environment."""

import json
import os
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

PATIENCE_S = 300
LOADED = """
import gc, importlib, json, os, pkgutil, sys
import ullage
ullage.at_home()
if sys.argv.pop() == "ours":
    import stock, tui.__main__
    for module in pkgutil.walk_packages(stock.__path__, "stock."):
        try:
            importlib.import_module(module.name)
        except ModuleNotFoundError:
            pass  # what an extra brings
else:
    import argcomplete, numpy, peewee, platformdirs
gc.freeze()  # what is loaded stays one with the parent's
for request in sys.stdin:
    line = json.loads(request)
    child = os.fork()
    if not child:
        os.chdir(line["folder"])
        os.environ.clear()
        os.environ.update(line["environment"])
        for stream, path in ((1, line["out"]), (2, line["err"])):
            os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), stream)
        sys.stdin = open(os.devnull)
        sys.argv[1:] = line["words"]
        try:
            status = ullage.main()
        except SystemExit as end:
            status = end.code or 0
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)  # taking all that is loaded apart costs more than most lines
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


class Loaded:
    """The installed program, or only what it stands on, loaded once in a process from which each line is forked.

    What a line does, prints and leaves behind is that of a whole process; only its start isn't tried.
    """

    def __init__(self, process: "subprocess.Popen[str]", folder: Path) -> None:
        self.process = process
        self.out, self.err = folder / "out", folder / "err"

    def run(
        self, words: tuple[str, ...], folder: Path, environment: Mapping[str, str]
    ) -> subprocess.CompletedProcess[str]:
        """Run a line as a process that has the program loaded."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        request = {
            "words": words, "folder": str(folder), "environment": dict(environment),
            "out": str(self.out), "err": str(self.err),
        }  # fmt: skip
        print(json.dumps(request), file=self.process.stdin, flush=True)
        status = self.process.stdout.readline()
        assert status, "the loaded program is gone"
        said = (path.read_text(encoding="utf-8") for path in (self.out, self.err))
        return subprocess.CompletedProcess(words, int(status), *said)


@contextmanager
def loaded(command: Path, folder: Path, *, ours: bool = True) -> Iterator[Loaded]:
    """The program of an installed command, loaded until the block is left.

    Args:
        folder: where it keeps what a line prints until that is read.
        ours: load all our modules; otherwise each line loads those that it needs, and finds them or fails.
    """
    folder.mkdir(exist_ok=True)
    line = [command.with_name("python"), "-I", "-c", LOADED, "ours" if ours else "others"]
    with subprocess.Popen(
        line, cwd=folder, env={"PATH": os.defpath, "LANG": "C.UTF-8"},
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        yield Loaded(process, folder)


@dataclass(frozen=True)
class Ullage:
    """One person's command.

    Args:
        command: the installed script.
        folder: where the person stands; everything that is written must land in it.
        studio: the address of the books, a file or a server's URL.
        loaded: runs each line, without it each is a whole process.
        first: runs the first line of each command, in which nothing of ours is loaded yet.
        started: the commands of which a line has been run.
    """

    command: Path
    folder: Path
    studio: str
    loaded: Loaded | None = None
    first: Loaded | None = None
    started: set[str] = field(default_factory=set)

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
        return replace(self, studio=studio)

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a line, whatever comes of it; a traceback is never shown."""
        program = self.loaded
        if self.first is not None and words[0] not in self.started:
            self.started.add(words[0])
            program = self.first
        if program is not None:
            done = program.run(words, self.folder, self.environment)
        else:
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
