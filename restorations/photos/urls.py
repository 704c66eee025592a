from django.urls import path

from restorations.photos.views import clips, gallery, marks, pairs, photo, stored

app_name = "photos"
urlpatterns = [
    path("engines/<row:pk>/photos/", gallery.photos, name="photos"),
    path("engines/<row:pk>/photos/stripping/", gallery.stripping, name="stripping"),
    path("engines/<row:pk>/clips/", clips.clips, name="clips"),
    path("photos/<row:pk>/", photo.photo, name="photo"),
    path("photos/<row:pk>/change/", photo.change, name="change"),
    path("photos/<row:pk>/accept/", photo.accept, name="accept"),
    path("photos/<row:pk>/strike/", photo.strike, name="strike"),
    path("photos/<row:pk>/before/", pairs.pair, name="pair"),
    path("photos/<row:pk>/compare/", pairs.compare, name="compare"),
    path("photos/<row:pk>/marks/", marks.mark, name="mark"),
    path("photos/<row:pk>/marks/<row:entry>/change/", marks.change_mark, name="change_mark"),
    path("photos/<row:pk>/marks/<row:entry>/strike/", marks.strike_mark, name="strike_mark"),
    path("photos/<row:pk>/large.webp", stored.large, name="large"),
    path("photos/<row:pk>/thumbnail.webp", stored.thumbnail, name="thumbnail"),
    path("clips/<row:pk>/download/", stored.download, name="download"),
    path("clips/<row:pk>/accept/", clips.accept_clip, name="accept_clip"),
    path("clips/<row:pk>/strike/", clips.strike_clip, name="strike_clip"),
]
