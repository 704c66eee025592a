from django.urls import path

from restorations.members.views import competent, door, own, people, short_code, ways_in

app_name = "members"
urlpatterns = [
    path("sign-in/", door.sign_in, name="sign_in"),
    path("sign-out/", door.sign_out, name="sign_out"),
    path("join/<str:secret>/", door.join, name="join"),
    path("slip/<str:secret>/", door.slip, name="slip"),
    path("people/", people.people, name="people"),
    path("people/invite/", ways_in.invite, name="invite"),
    path("people/invitations/<row:pk>/withdraw/", ways_in.withdraw_invitation, name="withdraw_invitation"),
    path("people/competent/", competent.competent_person, name="competent_person"),
    path("people/competent/<row:pk>/end/", competent.end, name="end_competent_person"),
    path("people/<row:pk>/", people.person, name="person"),
    path("people/<row:pk>/offices/", people.offices, name="offices"),
    path("people/<row:pk>/left/", people.left, name="left"),
    path("people/<row:pk>/slip/", ways_in.print_slip, name="print_slip"),
    path("me/", own.own, name="own"),
    path("me/password/", own.own_password, name="own_password"),
    path("me/short-code/", short_code.short_code, name="short_code"),
    path("me/short-code/away/", short_code.take_away, name="take_short_code_away"),
    path("club/", own.club, name="club"),
]
