"""Every address; each app names its own."""

from django.urls import include, path

urlpatterns = [
    path("", include("restorations.home.urls")),
    path("", include("restorations.members.urls")),
    path("", include("restorations.engines.urls")),
    path("", include("restorations.photos.urls")),
    path("", include("restorations.tasks.urls")),
    path("", include("restorations.faults.urls")),
    path("", include("restorations.traffic.urls")),
]

handler400 = "restorations.web.errors.not_understood"
handler403 = "restorations.web.errors.refused"
handler404 = "restorations.web.errors.not_found"
handler500 = "restorations.web.errors.broken"
