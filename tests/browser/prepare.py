"""Fills an empty installation with the cast, one engine hardly known and one known well.

Run in a process of its own, by the real settings.
"""

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")
django.setup()

from django.core.management import call_command  # noqa: E402 - Django must be set up first
from django.utils import timezone  # noqa: E402

from restorations.home.demo.engines import pipit  # noqa: E402
from restorations.members.management.serving import bring_up_to_date  # noqa: E402
from restorations.members.models import Member  # noqa: E402
from tests.cast import make_cast  # noqa: E402
from tests.factories import make_engine  # noqa: E402

if __name__ == "__main__":
    bring_up_to_date()
    if not Member.objects.exists():
        cast = make_cast()
        make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))
        pipit(cast.people, at=timezone.now())
    call_command("check")
