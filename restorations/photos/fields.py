"""Form fields that take pictures and clips in; reading them here keeps decoding out of every transaction."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.photos import clip_check, intake
from restorations.photos.clip_check import NotAClip, check_clip
from restorations.photos.intake import NotAPicture, Picture, read_picture

MOST_AT_ONCE = 12
_LONGEST_NAME = 60


class _ManyFiles(forms.FileInput):
    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Any number of pictures up to twelve; gives a list of Picture, for services.take_in. In any form of any app.

    photos.js shrinks them on the phone before they are sent, wherever the field stands.
    """

    widget = _ManyFiles
    default_error_messages = {
        "required": "Choose a picture first. If you did, it was cut off on the way: send it again."
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("label", "Photos")
        options.setdefault("help_text", f"{intake.LIMITS}; the place they were taken at is not kept.")
        super().__init__(**options)

    def clean(self, data: Any, initial: Any = None) -> Any:
        files = [file for file in data or [] if file]
        if not files and self.required:
            raise ValidationError(self.error_messages["required"], code="required")
        if len(files) > MOST_AT_ONCE:
            raise ValidationError(f"That is {len(files)} pictures; at most {MOST_AT_ONCE} go up at once.")
        read = [_read(file, read_picture) for file in files]
        errors = [error for error in read if isinstance(error, ValidationError)]
        if errors:
            raise ValidationError(errors)
        return read

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {**super().widget_attrs(widget), "accept": "image/*", "data-photos": ""}


class ClipField(forms.FileField):
    """One sound or video; gives a checked Clip of clip_check."""

    default_error_messages = {
        "required": "Choose a sound or video first. If you did, it was cut off on the way: send it again."
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("help_text", f"{clip_check.LIMITS}. One that says where it was made is refused.")
        super().__init__(**options)

    def clean(self, data: Any, initial: Any = None) -> Any:
        if not data:
            raise ValidationError(self.error_messages["required"], code="required")
        read = _read(data, check_clip)
        if isinstance(read, ValidationError):
            raise read
        return read

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {**super().widget_attrs(widget), "accept": "video/*,audio/*"}


def _read(file: Any, read: Callable[[Any], Picture | clip_check.Clip]) -> Any:
    """What was read, or the refusal with the name of the file as the sender knows it."""
    try:
        return read(file)
    except (NotAPicture, NotAClip) as error:
        return ValidationError(f"{str(file.name)[:_LONGEST_NAME]}: {error}")
