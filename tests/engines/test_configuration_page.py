"""How an engine is built: only what applies is asked, quantities as typed, a new version for each correction."""

from typing import Any

import pytest

from restorations.engines.models import Engine, EngineConfiguration
from restorations.engines.models.configuration import MEASURES, QUESTIONS
from restorations.engines.questions import GROUPS
from restorations.knowledge.configuration import CHOICES, LABELS
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import HTMX, error_beside, names_asked, once, said_in_box, told
from tests.factories import make_engine

ALL = dict.fromkeys(LABELS, "not_known") | dict.fromkeys(MEASURES, "")


def _engine(cast: Cast, **configuration: Any) -> Engine:
    return make_engine(configuration=configuration, hands=(cast.member, cast.mate))


def _address(engine: Engine) -> str:
    return f"/engines/{engine.pk}/configuration/"


def _sent(engine: Engine, **answers: Any) -> dict[str, Any]:
    return once(**{**ALL, "version": engine.configuration.number, **answers})


def _save(cast: Cast, engine: Engine, **answers: Any) -> Any:
    return cast.browser("member").post(_address(engine), _sent(engine, **answers))


def test_every_question_of_the_knowledge_has_a_column_and_a_place_on_the_page() -> None:
    columns = {field.name for field in EngineConfiguration._meta.get_fields()}
    assert set(CHOICES) | {"coupled_axles", "driving_axle"} == set(LABELS)
    assert set(QUESTIONS) <= columns
    assert sorted(name for names in GROUPS.values() for name in names) == sorted(QUESTIONS)


def test_everything_may_stay_not_known(cast: Cast) -> None:
    engine = _engine(cast)
    assert _save(cast, engine).status_code == 302
    assert engine.configurations.count() == 1


@pytest.mark.parametrize(
    ("name", "typed", "column", "value"),
    [
        ("bore_typed", "1 1/8 in", "bore_mm", 28.575),
        ("bore_typed", "28.6 mm", "bore_mm", 28.6),
        ("stroke_typed", "1½ in", "stroke_mm", 38.1),
        ("gauge_typed", "5 in", "gauge_mm", 127.0),
        # 1 psi = 6.894757 kPa (ISO 80000-4 annex)
        ("working_pressure_typed", "90 psi", "working_pressure_kpa", 620.528),
        ("working_pressure_typed", "6.2 bar", "working_pressure_kpa", 620.0),
    ],
)
def test_a_quantity_is_kept_as_typed_and_in_its_unit(
    cast: Cast, name: str, typed: str, column: str, value: float
) -> None:
    engine = _engine(cast)
    assert _save(cast, engine, **{name: typed}).status_code == 302
    configuration = engine.configuration
    assert getattr(configuration, name) == typed
    assert getattr(configuration, column) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("bore_typed", "12 kg", "is a unit of mass; a length is wanted"),
        ("bore_typed", "1,5 mm", "Use a point, not a comma: 1.5 mm"),
        ("bore_typed", "9**9 mm", "not a number with a unit"),
        ("bore_typed", "12", "Add the unit"),
        ("bore_typed", "3 m", "outside what is possible here: a bore of 2 mm to 200 mm"),
        ("bore_typed", "-5 mm", "outside what is possible"),
        ("bore_typed", "1/0 in", "nothing under the line"),
        ("bore_typed", "9" * 10000 + " mm", "at most 40 characters"),
        ("stroke_typed", "5\x00 mm", "Null characters"),
        ("working_pressure_typed", "90 mm", "a pressure is wanted"),
        ("working_pressure_typed", "900 psi", "a working pressure of 2 psi to 360 psi"),
    ],
)
def test_what_is_no_quantity_is_refused_in_words_and_kept(cast: Cast, name: str, typed: str, words: str) -> None:
    engine = _engine(cast)
    response = _save(cast, engine, **{name: typed})
    assert response.status_code == 422
    assert words in error_beside(response.text, name).replace("&#x27;", "'")
    assert said_in_box(response.text, name) == typed
    assert engine.configurations.count() == 1


@pytest.mark.parametrize(
    ("answers", "asked", "not_asked"),
    [
        ({}, {"valve", "valve_gear", "coupled_axles", "truck", "gauge_typed"}, {"driving_axle"}),
        ({"cylinder_mounting": "oscillating"}, {"piston_sealing", "reverser"}, {"valve", "valve_gear"}),
        ({"kind": "tank_locomotive"}, {"coupled_axles", "truck", "brake", "gauge_typed"}, set()),
        ({"kind": "tank_locomotive", "coupled_axles": 3}, {"driving_axle"}, set()),
        ({"kind": "tank_locomotive", "coupled_axles": 1}, {"coupled_axles"}, {"driving_axle"}),
        ({"kind": "traction_engine"}, {"brake", "wheel_diameter_typed"}, {"coupled_axles", "truck", "gauge_typed"}),
        ({"kind": "stationary_engine"}, {"boiler", "bore_typed"}, {"coupled_axles", "brake", "wheel_diameter_typed"}),
        ({"valve_gear": "slip_eccentric"}, {"valve"}, {"reverser"}),
        ({"boiler": "none"}, {"working_pressure_typed"}, {"fuel", "injector", "hand_pump", "superheater"}),
    ],
)
def test_only_what_applies_is_asked(cast: Cast, answers: dict[str, Any], asked: set[str], not_asked: set[str]) -> None:
    engine = _engine(cast, **answers)
    names = names_asked(cast.browser("member").get(_address(engine)).text)
    assert asked <= names
    assert not not_asked & names


def test_a_deciding_answer_draws_the_questions_anew_and_saves_nothing(cast: Cast) -> None:
    engine = _engine(cast)
    browser = cast.browser("member")
    sent = _sent(engine, cylinder_mounting="oscillating", bore_typed="12 kg", show="1")
    fragment = browser.post(_address(engine), sent, headers=HTMX)
    assert fragment.status_code == 200
    assert fragment.text.strip().startswith('<form id="configuration-form"')
    assert "valve_gear" not in names_asked(fragment.text)
    assert said_in_box(fragment.text, "bore_typed") == "12 kg"
    assert "error" not in fragment.text
    assert "<h1>" in browser.post(_address(engine), sent).text
    assert engine.configurations.count() == 1


def test_what_follows_from_an_answer_is_kept_with_it(cast: Cast) -> None:
    engine = _engine(cast)
    _save(cast, engine, kind="stationary_engine", cylinder_mounting="oscillating", truck="leading")
    configuration = engine.configuration
    assert (configuration.valve, configuration.valve_gear) == ("oscillating", "reversing_block")
    assert (configuration.truck, configuration.brake, configuration.coupled_axles) == ("none", "none", None)


def test_questions_that_came_up_with_the_answers_are_asked_next(cast: Cast) -> None:
    engine = _engine(cast, kind="stationary_engine")
    browser = cast.browser("member")
    sent = _sent(engine, kind="tank_locomotive", why="it has wheels after all")
    for name in ("coupled_axles", "driving_axle", "truck", "brake", "gauge_typed", "wheel_diameter_typed"):
        del sent[name]
    response = browser.post(_address(engine), sent)
    assert response.url == _address(engine)
    assert "there is more to ask: truck or bogie; brake; driven axles" in told(browser)
    assert engine.configuration.truck == "not_known"


def test_a_correction_is_a_new_version_with_its_reason(cast: Cast) -> None:
    engine = _engine(cast, valve="slide")
    assert _save(cast, engine, valve="piston", why="cover taken off").status_code == 302
    newest = engine.configuration
    assert (newest.number, newest.valve, newest.reason, newest.made_by) == (2, "piston", "cover taken off", cast.member)
    assert engine.configurations.get(number=1).valve == "slide"
    act = Act.objects.about(engine).get()
    assert (act.before, act.after) == ({"Valves": "slide valves"}, {"Valves": "piston valves"})


def test_a_known_answer_is_replaced_only_with_a_reason(cast: Cast) -> None:
    engine = _engine(cast, valve="slide", bore_typed="1 in", bore_mm=25.4)
    response = _save(cast, engine, valve="piston", bore_typed="1 1/8 in", fuel="coal")
    assert response.status_code == 422
    assert error_beside(response.text, "why").endswith("this replaces what stood for valves; cylinder bore.")


def test_filling_in_what_was_not_known_needs_no_reason(cast: Cast) -> None:
    engine = _engine(cast)
    assert _save(cast, engine, fuel="coal").status_code == 302
    assert engine.configuration.fuel == "coal"


def test_the_same_answers_make_no_new_version_and_say_so(cast: Cast) -> None:
    engine = _engine(cast, fuel="coal", bore_typed="1 in", bore_mm=25.4)
    browser = cast.browser("member")
    browser.post(_address(engine), _sent(engine, fuel="coal", bore_typed="1 in"))
    assert engine.configurations.count() == 1
    assert "Nothing differs from version 1, so no new version was made." in told(browser)


def test_two_correct_at_once_and_the_second_sees_both(cast: Cast) -> None:
    engine = _engine(cast)
    late = _sent(engine, fuel="gas", bore_typed="1 1/8 in")
    cast.browser("mate").post(_address(engine), _sent(engine, fuel="coal", bore_typed="1 in"))
    browser = cast.browser("member")
    response = browser.post(_address(engine), late)
    assert response.status_code == 409
    table = response.text.partition("<table")[2].partition("</table>")[0]
    assert ">coal<" in table
    assert ">gas<" in table
    assert ">1 in<" in table
    assert ">1 1/8 in<" in table
    assert "Why it is corrected" not in table
    assert engine.configurations.count() == 2
    assert browser.post(_address(engine), {**late, "version": 2, "why": "seen burning gas"}).status_code == 302
    assert engine.configuration.fuel == "gas"


def test_the_same_form_twice_makes_one_version(cast: Cast) -> None:
    engine = _engine(cast)
    data = _sent(engine, fuel="coal")
    first, second = (cast.browser("member").post(_address(engine), data) for _ in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert engine.configurations.count() == 2


def test_a_wrong_form_comes_back_to_htmx_alone_and_a_saved_one_loads_the_page(cast: Cast) -> None:
    engine = _engine(cast)
    browser = cast.browser("member")
    wrong = browser.post(_address(engine), _sent(engine, bore_typed="12 kg"), headers=HTMX)
    assert wrong.status_code == 422
    assert wrong.text.strip().startswith('<form id="configuration-form"')
    saved = browser.post(_address(engine), _sent(engine, fuel="coal"), headers=HTMX)
    assert (saved.status_code, saved.headers["HX-Redirect"]) == (204, engine.get_absolute_url())


def test_the_versions_page_says_what_changed_when_and_why(cast: Cast) -> None:
    engine = _engine(cast, kind="tank_locomotive", valve="slide")
    _save(cast, engine, kind="tank_locomotive", valve="piston", why="cover taken off")
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/configuration/versions/").text
    assert "cover taken off" in page
    assert ">slide valves<" in page
    assert ">piston valves<" in page
    assert page.index("Version 2") < page.index("Version 1")


def test_the_knowledge_gets_the_answers_of_the_version_in_force(cast: Cast) -> None:
    engine = _engine(cast)
    _save(cast, engine, kind="tank_locomotive", coupled_axles="3", driving_axle="2", valve="slide")
    known = engine.configuration.as_configuration()
    assert (known.kind, known.coupled_axles, known.driving_axle, known.valve) == ("tank_locomotive", 3, 2, "slide")


def test_an_axle_that_is_not_there_cannot_be_the_driving_axle(cast: Cast) -> None:
    engine = _engine(cast)
    response = _save(cast, engine, kind="tank_locomotive", coupled_axles="2", driving_axle="3")
    assert "not one of the available" in error_beside(response.text, "driving_axle")
