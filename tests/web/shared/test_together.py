"""Several statements in one trip: each answers for itself, and values are never read as SQL."""

import pytest
from django.db import DatabaseError, connection, transaction

from ullage.web.accounts.models import User
from ullage.web.shared.together import answers_together, insertion, listed
from ullage.web.sites.models import Room, Site

pytestmark = [pytest.mark.web, pytest.mark.django_db]

ODD = "10 %s; DROP TABLE sites_room; -- 'one' \"two\" %(three)s"
NAMED = 'SELECT "name" FROM "sites_site" WHERE "id" = %s'


def test_each_statement_answers_for_itself_and_sees_what_was_done_before_it():
    site = Site.objects.create(name="Fennel Lane", elevation_m=60.0)
    renamed = 'UPDATE "sites_site" SET "name" = %s WHERE "id" = %s'
    before, written, after = answers_together(
        (NAMED, [site.pk]), (renamed, [ODD, site.pk]), (NAMED, [site.pk])
    )
    assert [*before[0], written, *after[0]] == ["Fennel Lane", [], ODD]


def test_a_list_of_none_holds_nothing():
    user = User.objects.create_user(username="otto")
    for keys, wanted in (([], []), ([user.pk, user.pk + 1], [("otto",)])):
        places, values = listed(keys)
        sql = f'SELECT "username" FROM "accounts_user" WHERE "id" IN ({places})'  # noqa: S608  # only places
        (found,) = answers_together((sql, values))
        assert [tuple(one) for one in found] == wanted


def test_rows_are_inserted_as_the_model_itself_would_and_answer_with_their_keys():
    site = Site.objects.create(name="Fennel Lane", elevation_m=60.0)
    fresh = [Room(site=site, name=name, volume_m3=40.5) for name in ("Theatre", ODD)]
    (keys,) = answers_together(insertion(fresh))
    found = [Room.objects.get(pk=key) for (key,) in keys]
    assert [(one.name, one.volume_m3, one.site) for one in found] == [
        ("Theatre", 40.5, site),
        (ODD, 40.5, site),
    ]


def test_a_fault_in_one_statement_leaves_nothing_of_any():
    renamed = ('UPDATE "sites_site" SET "name" = %s', ["elsewhere"])
    site = Site.objects.create(name="Fennel Lane", elevation_m=60.0)
    with pytest.raises(DatabaseError, match="not_there"), transaction.atomic():
        answers_together(renamed, ('SELECT * FROM "not_there"', []))
    site.refresh_from_db()
    assert site.name == "Fennel Lane"
    assert connection.is_usable()
