"""Addresses of the knowledge: its pages, its files, and the changes proposed to it."""

from django.urls import path

from restorations.faults.views import knowledge, knowledge_acts, knowledge_changes

urlpatterns = [
    path("", knowledge.index, name="knowledge"),
    path("parts/", knowledge.parts, name="known_parts"),
    path("sources/", knowledge.sources, name="sources"),
    path("compare/", knowledge.compare, name="compare"),
    path("files/", knowledge.export, name="knowledge_files"),
    path("changes/", knowledge_changes.changes, name="changes"),
    path("changes/new/", knowledge_changes.new, name="new_entry"),
    path("changes/<row:pk>/", knowledge_changes.change, name="change"),
    path("changes/<row:pk>/<int:number>/<str:how>/", knowledge_changes.edit, name="edit_change"),
    path("changes/<row:pk>/along/", knowledge_acts.along, name="bring_along"),
    path("changes/<row:pk>/leave-out/<int:number>/", knowledge_acts.leave_out, name="leave_out_of_change"),
    path("changes/<row:pk>/effect/", knowledge_acts.work_out, name="work_out_change"),
    path("changes/<row:pk>/send/", knowledge_acts.send, name="send_change"),
    path("changes/<row:pk>/answer/", knowledge_acts.decide, name="answer_change"),
    path("changes/<row:pk>/let-go/", knowledge_acts.let_go, name="let_go_change"),
    path("changes/<row:pk>/anew/", knowledge_acts.anew, name="begin_change_anew"),
    path("<str:kind>/<str:entry>/", knowledge.entry, name="entry"),
    path("<str:kind>/<str:entry>/change/", knowledge_changes.begin, name="begin_change"),
    path("<str:kind>/<str:entry>/withdraw/", knowledge_changes.withdraw, name="withdraw_entry"),
]
