from django.urls import path

from restorations.members.views import door, own, people, ways_in

app_name = "members"
urlpatterns = [
    path("sign-in/", door.sign_in, name="sign_in"),
    path("sign-out/", door.sign_out, name="sign_out"),
    path("join/<str:secret>/", door.join, name="join"),
    path("slip/<str:secret>/", door.slip, name="slip"),
    path("people/", people.people, name="people"),
    path("people/invite/", ways_in.invite, name="invite"),
    path("people/invitations/<row:pk>/withdraw/", ways_in.withdraw_invitation, name="withdraw_invitation"),
    path("people/<row:pk>/", people.person, name="person"),
    path("people/<row:pk>/offices/", people.offices, name="offices"),
    path("people/<row:pk>/left/", people.left, name="left"),
    path("people/<row:pk>/slip/", ways_in.print_slip, name="print_slip"),
    path("me/", own.own, name="own"),
    path("me/password/", own.own_password, name="own_password"),
    path("club/", own.club, name="club"),
]
