from django.urls import path

from restorations.tasks import views

app_name = "tasks"
urlpatterns = [
    path("engines/<row:pk>/off/", views.off, name="off"),
    path("parts/<row:pk>/end/", views.end_part, name="end_part"),
    path("parts/<row:pk>/accept/", views.accept_part, name="accept_part"),
    path("engines/<row:pk>/soaks/", views.soaks, name="soaks"),
    path("soaks/<row:pk>/end/", views.end_one_soak, name="end_soak"),
]
