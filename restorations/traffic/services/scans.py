"""Pictures of a signed paper."""

from collections.abc import Sequence
from uuid import UUID

from restorations.engines.models import Certificate
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import enter
from restorations.traffic.models import CertificateScan


def add_scans(*, paper: Certificate, photos: Sequence[Photo], doing: Doing, mark: UUID) -> Certificate:
    """Enter what photos.services.take_in made ready, and hang it on the paper."""

    def make() -> Certificate:
        for photo in enter(photos, doing):
            CertificateScan.objects.create(certificate=paper, photo=photo)
        record(doing.member, "added a picture of a paper", paper.engine, after={"paper": paper.get_kind_display()})
        return paper

    return submit_once(doing.member, mark, make)[0]
