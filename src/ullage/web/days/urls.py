"""Addresses of the days app."""

from datetime import date

from django.urls import path, register_converter

from ullage.web.days.views import cases, compare, day, plan_air, plan_case, sheet, today

app_name = "days"


class DayConverter:
    """A date in an address, ``2026-06-09``; one that is no date, or ages away, is not found."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        """The date of the words."""
        # Ages away the day before or after may be no date; words that are none are not found.
        return date.fromisoformat(value if "1900" <= value[:4] < "2200" else "")

    def to_url(self, value: date | str) -> str:
        """The words of the date."""
        return value if isinstance(value, str) else value.isoformat()


register_converter(DayConverter, "day")

urlpatterns = [
    path("", today.today, name="today"),
    path("day/", day.plan, name="plan"),
    path("day/<day:day>/", day.day, name="day"),
    path("day/<day:day>/plan.pdf", day.pdf, name="pdf"),
    path("day/<day:day>/add/", cases.add, name="add"),
    path("day/<day:day>/case/", plan_case.new, name="plan_new"),
    path("day/<day:day>/copy/", day.copy, name="copy"),
    path("case/answers/", plan_case.answers, name="case_answers"),
    path("case/changes/", plan_case.changes, name="case_changes"),
    path("case/air/", plan_air.air, name="case_air"),
    path("case/compare/", compare.compare, name="compare"),
    path("case/sheet.pdf", sheet.typed, name="sheet"),
    path("case/<uuid:code>/", cases.case, name="case"),
    path("case/<uuid:code>/plan/", plan_case.case, name="plan_case"),
    path("case/<uuid:code>/plan.pdf", sheet.kept, name="case_sheet"),
    path("case/<uuid:code>/move/", cases.move, name="move"),
    path("case/<uuid:code>/machine/", cases.take, name="take"),
    path("case/<uuid:code>/copy/", cases.again, name="again"),
    path("case/<uuid:code>/cancel/", cases.cancel, name="cancel"),
    path("case/<uuid:code>/restore/", cases.restore, name="restore"),
    path("case/<uuid:code>/begin/", cases.begin, name="begin"),
    path("case/<uuid:code>/end/", cases.end, name="end"),
]
