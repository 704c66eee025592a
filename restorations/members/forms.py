"""What is asked at the door, of members about themselves, and of those who run the club."""

import zoneinfo
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.utils import timezone

from restorations.members.models import OFFICES, Club, Member, plain_name
from restorations.members.models.short_codes import DIGITS, is_easily_guessed
from restorations.members.services.invitations import NAME_TAKEN
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, day_field

LONGEST_PASSWORD = 128
PASSWORD_HELP = "At least 8 characters; 15 or more are better. A few words in a row are easiest to remember."  # noqa: S105


def _password(label: str, *, known: bool = False, help_text: str = "") -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": "current-password" if known else "new-password"})
    return forms.CharField(label=label, strip=False, max_length=LONGEST_PASSWORD, widget=widget, help_text=help_text)


class SignInForm(forms.Form):
    name = forms.CharField(
        label="Sign-in name",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = _password("Password", known=True)
    next = forms.CharField(required=False, max_length=300, widget=forms.HiddenInput)


class NewPasswordForm(forms.Form):
    """Asks for a new password twice; `member` lends its names, which will not do as one."""

    def __init__(self, *args: Any, member: Member, **options: Any) -> None:
        super().__init__(*args, **options)
        self.member = member
        self.fields["password"] = _password("New password", help_text=PASSWORD_HELP)
        self.fields["again"] = _password("The same again")

    def clean(self) -> None:
        password = self.cleaned_data.get("password")
        if not password:
            return
        try:
            validate_password(password, self.member)
        except ValidationError as error:
            self.add_error("password", error)
        if "again" in self.cleaned_data and self.cleaned_data["again"] != password:
            self.add_error("again", "The two are not the same.")


class JoinForm(NewPasswordForm):
    sign_in_name = forms.CharField(
        label="Sign-in name",
        max_length=40,
        validators=Member._meta.get_field("sign_in_name").validators,
        help_text="Letters, digits, full stop, hyphen and underline; capitals make no difference.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )

    def clean_sign_in_name(self) -> str:
        name = plain_name(self.cleaned_data["sign_in_name"])
        if Member.objects.filter(sign_in_name=name).exists():
            raise ValidationError(NAME_TAKEN.format(name))
        self.member.sign_in_name = name
        return name


class ChangePasswordForm(NewPasswordForm):
    current = _password("Present password", known=True)


class OwnForm(VersionedForm):
    full_name = forms.CharField(label="Name", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "name"}))
    email = forms.EmailField(
        label="E-mail address",
        required=False,
        max_length=254,
        help_text="Only the secretary and the administrator see it.",
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    current = forms.CharField(
        label="Present password",
        required=False,
        strip=False,
        max_length=LONGEST_PASSWORD,
        help_text="Needed only where the e-mail address changes.",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class ShortCodeForm(forms.Form):
    """Six digits, twice, and the password: whoever finds a phone signed in must not set one."""

    current = _password("Present password", known=True)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["code"] = code_field("Six digits", help_text="No run such as 123456, no digit or pattern repeated.")
        self.fields["again"] = code_field("The same again")

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"]
        if is_easily_guessed(code):
            raise ValidationError("That is among the first anybody would try. Choose six digits without a pattern.")
        return code

    def clean(self) -> None:
        if "again" in self.cleaned_data and self.cleaned_data["again"] != self.cleaned_data.get("code", ""):
            self.add_error("again", "The two are not the same.")


def code_field(label: str, *, help_text: str = "") -> forms.CharField:
    """Six digits, dotted out as they are typed and never given back."""
    widget = forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short"})
    six = RegexValidator(rf"^[0-9]{{{DIGITS}}}\Z", "Six digits, and nothing else.")
    return forms.CharField(label=label, max_length=DIGITS, widget=widget, help_text=help_text, validators=[six])


class CompetentPersonForm(OnceForm):
    member = forms.ModelChoiceField(label="Who stands in", queryset=Member.objects.none(), empty_label="choose")
    from_on = day_field("From")
    until_on = day_field(
        "Until the end of",
        help_text="A year at the most. It ends before, by itself, when the club has a second mentor.",
    )
    why = forms.CharField(label="Why this person", max_length=200, help_text="What they know and have done.")

    def __init__(self, *args: Any, by: Member, **options: Any) -> None:
        super().__init__(*args, **options)
        people = Member.objects.current().filter(is_mentor=False).exclude(pk=by.pk)
        self.fields["member"].queryset = people  # type: ignore[attr-defined]

    def clean_until_on(self) -> Any:
        day = self.cleaned_data["until_on"]
        if day < timezone.localdate():
            raise ValidationError("That day is past.")
        return day


class ReasonForm(OnceForm):
    reason = forms.CharField(label="Why", max_length=200, error_messages={"required": "Say why; it stays readable."})


class InviteForm(OnceForm):
    full_name = forms.CharField(label="Who is to join", max_length=80, help_text="The name as the club writes it.")
    email = forms.EmailField(
        label="E-mail address",
        required=False,
        max_length=254,
        help_text="The way in is sent there. Without one, print the slip and hand it over.",
    )


class OfficesForm(VersionedForm):
    offices = forms.MultipleChoiceField(
        label="Offices",
        choices=[(office, office.capitalize()) for office in OFFICES],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="An office only adds; several go together.",
    )


class LeftForm(VersionedForm):
    left_on = day_field(
        "Left on",
        required=False,
        help_text="From then on the member cannot sign in; what was logged stays. Empty: is a member.",
    )

    def __init__(self, *args: Any, member: Member, **options: Any) -> None:
        super().__init__(*args, **options)
        self.member = member

    def clean_left_on(self) -> Any:
        day = self.cleaned_data["left_on"]
        if day and day > timezone.localdate():
            raise ValidationError("This day is yet to come. Record it when they have left.")
        if day and day < self.member.joined_on:
            raise ValidationError(f"They joined on {self.member.joined_on:%d %b %Y}; they cannot have left before.")
        return day


class ClubForm(VersionedForm, forms.ModelForm):  # type: ignore[type-arg]
    class Meta:
        model = Club
        fields = ("name", "time_zone", "altitude_m", "minutes_per_day_waited", "function_test_minutes")
        labels = {
            "name": "Name of the club",
            "altitude_m": "Height above the sea, metres",
            "minutes_per_day_waited": "A day of waiting, in minutes",
            "function_test_minutes": "Trying the whole engine, in minutes",
        }
        help_texts = {"altitude_m": "The air is thinner higher up, which shifts pressures and boiling points."}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        places = {name for name in zoneinfo.available_timezones() if "/" in name and not name.startswith("Etc/")}
        zones = sorted(places | {"UTC", self.instance.time_zone})
        self.fields["time_zone"].widget = forms.Select(choices=[(name, name.replace("_", " ")) for name in zones])
