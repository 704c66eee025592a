from django.urls import path

from restorations.home import views

app_name = "home"
urlpatterns = [
    path("", views.front, name="front"),
    path("engines/<row:pk>/", views.engine, name="engine"),
    path("help/", views.help_page, name="help"),
]
