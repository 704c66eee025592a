from django.apps import AppConfig
from django.urls import register_converter

from restorations.web.converters import RowNumber


class MembersConfig(AppConfig):
    name = "restorations.members"

    def ready(self) -> None:
        register_converter(RowNumber, "row")
