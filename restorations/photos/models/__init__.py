from restorations.photos.models.clip import Clip
from restorations.photos.models.mark import PhotoMark
from restorations.photos.models.photo import VIEWS, Photo

__all__ = ["VIEWS", "Clip", "Photo", "PhotoMark"]
