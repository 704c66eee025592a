"""What was written and could not be saved is given back."""

from tests.cast import Cast
from tests.factories import make_engine
from tests.faults.builders import make_sheet, see
from tests.faults.sent import post


def test_a_note_that_came_with_a_wrong_answer_is_given_back(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 2)
    response = post(
        cast, "member", f"/sheets/{sheet.pk}/record/", action="no_such", answer="1", note="It <creaks> at 90"
    )
    assert response.status_code == 422
    page = response.content.decode()
    assert "You wrote: It &lt;creaks&gt; at 90" in page
    assert ">It &lt;creaks&gt; at 90</textarea>" in page
