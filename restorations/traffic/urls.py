"""Addresses of running days, sessions, forecasts, the office, reports and feeds."""

from django.urls import path

from restorations.traffic.views import forecasts, office, report, returning, working, yard

app_name = "traffic"
urlpatterns = [
    path("engines/<row:pk>/forecast/", forecasts.forecast, name="forecast"),
    path("engines/<row:pk>/forecast/work-out/", forecasts.work_out, name="work_out_forecast"),
    path("working-sessions/", working.working_sessions, name="working_sessions"),
    path("working-sessions/shut/", working.close_shop, name="close_shop"),
    path("working-sessions/shut/<row:pk>/strike/", working.strike_closing, name="strike_closing"),
    path("office/", office.office, name="office"),
    path("shed/", yard.shed, name="shed"),
    path("engines/<row:pk>/move/", yard.move, name="move"),
    path("roads/", yard.roads, name="roads"),
    path("roads/<row:pk>/take-up/", yard.take_up, name="take_up"),
    path("report/", report.report, name="report"),
    path("engines/<row:pk>/return/", returning.returning, name="returning"),
    path("engines/<row:pk>/return/sign/", returning.sign, name="sign_fit"),
    path("engines/<row:pk>/return/record/", returning.record, name="record_return"),
    path("stops/<row:pk>/lift/", returning.lift, name="lift_stop"),
]
