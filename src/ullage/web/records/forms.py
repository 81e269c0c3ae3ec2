"""What people choose and bring: records of a list, a file to be verified."""

from typing import Any

from django import forms

from ullage.web.records.selectors import FORMS
from ullage.web.records.selectors.files import MOST_BYTES
from ullage.web.records.services import MOST_RECORDS

__all__ = ["GIVEN_AS", "ChosenForm", "FileToVerifyForm"]

#: What several records are given as: an address key, and what stands on its button.
GIVEN_AS = {
    "methods": "Methods section",
    **{key: one.label for key, one in FORMS.items() if not one.is_single},
    "papers": "All as one file of PDFs",
}


class ChosenForm(forms.Form):
    """Some records by their codes, and what is wanted of them."""

    record = forms.TypedMultipleChoiceField(
        coerce=str,
        error_messages={
            "required": "Choose at least one record.",
            "invalid_choice": "One of these records is not at this site.",
        },
    )
    given_as = forms.ChoiceField(
        choices=list(GIVEN_AS.items()),
        error_messages={"required": "Say what you want of them."},
    )

    def __init__(self, *args: Any, codes: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["record"].choices = [(one, one) for one in codes]  # type: ignore[attr-defined]  # a choice field

    def clean_record(self) -> list[str]:
        """Not more of them than go into one file."""
        chosen = list(self.cleaned_data["record"])
        if len(chosen) > MOST_RECORDS:
            raise forms.ValidationError(
                f"Choose at most {MOST_RECORDS} records; {len(chosen)} are chosen."
            )
        return chosen


class FileToVerifyForm(forms.Form):
    """An exported record, a register, or a PDF with a record in it."""

    file = forms.FileField(
        label="File",
        help_text="An exported record or register (JSON), or the PDF of a record.",
        allow_empty_file=True,
        error_messages={"required": "Choose a file first."},
    )

    def clean_file(self) -> bytes:
        """Its bytes; one that is too large is refused."""
        given = self.cleaned_data["file"]
        if (given.size or 0) > MOST_BYTES:
            raise forms.ValidationError(
                f"The file has {given.size / 1e6:.0f} MB; verify it on the command line: "
                "ullage verify FILE"
            )
        content: bytes = given.read(MOST_BYTES + 1)
        if not content:
            raise forms.ValidationError("The file is empty.")
        return content
