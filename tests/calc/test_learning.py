"""Learning base rates: what a closed sheet says, and what many of them come to."""

from itertools import permutations
from math import exp, nextafter

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from restorations.calc.diagnosis import (
    CausalModel,
    Event,
    Inspected,
    InvalidHistory,
    Observed,
    Remedied,
    posterior,
    posterior_by_enumeration,
)
from restorations.calc.diagnosis import plan as planning
from restorations.calc.diagnosis.learning import (
    MOST_RATE,
    ClosedSheet,
    Confirmation,
    LearnedRate,
    SheetEvidence,
    evidence_of_sheet,
    evidence_of_sheets,
    learned_rates,
    rate_in_words,
)
from restorations.calc.errors import OutOfRange
from tests.calc.diagnosis_cases import stiff, stiff_wheels

SEEN, CURED, INFERRED = Confirmation.SEEN, Confirmation.CURED, Confirmation.INFERRED
COMPLAINT = [stiff(1)]
# Fresh: the wheels may have come free of themselves, so that what was wrong stays in doubt.
CURED_LEFT = [*COMPLAINT, Remedied("left", 0.8), stiff(0, fresh=True)]


def sheet(at_start: float, complaint_alone: float, cause: str = "gum") -> SheetEvidence:
    return SheetEvidence({cause: at_start}, {cause: complaint_alone})


@pytest.mark.parametrize(("how", "sensitivity", "false_alarm"), [(SEEN, 0.98, 0.005), (CURED, 0.9, 0.05)])
def test_a_confirmed_cause_enters_as_an_inspection_before_anything_was_done(
    how: Confirmation, sensitivity: float, false_alarm: float
) -> None:
    found = evidence_of_sheet(stiff_wheels(), CURED_LEFT, COMPLAINT, {"left": how})
    inspected = [Inspected("left", True, sensitivity, false_alarm), *CURED_LEFT]
    assert found.at_start == pytest.approx(posterior_by_enumeration(stiff_wheels(), inspected).at_start, abs=1e-12)
    alone = posterior_by_enumeration(stiff_wheels(), COMPLAINT).at_start
    assert found.complaint_alone == pytest.approx(alone, abs=1e-12)


def test_what_was_inferred_adds_nothing_to_what_it_was_inferred_from() -> None:
    inferred = evidence_of_sheet(stiff_wheels(), CURED_LEFT, COMPLAINT, {"left": INFERRED})
    assert inferred == evidence_of_sheet(stiff_wheels(), CURED_LEFT, COMPLAINT, {})


def test_a_cause_seen_and_since_cured_counts_as_there_at_the_start() -> None:
    found = evidence_of_sheet(stiff_wheels(), CURED_LEFT, COMPLAINT, {"left": SEEN})
    assert found.at_start["left"] > 0.99
    assert posterior(stiff_wheels(), CURED_LEFT).at_start["left"] < 0.7


def test_a_cause_found_by_the_way_counts_although_the_complaint_does_not_speak_of_it() -> None:
    model = stiff_wheels().to_mapping()
    model["causes"]["rust"] = 0.1
    found = evidence_of_sheet(CausalModel.from_mapping(model), COMPLAINT, COMPLAINT, {"rust": SEEN})
    assert found.complaint_alone["rust"] == pytest.approx(0.1, rel=1e-12)
    assert found.at_start["rust"] == pytest.approx(0.1 * 0.98 / (0.1 * 0.98 + 0.9 * 0.005), rel=1e-12)


@pytest.mark.parametrize(
    ("complaint", "confirmed", "said"),
    [
        ([stiff(2)], {}, "stiff seen at level 2, which is not on the sheet"),
        (COMPLAINT, {"boiler": SEEN}, "'boiler' is not a cause"),
        (COMPLAINT, {"left": "glanced at"}, "'left' was confirmed as 'glanced at'; expected one of seen, cured"),
    ],
)
def test_what_does_not_fit_the_sheet_is_named(complaint: list[Event], confirmed: dict[str, Confirmation], said: str):
    with pytest.raises(InvalidHistory, match=said):
        evidence_of_sheet(stiff_wheels(), COMPLAINT, complaint, confirmed)


def test_confirmations_may_come_as_the_plain_words_a_table_keeps() -> None:
    plain = evidence_of_sheet(stiff_wheels(), COMPLAINT, COMPLAINT, {"left": "seen"})  # type: ignore[dict-item]
    assert plain == evidence_of_sheet(stiff_wheels(), COMPLAINT, COMPLAINT, {"left": SEEN})


def every_sheet(history: list[Event]) -> list[tuple[list[Event], dict[str, Confirmation]]]:
    """All ways in which the work can go from here, where the first suspect is looked for until one is seen.

    One seen is confirmed; one not seen stays on the sheet as an examination.
    """
    now = posterior(stiff_wheels(), history).now
    looked = {event.cause for event in history if isinstance(event, Inspected)}
    left = sorted((cause for cause in now if cause not in looked), key=lambda cause: -now[cause])
    if not left or max(now.values()) < 0.3:
        return [(history, {})]
    missed = Inspected(left[0], False, 0.98, 0.005)
    return [(history, {left[0]: SEEN}), *every_sheet([*history, missed])]


def test_where_the_rates_are_right_sheets_find_on_average_what_their_complaints_made_likely() -> None:
    """The law of total expectation, summed over everything that can be seen: no bias from where members look."""
    model, total, found = stiff_wheels(), 0.0, dict.fromkeys(stiff_wheels().causes, 0.0)
    sheets = every_sheet(list(COMPLAINT))
    for history, confirmed in sheets:
        seen = [Inspected(cause, True, 0.98, 0.005) for cause in confirmed]
        chance = exp(posterior(model, [*seen, *history]).log_evidence - posterior(model, COMPLAINT).log_evidence)
        evidence = evidence_of_sheet(model, history, COMPLAINT, confirmed)
        total += chance
        for cause, p in evidence.at_start.items():
            found[cause] += chance * p
    assert len(sheets) > 2
    assert total == pytest.approx(1.0, rel=1e-12)
    assert found == pytest.approx(evidence.complaint_alone, rel=1e-12)


def test_a_sheet_that_cannot_be_used_is_left_out_and_named_and_stops_none_of_the_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sure = CausalModel.from_mapping({"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0], "links": {}}}})
    good = ClosedSheet(stiff_wheels(), COMPLAINT, COMPLAINT, {})
    gathered = evidence_of_sheets(
        {
            "2024-3": good,
            "2024-4": ClosedSheet(sure, COMPLAINT, COMPLAINT, {}),
            "2024-5": ClosedSheet(stiff_wheels(), COMPLAINT, COMPLAINT, {"withdrawn": SEEN}),
        }
    )
    assert gathered.by_sheet == {"2024-3": evidence_of_sheet(stiff_wheels(), COMPLAINT, COMPLAINT, {})}
    assert gathered.left_out.keys() == {"2024-4", "2024-5"}
    assert "cannot all be true" in gathered.left_out["2024-4"]
    assert "'withdrawn' is not a cause" in gathered.left_out["2024-5"]
    monkeypatch.setattr(planning, "ALLOWED_SECONDS", 0.0)
    assert "too entangled" in evidence_of_sheets({"2024-3": good}).left_out["2024-3"]


def test_sides_and_ends_are_places_of_one_rate() -> None:
    placed = SheetEvidence(
        {"gum@left": 0.9, "gum@right": 0.3, "box": 0.1}, {"gum@left": 0.2, "gum@right": 0.2, "box": 0}
    )
    by_rate = placed.by_rate({"gum@left": "gum", "gum@right": "gum"})
    assert (by_rate.at_start, by_rate.complaint_alone) == ({"gum": pytest.approx(1.2)}, {"gum": pytest.approx(0.4)})


def test_two_sides_that_nobody_looked_at_leave_the_rate_of_the_engine_alone() -> None:
    sides = SheetEvidence({"gum@left": 0.1, "gum@right": 0.1}, {"gum@left": 0.1, "gum@right": 0.1})
    by_rate = sides.by_rate(dict.fromkeys(sides.at_start, "gum"))
    assert learned_rates({"gum": 0.2}, [by_rate] * 30)["gum"].rate == pytest.approx(0.2, rel=1e-12)


def test_a_sheet_must_weigh_the_same_causes_twice_and_lawfully() -> None:
    with pytest.raises(InvalidHistory, match="'gum' twice"):
        SheetEvidence({"gum": 0.1}, {})
    for wrong in (-0.1, float("nan"), float("inf")):
        with pytest.raises(OutOfRange, match="gum is"):
            sheet(wrong, 0.1)


def test_the_new_rate_is_what_the_formula_says() -> None:
    learned = learned_rates({"gum": 0.05, "box": 0.2}, [sheet(1.0, 0.4), sheet(0.5, 0.1), sheet(0.9, 0.3, "box")])
    assert learned["gum"] == LearnedRate(0.05, 0.5, 1.5, 2, pytest.approx((20 * 0.05 + 1.5) / (20 + 0.5 / 0.05)))
    assert learned["box"] == LearnedRate(0.2, 0.3, 0.9, 1, pytest.approx((20 * 0.2 + 0.9) / (20 + 0.3 / 0.2)))


def test_a_cause_that_no_sheet_speaks_of_keeps_its_rate() -> None:
    assert learned_rates({"gum": 0.05}, [sheet(1.0, 0.4, "box")])["gum"] == LearnedRate(0.05, 0.0, 0.0, 0, 0.05)


def test_evidence_of_engines_that_can_have_other_causes_too_does_not_disturb() -> None:
    more = SheetEvidence({"gum": 1.0, "box": 0.9}, {"gum": 0.4, "box": 0.1})
    assert learned_rates({"gum": 0.05}, [more]) == learned_rates({"gum": 0.05}, [sheet(1.0, 0.4)])


SHEETS = st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)), min_size=1, max_size=12)
RATES = st.floats(0.001, 0.9)


@settings(derandomize=True, deadline=None)
@given(SHEETS, RATES, st.randoms(use_true_random=False))
@example([(0.1, 0.1)] * 3 + [(1e-17, 1.0)], 0.05, None)
def test_in_any_order_the_sheets_give_the_same_to_the_last_bit(pairs, rate, random) -> None:
    every = [sheet(*pair) for pair in pairs]
    orders = permutations(every) if random is None else [random.sample(every, len(every))]
    for order in orders:
        assert learned_rates({"gum": rate}, order) == learned_rates({"gum": rate}, every)


@settings(derandomize=True, deadline=None)
@given(SHEETS, RATES)
def test_the_new_rate_lies_between_the_old_one_and_what_the_sheets_alone_would_say(pairs, rate) -> None:
    learned = learned_rates({"gum": rate}, [sheet(*pair) for pair in pairs])["gum"]
    assert 0.0 < learned.rate <= MOST_RATE
    way = learned.found - learned.expected_from_complaints
    assert (learned.rate - rate) * way >= -1e-12
    if learned.expected_from_complaints and learned.rate < MOST_RATE:
        alone = rate * learned.found / learned.expected_from_complaints
        assert min(rate, alone) * (1 - 1e-9) <= learned.rate <= max(rate, alone) * (1 + 1e-9)


@settings(derandomize=True, deadline=None)
@given(SHEETS, RATES, st.floats(0.01, 1.0))
def test_finding_a_cause_more_often_never_lowers_its_rate(pairs, rate, more) -> None:
    fewer = learned_rates({"gum": rate}, [sheet(*pair) for pair in pairs])["gum"]
    found = learned_rates({"gum": rate}, [sheet(min(1.0, seen + more), expected) for seen, expected in pairs])["gum"]
    assert found.rate >= fewer.rate


def test_the_more_the_old_rate_is_worth_the_less_it_moves() -> None:
    sheets = [sheet(1.0, 0.1)] * 10
    rates = [learned_rates({"gum": 0.1}, sheets, strength=worth)["gum"].rate for worth in (1e-6, 1.0, 20.0, 1e9)]
    assert rates == sorted(rates, reverse=True)
    assert (rates[0], rates[-1]) == (MOST_RATE, pytest.approx(0.1, rel=1e-6))


def test_what_the_complaints_hardly_allow_and_is_found_each_time_still_gives_a_probability() -> None:
    assert learned_rates({"gum": 0.2}, [sheet(1.0, 0.0)] * 400)["gum"].rate == MOST_RATE


def test_a_rate_that_was_always_very_high_is_not_pulled_down_by_the_top() -> None:
    assert learned_rates({"gum": 0.97}, [sheet(0.97, 0.97)] * 5)["gum"].rate == pytest.approx(0.97, rel=1e-12)


@pytest.mark.parametrize("rate", [0.0, 1.0, -0.1, nextafter(1.0, 2.0), float("nan")])
def test_a_rate_that_is_no_rate_is_refused_by_the_name_of_its_cause(rate: float) -> None:
    with pytest.raises(OutOfRange, match="gum is"):
        learned_rates({"gum": rate}, [])


@pytest.mark.parametrize("strength", [0.0, -20.0, float("inf"), float("nan")])
def test_a_strength_that_is_none_is_refused(strength: float) -> None:
    with pytest.raises(OutOfRange, match="strength is"):
        learned_rates({"gum": 0.1}, [], strength=strength)


def test_sister_engines_start_from_the_rate_of_the_others_and_end_at_their_own() -> None:
    """Where the whole truth is seen and complaints say nothing, many sisters' sheets outweigh the club's rate."""
    others = [sheet(float(n % 10 == 0), 0.05) for n in range(100)]  # one in ten has it
    club = learned_rates({"gum": 0.05}, others)["gum"].rate
    sisters = [sheet(float(n % 2 == 0), club) for n in range(10_000)]  # every other one has it
    few, many = (learned_rates({"gum": club}, sisters[:count])["gum"].rate for count in (4, 10_000))
    assert club == pytest.approx((20 * 0.05 + 10) / (20 + 100))
    assert few == pytest.approx((20 * club + 2) / (20 + 4))
    assert many == pytest.approx(0.5, abs=1e-3)


@pytest.mark.parametrize(
    ("learned", "words"),
    [
        (LearnedRate(0.05, 0.0, 0.0, 0, 0.05), "base rate 5 %; no closed sheet speaks of it yet"),
        (
            LearnedRate(0.015, 0.04, 0.96, 1, 0.0555),
            "base rate 1.5 %; in 1 sheet the complaint alone made 0.0 likely, 1.0 were found → 6 %",
        ),
        (
            LearnedRate(0.004, 2.04, 0.0, 30, 0.00005),
            "base rate 0.4 %; in 30 sheets the complaints alone made 2.0 likely, 0.0 were found → under 0.01 %",
        ),
    ],
)
def test_a_rate_is_explained_in_words(learned: LearnedRate, words: str) -> None:
    assert rate_in_words(learned) == words


def test_the_words_name_what_a_sister_engine_started_from() -> None:
    assert rate_in_words(LearnedRate(0.09, 1.0, 2.0, 4, 0.1), "the club's rate").startswith("the club's rate 9 %; in 4")


def test_a_look_that_says_nothing_of_a_cause_counts_every_sheet_once() -> None:
    model = CausalModel.from_mapping(
        {"causes": {"gum": 0.05, "wet": 0.1}, "findings": {"damp": {"leak": [0.1], "links": {"wet": [0.8]}}}}
    )
    damp = [Observed("damp", 1)]
    found = [evidence_of_sheet(model, damp, damp, {"gum": SEEN} if n < 3 else {}) for n in range(14)]
    learned = learned_rates({"gum": 0.05}, found)["gum"]
    assert learned.expected_from_complaints / 0.05 == pytest.approx(14, rel=1e-12)
