"""Work done in the background: the answers of a day, kept with their time."""

from datetime import date

from django.tasks import task

from ullage.web.days.services.working import day_work

__all__ = ["work_out_day"]


@task()
def work_out_day(site_pk: int, day: str) -> None:
    """Work out the answers of one day of a site."""
    day_work(site_pk=site_pk, day=date.fromisoformat(day), only_if_asked=True)
