from django.urls import path

from restorations.home import views

app_name = "home"
urlpatterns = [
    path("", views.front, name="front"),
    path("search/", views.search, name="search"),
    path("timeline/", views.club_timeline, name="club_timeline"),
    path("people/<row:pk>/timeline/", views.person_timeline, name="person_timeline"),
    path("designs/<row:pk>/", views.design, name="design"),
    path("engines/<row:pk>/", views.engine, name="engine"),
    path("engines/<row:pk>/timeline/", views.engine_timeline, name="engine_timeline"),
    path("engines/<row:pk>/taking-in/", views.taking_in, name="taking_in"),
    path("engines/<row:pk>/bench-pack/", views.bench_pack, name="bench_pack"),
    path("engines/<row:pk>/tonight/", views.tonight, name="tonight"),
    path("help/", views.help_page, name="help"),
]
