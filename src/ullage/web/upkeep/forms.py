"""When backups are made, and for how many days each is kept."""

from django import forms

from ullage.web.shared.forms import SiteForm

__all__ = ["RuleForm"]

_LONGEST_DAYS = 3_650


class RuleForm(SiteForm):
    """The rule of backups, by the clock of the site."""

    hour = forms.IntegerField(
        label="Hour of the day",
        min_value=0,
        max_value=23,
        help_text="0 to 23, by the clock of this site. Choose one at which nobody is under.",
    )
    keep_days = forms.IntegerField(
        label="Keep them for this many days",
        min_value=2,
        max_value=_LONGEST_DAYS,
        help_text="Days that have a backup are counted; older backups are let go.",
    )
