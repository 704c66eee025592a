from django.urls import URLPattern

app_name = "engines"
urlpatterns: list[URLPattern] = []
