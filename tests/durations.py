"""How long tests take: by the clock, and on the processor with the processes they start, room by room."""

import resource
import time
from collections import defaultdict
from collections.abc import Generator

import pytest

SINCE = pytest.StashKey[float]()


def _processor_s() -> float:
    """Seconds on the processor of this process and of those it started and waited for."""
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + ended.ru_utime + ended.ru_stime


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Begin to count with the test."""
    item.config.stash[SINCE] = _processor_s()
    return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Write on each report what its part of the test took on the processor."""
    report = yield
    now = _processor_s()
    report.processor_s = now - item.config.stash[SINCE]
    item.config.stash[SINCE] = now
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Seconds by room, most of the processor first."""
    rooms: dict[str, list[float]] = defaultdict(lambda: [0, 0.0, 0.0])
    for reports in terminalreporter.stats.values():
        for report in reports:
            if hasattr(report, "processor_s"):
                row = rooms["/".join(report.nodeid.split("::")[0].split("/")[:2])]
                row[0] += report.when == "call"
                row[1] += report.processor_s
                row[2] += report.duration
    if not rooms:
        return
    terminalreporter.section("seconds by room")
    rooms["together"] = [sum(row[column] for row in rooms.values()) for column in range(3)]
    terminalreporter.write_line(f"{'room':24}{'tests':>7}{'processor':>11}{'clock':>9}")
    for room, (tests, processor, clock) in sorted(rooms.items(), key=lambda item: -item[1][1]):
        terminalreporter.write_line(f"{room:24}{tests:7.0f}{processor:11.1f}{clock:9.1f}")
