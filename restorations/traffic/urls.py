"""Addresses of running days, sessions, forecasts, the office, reports and feeds."""

from django.urls import URLPattern

app_name = "traffic"
urlpatterns: list[URLPattern] = []
