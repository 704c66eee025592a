from django.urls import path

from restorations.engines.views import configuration, engines, history, papers, people, take_in, upkeep

OIL_CHART, FASTENINGS = {"kind": upkeep.OIL_CHART}, {"kind": upkeep.FASTENINGS}

app_name = "engines"
urlpatterns = [
    path("engines/", engines.engines, name="engines"),
    path("engines/new/", engines.new, name="new"),
    path("engines/<row:pk>/identity/", engines.identity, name="identity"),
    path("engines/<row:pk>/owner/", engines.owner, name="owner"),
    path("engines/<row:pk>/configuration/", configuration.configuration, name="configuration"),
    path("engines/<row:pk>/configuration/versions/", configuration.versions, name="versions"),
    path("engines/<row:pk>/history/", history.history, name="history"),
    path("engines/<row:pk>/past-work/", history.past_work, name="past_work"),
    path("engines/<row:pk>/past-work/<row:entry>/strike/", history.strike_past_work, name="strike_past_work"),
    path("engines/<row:pk>/people/", people.people, name="people"),
    path("engines/<row:pk>/people/hands/", people.add_hand, name="add_hand"),
    path("engines/<row:pk>/people/hands/<row:entry>/end/", people.end_hand, name="end_hand"),
    path("engines/<row:pk>/people/guests/", people.invite_guest, name="invite_guest"),
    path("engines/<row:pk>/people/guests/<row:entry>/end/", people.end_guest, name="end_guest"),
    path("engines/<row:pk>/papers/", papers.papers, name="papers"),
    path("engines/<row:pk>/papers/<row:entry>/strike/", papers.strike_certificate, name="strike_certificate"),
    path("engines/<row:pk>/consents/", papers.consents, name="consents"),
    path("engines/<row:pk>/consents/<row:entry>/strike/", papers.strike_consent, name="strike_consent"),
    path("engines/<row:pk>/taking-in/write/", take_in.write, name="write_take_in"),
    path("engines/<row:pk>/taking-in/sign/", take_in.sign, name="sign_take_in"),
    path("engines/<row:pk>/taking-in/later/", take_in.later, name="later_findings"),
    path("engines/<row:pk>/taking-in/later/<row:entry>/strike/", take_in.strike_later, name="strike_later_finding"),
    path("engines/<row:pk>/oil-chart/", upkeep.table, OIL_CHART, name="oil_chart"),
    path("engines/<row:pk>/oil-chart/<row:entry>/", upkeep.change, OIL_CHART, name="change_oil_chart"),
    path("engines/<row:pk>/oil-chart/<row:entry>/strike/", upkeep.strike, OIL_CHART, name="strike_oil_chart"),
    path("engines/<row:pk>/fastenings/", upkeep.table, FASTENINGS, name="fastenings"),
    path("engines/<row:pk>/fastenings/<row:entry>/", upkeep.change, FASTENINGS, name="change_fastenings"),
    path("engines/<row:pk>/fastenings/<row:entry>/strike/", upkeep.strike, FASTENINGS, name="strike_fastenings"),
    path("designs/<row:pk>/notes/", upkeep.design_notes, name="design_notes"),
    path("designs/<row:pk>/notes/<row:entry>/strike/", upkeep.strike_design_note, name="strike_design_note"),
]
