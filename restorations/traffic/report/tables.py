"""The report's numbers as one plain table: what, of what, how much; the page and the PDF show the same."""

from collections.abc import Iterator

from restorations.traffic.report.counting import FEWEST_FOR_A_MEAN
from restorations.traffic.report.report import EngineLine, Report

HEADER = ["Part of the report", "About", "What", "Value", "Unit or remark"]
Cell = str | int | float | None
Row = tuple[str, str, str, Cell, str]


def rows(report: Report) -> Iterator[Row]:
    """Every number of the report, in the order of the page."""
    yield from _whole(report)
    for line in report.engines:
        yield from _engine(line)
    for cause in report.causes:
        yield "Days lost by cause", cause.words, "days lost", cause.days, f"on {cause.engines} engines"
    for again in report.repeated:
        yield "Repeated faults", again.engine, again.words, again.times, "times in a year"
    for job in report.restoring:
        about = f"{job.job.engine}: {job.job}"
        yield "Restorations", about, "cards done", job.done, f"of {job.cards}"
        yield "Restorations", about, "hours spent", round(job.hours_spent, 1), "hours"
        yield "Restorations", about, "hours left", round(job.hours_left, 1), "most likely"
    for told in report.happened:
        yield "Incidents and near misses", told.words, "times", told.times, f"on {told.days} running days"
        yield "Incidents and near misses", told.words, "somebody was hurt", told.hurt, "times"
    for paper in report.papers:
        what = paper.paper.get_kind_display()
        yield "Papers due", str(paper.paper.engine), what, paper.paper.lapses_on.isoformat(), paper.words


def _whole(report: Report) -> Iterator[Row]:
    part, about = "The period", f"{report.period.start:%d %b %Y} to {report.period.last:%d %b %Y}"
    yield part, about, "engines", len(report.engines), ""
    yield part, about, "in traffic at its end", len(report.in_traffic), ""
    yield part, about, "out of service at its end", len(report.out_of_service), ""
    yield part, about, "days lost", report.days_lost, "days, each engine's counted once"
    yield part, about, "availability by calendar", percent(report.availability), "per cent"
    yield part, about, "running days", report.running_days, ""
    yield part, about, "availability on running days", percent(report.running_availability), "per cent"
    yield part, about, "failures", report.failures.count, ""
    yield from _means(report, part, about)
    yield part, about, "hours given", round(report.hours, 1), f"by {report.people} people"


def _means(report: Report, part: str, about: str) -> Iterator[Row]:
    few = f"not given below {FEWEST_FOR_A_MEAN} failures"
    for what, mean in (
        ("mean days to restore", report.failures.mean_days_to_restore),
        ("mean days up between failures", report.failures.mean_days_up_between),
    ):
        yield part, about, what, None if mean is None else round(mean, 1), few if mean is None else "days"


def _engine(line: EngineLine) -> Iterator[Row]:
    part, about = "Engines", str(line.engine)
    yield part, about, "state", line.state.words, line.state.detail
    yield part, about, "days lost", line.lost.days, f"of {line.lost.of}"
    yield part, about, "availability by calendar", percent(line.lost.fraction), "per cent"
    yield part, about, "running days lost", line.lost.running_days, f"of {line.lost.running_days_of}"
    yield part, about, "failures", line.failures, ""
    yield part, about, "hours given", round(line.hours, 1), "hours"


def percent(fraction: float | None) -> float | None:
    """One place: 83.0."""
    return None if fraction is None else round(100 * fraction, 1)
