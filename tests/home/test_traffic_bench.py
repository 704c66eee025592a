"""How my engines stand towards traffic, and what of it waits for me."""

from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.engines.models import LayUp
from restorations.home.traffic_bench import traffic_bench
from restorations.traffic.models import FitForTraffic
from tests.cast import Cast
from tests.factories import make_engine, make_stop

TODAY = timezone.localdate


def _front(cast: Cast, who: str) -> str:
    return str(cast.browser(who).get("/").text)


def test_my_engines_stand_there_with_their_state_in_a_word(cast: Cast) -> None:
    make_stop(make_engine(name="Stint", hands=(cast.member,)), waits_for="parts")
    make_engine(name="Knot", hands=(cast.member,))
    page = _front(cast, "member")
    assert page.index('status stop">stopped</span><span class="row-name">Stint') > 0
    assert page.index('status good">in traffic</span><span class="row-name">Knot') > 0
    assert "wheels, rods and motion, waits for parts" in page


def test_a_stop_on_a_boiler_waits_on_the_inspectors_bench_and_on_no_other(cast: Cast) -> None:
    make_stop(make_engine(name="Stint"), kind="boiler", cause_class="boiler", words="a weep at the dome")
    assert "Stint: a weep at the dome" in _front(cast, "inspector")
    assert "a weep at the dome" not in _front(cast, "mentor")


def test_what_was_signed_fit_waits_for_the_secretary_until_it_is_back(cast: Cast) -> None:
    engine = make_engine(name="Stint")
    stop = make_stop(engine)
    FitForTraffic.objects.create(engine=engine, words="tried", checksum="x", signed_by=cast.mentor)
    assert "Stint is signed fit for traffic" in _front(cast, "secretary")
    type(stop).objects.update(ended_on=TODAY(), lifted_by=cast.secretary, lifted_at=timezone.now())
    assert "Stint is signed fit for traffic" not in _front(cast, "secretary")


def test_ten_engines_take_as_many_queries_as_one(cast: Cast) -> None:
    def queries(number: int) -> int:
        engines = [make_engine(name=f"Engine {n}", hands=(cast.member,)) for n in range(number)]
        for engine in engines:
            stop = make_stop(
                engine, kind="laid_up", cause_class="storage", began_on=TODAY() - timedelta(days=40)
            )  # fmt: skip
            LayUp.objects.create(stoppage=stop, turn_over_days=28)
        with CaptureQueriesContext(connection) as told:
            bench = traffic_bench(cast.member, engines, TODAY())
        assert len(bench.care) == number
        return len(told)

    assert queries(1) == queries(10)
