"""What every test gets: quick password hashing, plain static files, the cast."""

from collections.abc import Iterator

import pytest
from django.conf import settings
from django.test import override_settings
from hypothesis import settings as hypothesis_settings

from tests.cast import cast

__all__ = ["cast"]

# The same examples every time, and no timing: a red run can be run again.
hypothesis_settings.register_profile("clubshop", derandomize=True, deadline=None, database=None)
hypothesis_settings.load_profile("clubshop")


@pytest.fixture(scope="session", autouse=True)
def quick_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Nothing the tests are about: they would only be slower, or need files collected first."""
    static = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    with override_settings(
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        STORAGES={**settings.STORAGES, "staticfiles": static},
        STATIC_ROOT=tmp_path_factory.mktemp("static"),
        DATA_DIR=tmp_path_factory.mktemp("data"),
    ):
        yield
