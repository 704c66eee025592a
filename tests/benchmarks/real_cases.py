"""Prints how published repairs fare: `python -m tests.benchmarks.real_cases`."""

from tests.external.real_cases import Outcome, judge, read_cases


def main() -> None:
    cases = read_cases("motion")
    told = [case for case in cases if case.symptoms]
    outcomes = [judge(case) for case in told]
    print("case   ranks of the confirmed causes (among those not confirmed)   advised checks to be first")
    for outcome in outcomes:
        print(f"{outcome.case.id:6} {outcome.ranks!s:58} {'never' if outcome.checks is None else outcome.checks}")
    for case in cases:
        if not case.symptoms:
            print(f"{case.id:6} left out: nothing had been noticed before the cause was found")
    print()
    _summary("leading confirmed cause of each case", [min(outcome.ranks) for outcome in outcomes])
    _summary("every confirmed cause", [rank for outcome in outcomes for rank in outcome.ranks])
    _checks(outcomes)


def _summary(words: str, ranks: list[int]) -> None:
    counts = {limit: sum(rank <= limit for rank in ranks) for limit in (1, 3, 5)}
    shares = [f"{n} of {len(ranks)} ({n / len(ranks):.0%}) in the first {limit}" for limit, n in counts.items()]
    print(f"{words}: {', '.join(shares)}")


def _checks(outcomes: list[Outcome]) -> None:
    counts = [outcome.checks for outcome in outcomes]
    within = sum(count is not None and count <= 4 for count in counts)
    print(f"first after at most 4 advised checks: {within} of {len(counts)} ({within / len(counts):.0%})")


if __name__ == "__main__":
    main()
