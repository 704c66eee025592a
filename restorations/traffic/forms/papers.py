"""Pictures of a paper."""

from restorations.photos.fields import PhotosField
from restorations.web.fields import OnceForm


class ScanForm(OnceForm):
    photos = PhotosField(label="Pictures of the paper")
