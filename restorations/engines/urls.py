from django.urls import path

from restorations.engines.views import configuration, engines, history, papers, people

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
]
