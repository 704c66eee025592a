from django.urls import path

from restorations.tasks.views import boxes, connections, freeing, labels, lines, parts, soaks, tags
from restorations.tasks.work_urls import urlpatterns as work_urlpatterns

app_name = "tasks"
urlpatterns = [
    path("engines/<row:pk>/off/", parts.off, name="off"),
    path("engines/<row:pk>/refit/", parts.refit, name="refit"),
    path("parts/<row:pk>/", parts.part, name="part"),
    path("parts/<row:pk>/end/", parts.end_part, name="end_part"),
    path("parts/<row:pk>/photos/", parts.part_photos, name="part_photos"),
    path("parts/<row:pk>/fixings/", parts.fixings, name="fixings"),
    path("parts/<row:pk>/accept/", lines.accept, {"kind": "part"}, name="accept_part"),
    path("parts/<row:pk>/refuse/", lines.refuse, {"kind": "part"}, name="refuse_part"),
    path("parts/<row:pk>/strike/", lines.strike, {"kind": "part"}, name="strike_part"),
    path("fixings/<row:pk>/strike/", lines.strike_fixings, name="strike_fixings"),
    path("boxes/", boxes.boxes, name="boxes"),
    path("box/<str:code>/", boxes.box, name="box"),
    path("box/<str:code>/change/", boxes.change_box, name="change_box"),
    path("box/<str:code>/label/", labels.box_label, name="box_label"),
    path("engines/<row:pk>/labels/", labels.labels, name="labels"),
    path("engines/<row:pk>/connections/", connections.connections, name="connections"),
    path("connections/<row:pk>/", connections.connection, name="connection"),
    path("connections/<row:pk>/join/", connections.join, name="join"),
    path("connections/<row:pk>/check/", connections.check_pair, name="check_pair"),
    path("connections/<row:pk>/accept/", lines.accept, {"kind": "connection"}, name="accept_connection"),
    path("connections/<row:pk>/refuse/", lines.refuse, {"kind": "connection"}, name="refuse_connection"),
    path("connections/<row:pk>/strike/", lines.strike, {"kind": "connection"}, name="strike_connection"),
    path("engines/<row:pk>/tags/", tags.tags, name="tags"),
    path("tags/<row:pk>/off/", tags.take_tag_off, name="take_tag_off"),
    path("tags/<row:pk>/print/", tags.tag_sheet, name="tag_sheet"),
    path("tags/<row:pk>/accept/", lines.accept, {"kind": "tag"}, name="accept_tag"),
    path("engines/<row:pk>/soaks/", soaks.soaks, name="soaks"),
    path("soaks/<row:pk>/care/", soaks.care, name="care"),
    path("soaks/<row:pk>/end/", soaks.end_soak, name="end_soak"),
    path("soaks/<row:pk>/accept/", lines.accept, {"kind": "soak"}, name="accept_soak"),
    path("soaks/<row:pk>/refuse/", lines.refuse, {"kind": "soak"}, name="refuse_soak"),
    path("soaks/<row:pk>/strike/", lines.strike, {"kind": "soak"}, name="strike_soak"),
    path("engines/<row:pk>/freeing/", freeing.freeing, name="freeing"),
    path("attempts/<row:pk>/accept/", lines.accept, {"kind": "attempt"}, name="accept_attempt"),
    path("attempts/<row:pk>/strike/", lines.strike, {"kind": "attempt"}, name="strike_attempt"),
    *work_urlpatterns,
]
