from django.urls import path

from restorations.faults.views import go_aheads, looking, recording, sheets

app_name = "faults"
urlpatterns = [
    path("sheets/", sheets.open_sheets, name="sheets"),
    path("engines/<row:pk>/sheets/new/", sheets.open_one, name="open"),
    path("sheets/<row:pk>/", sheets.sheet, name="sheet"),
    path("sheets/<row:pk>/state/", sheets.state, name="state"),
    path("sheets/<row:pk>/history/", sheets.history, name="history"),
    path("sheets/<row:pk>/rank/", sheets.rank, name="rank"),
    path("sheets/<row:pk>/causes/", sheets.causes, name="causes"),
    path("sheets/<row:pk>/findings/", looking.findings, name="findings"),
    path("sheets/<row:pk>/findings/<str:finding>/", looking.finding, name="finding"),
    path("sheets/<row:pk>/actions/", looking.actions, name="actions"),
    path("sheets/<row:pk>/actions/<str:action>/", looking.action, name="action"),
    path("sheets/<row:pk>/observe/", recording.observe, name="observe"),
    path("sheets/<row:pk>/record/", recording.record_answer, name="record"),
    path("sheets/<row:pk>/note/", recording.note, name="note"),
    path("steps/<row:pk>/undo/", recording.undo, name="undo"),
    path("steps/<row:pk>/strike/", recording.strike, name="strike"),
    path("steps/<row:pk>/accept/", recording.accept, name="accept"),
    path("steps/<row:pk>/look/", go_aheads.look, name="look"),
    path("sheets/<row:pk>/ask/", go_aheads.ask, name="ask"),
    path("go-aheads/<row:pk>/", go_aheads.go_ahead, name="go_ahead"),
]
