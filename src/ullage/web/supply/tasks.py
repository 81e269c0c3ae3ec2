"""Work done in the background: answers about cylinders, kept with their time.

The work itself is loaded where it is done, so that a page that only queues it stays light.
"""

from django.tasks import task

__all__ = ["work_out_cylinder", "work_out_site"]


@task()
def work_out_cylinder(cylinder_pk: int) -> None:
    """Work out the answers of one cylinder from all that is known of it."""
    from ullage.web.supply.services.working import cylinder_work

    cylinder_work(cylinder_pk=cylinder_pk)


@task()
def work_out_site(site_pk: int) -> None:
    """Work out the answers of every cylinder of a site that may still give gas."""
    from ullage.web.supply.services.working import site_work

    site_work(site_pk=site_pk)
