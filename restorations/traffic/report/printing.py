"""The report as plain data for the typesetter: the same words and numbers as the page."""

from datetime import date
from typing import Any

from restorations.traffic.report.counting import FEWEST_FOR_A_MEAN
from restorations.traffic.report.report import Report
from restorations.traffic.report.tables import percent


def printed(report: Report, *, club: str, by: str, today: date) -> dict[str, Any]:
    """Everything as text, table by table."""
    return {
        "club": club,
        "by": by,
        "on": day(today),
        "first": day(report.period.start),
        "last": day(report.period.last),
        "whole": _whole(report),
        "tables": [table for table in _tables(report) if table["rows"]],
    }


def _whole(report: Report) -> list[list[str]]:
    lines = [
        ["In traffic at the end", f"{len(report.in_traffic)} of {len(report.engines)} engines"],
        [
            "Availability by calendar",
            f"{in_percent(report.availability)}; {_many(report.days_lost, 'engine day')} lost",
        ],
        ["On running days", f"{in_percent(report.running_availability)}; {_many(report.running_days, 'running day')}"],
        ["Failures", f"{report.failures.count} began, {report.failures.restored} were put right"],
        ["Hours given", f"{report.hours:.1f}, by {report.people} people"],
    ]
    if report.failures.mean_days_to_restore is not None:
        lines.append(["Mean time to restore", f"{report.failures.mean_days_to_restore:.1f} days"])
    if report.failures.mean_days_up_between is not None:
        lines.append(["Mean time up between failures", f"{report.failures.mean_days_up_between:.1f} days"])
    else:
        lines.append(["Mean times", f"not given below {FEWEST_FOR_A_MEAN} failures"])
    return lines


def _many(number: int, words: str) -> str:
    return f"{number} {words}{'' if number == 1 else 's'}"


def _tables(report: Report) -> list[dict[str, Any]]:
    return [
        _table(
            "Engines",
            ["Engine", "State at the end", "Days lost", "Available", "Running days lost", "Failures", "Hours"],
            [
                [
                    str(line.engine), line.state.sentence, f"{line.lost.days} of {line.lost.of}",
                    in_percent(line.lost.fraction), f"{line.lost.running_days} of {line.lost.running_days_of}",
                    str(line.failures), f"{line.hours:.1f}",
                ]
                for line in report.engines
            ],
            numbers=5,
        ),
        _table(
            "Days lost by cause", ["Cause", "Days lost", "Engines"],
            [[line.words, str(line.days), str(line.engines)] for line in report.causes], numbers=2,
        ),
        _table(
            "The same again within a year", ["Engine", "What", "Times"],
            [[line.engine, line.words, str(line.times)] for line in report.repeated], numbers=1,
        ),
        _table(
            "Restorations, overhauls and repairs", ["Engine", "Job", "Cards done", "Hours spent", "Hours left"],
            [
                [
                    str(line.job.engine), str(line.job), f"{line.done} of {line.cards}", f"{line.hours_spent:.1f}",
                    f"{line.hours_left:.1f}",
                ]
                for line in report.restoring
            ],
            numbers=3,
        ),
        _table(
            "Incidents and near misses on running days", ["What", "Times", "Running days", "Somebody was hurt"],
            [[line.words, str(line.times), str(line.days), str(line.hurt)] for line in report.happened], numbers=3,
        ),
        _table(
            "Papers that lapse within 90 days of the end, or have lapsed", ["Engine", "Paper", "Good until", ""],
            [
                [
                    str(line.paper.engine), line.paper.get_kind_display(), day(line.paper.lapses_on), line.words,
                ]
                for line in report.papers
            ],
        ),
    ]  # fmt: skip


def _table(title: str, header: list[str], rows: list[list[str]], *, numbers: int = 0) -> dict[str, Any]:
    """The last so many columns are numbers, which stand to the right."""
    return {"title": title, "header": header, "rows": rows, "words": len(header) - numbers}


def day(on: date) -> str:
    return f"{on.day} {on:%b %Y}"


def in_percent(fraction: float | None) -> str:
    share = percent(fraction)
    return "none was" if share is None else f"{share} %"
