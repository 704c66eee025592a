"""Addresses of running days, sessions, forecasts, the office, reports and feeds."""

from django.urls import path

from restorations.traffic.views import returning

app_name = "traffic"
urlpatterns = [
    path("engines/<row:pk>/return/", returning.returning, name="returning"),
    path("engines/<row:pk>/return/sign/", returning.sign, name="sign_fit"),
    path("engines/<row:pk>/return/record/", returning.record, name="record_return"),
    path("stops/<row:pk>/lift/", returning.lift, name="lift_stop"),
]
