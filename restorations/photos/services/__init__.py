"""What may be done with photos, marks and clips. Every act is one transaction and leaves a record.

An app above attaches photos to its own rows like this: files are read by the form (PhotosField), kept before the
transaction, and get their rows inside it.

    photos = take_in(form.cleaned_data["photos"], engine, doing)        # no transaction open yet
    ...
    attach(photos, entry.photos, doing)                                 # inside the one that makes the entry
"""

from restorations.photos.services.clips import accept_clip, add_clip, strike_clip
from restorations.photos.services.marks import add_mark, change_mark, strike_mark
from restorations.photos.services.photos import (
    accept_photo,
    add_photos,
    attach,
    change_photo,
    enter,
    pair,
    strike_photo,
    take_in,
)

__all__ = [
    "accept_clip",
    "accept_photo",
    "add_clip",
    "add_mark",
    "add_photos",
    "attach",
    "change_mark",
    "change_photo",
    "enter",
    "pair",
    "strike_clip",
    "strike_mark",
    "strike_photo",
    "take_in",
]
