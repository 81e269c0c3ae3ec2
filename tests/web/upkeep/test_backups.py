"""Backups and drills, and what they find; whole round trips are in test_round_trip."""

import json
import os
import zipfile
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.utils import timezone

from ullage.answers.record.chained import START
from ullage.core.errors import RuleBroken
from ullage.web.cases.models import Line
from ullage.web.shared import signing_key
from ullage.web.shared.append_only import guard, unguard
from ullage.web.upkeep.copies.backup_file import open_backup, unpack
from ullage.web.upkeep.models import BackupRule, UpkeepKind, UpkeepRun
from ullage.web.upkeep.selectors import (
    Rule,
    backup_due,
    backups_folder,
    backups_there,
    health,
    rule_now,
    upkeep_warning,
)
from ullage.web.upkeep.services import backup_if_due, backup_make, drill_make

pytestmark = [pytest.mark.web, pytest.mark.usefixtures("committed")]

NOW = timezone.now()


def change(sql: str, *values: object) -> None:
    """Change a line behind the guards, as somebody who holds the database could."""
    unguard(connection, "cases_line")
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
    guard(connection, "cases_line")


def test_a_backup_holds_everything_and_says_so(filled):
    run = backup_make()
    backup = open_backup(backups_there()[0].path)

    assert run.is_fine, run.says
    assert run.says == "1 record with 33 lines; every chain holds."
    assert backup.faults == ()
    heads = {(one.kind, one.of): (one.count, one.sum) for one in backup.manifest.heads}
    filled.refresh_from_db()
    assert heads["record", str(filled.code)] == (33, filled.head)
    assert heads["register", str(filled.site.code)][0] == 3
    assert backup.manifest.tables["cases_line"] == 33
    assert backup.signature.key == signing_key.public_key_hex()
    assert backups_there()[0].path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in backups_folder().iterdir()] == [backups_there()[0].name]


def test_a_drill_restores_verifies_and_compares(filled):
    backup_make()
    run = drill_make()

    assert run.is_fine, run.says
    assert (run.figures["lines"], run.figures["faults"]) == (33 + 3, 0)
    assert "1 record with 33 lines, and the database still holds them" in run.says


def test_a_drill_without_a_backup_says_so():
    run = drill_make()

    assert (run.is_fine, run.says) == (False, "There is no backup to try. Make one first.")


def test_what_grew_since_the_backup_is_no_fault(filled, entry, operator):
    backup_make()
    from ullage.answers.record.things import Meaning
    from ullage.web.cases.services import record_sign

    record_sign(record=filled, by=operator, meaning=Meaning.REVIEWED)

    assert drill_make().is_fine


def test_a_line_changed_in_the_database_is_found_by_drill_and_backup(filled):
    backup_make()
    line = Line.objects.get(record=filled, order=9)
    change(
        'UPDATE cases_line SET text = replace(text, \'"typed":"106"\', \'"typed":"60"\') '
        "WHERE id = %s",
        line.pk,
    )
    assert Line.objects.get(pk=line.pk).text != line.text

    run = backup_make()
    assert not run.is_fine
    assert "line 9 does not agree with its sum" in run.says
    # It is kept all the same: a damaged database is better than none.
    assert len(backups_there()) == 2
    assert "did not end well" in upkeep_warning(timezone.now())


def test_lines_cut_off_with_their_record_put_back_are_found_by_the_drill(filled):
    backup_make()
    before = Line.objects.get(record=filled, order=20)
    change('DELETE FROM cases_line WHERE record_id = %s AND "order" > 20', filled.pk)
    filled.count, filled.head = 20, before.sum
    filled.save(update_fields=["count", "head"])

    run = drill_make()

    assert not run.is_fine
    assert f"no longer holds record {filled.code}" in run.says
    assert "was registered with 33 lines" in backup_make().says


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("observed_at", "2020-01-01 00:00:00", "the time seen of line 9"),
        ("received_at", "2020-01-01 00:00:00", "the time of receipt of line 9"),
        ("kind", "amendment", "the kind of line 9"),
        ("code", "0" * 32, "the id of line 9"),
        ("sum", START, "line 9 does not agree"),
        ("text", "{}", "line 9 does not agree"),
    ],
)
def test_what_stands_beside_the_text_is_held_to_it(filled, column, value, said):
    change(f'UPDATE cases_line SET "{column}" = %s WHERE "order" = 9', value)  # noqa: S608  # a column above

    assert said in backup_make().says


def test_an_author_put_in_the_place_of_another_is_found(filled, viewer):
    change('UPDATE cases_line SET author_id = %s WHERE "order" = 9', viewer.pk)

    assert "the author of line 9" in backup_make().says


def spoilt(path, how: str):
    """A backup with one thing wrong in it."""
    with zipfile.ZipFile(path) as packed:
        parts = {one: packed.read(one) for one in packed.namelist()}
    manifest = json.loads(parts["manifest.json"])
    copy = next(one for one in parts if one.startswith("ullage."))
    match how:
        case "a bit of the copy":
            whole = bytearray(parts[copy])
            whole[len(whole) // 2] ^= 1
            parts[copy] = bytes(whole)
        case "a copy cut short":
            parts[copy] = parts[copy][:-4096]
        case "another count":
            manifest["tables"]["cases_line"] += 1
        case "another sum":
            manifest["sha256"] = "0" * 64
        case "no signature":
            del parts["signature.json"]
        case "no copy":
            del parts[copy]
        case "another format":
            manifest["format"] = 2
    text = json.dumps(manifest, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    parts["manifest.json"] = text.encode()
    made = path.with_name(f"{path.name[:23]}-9999.backup.zip")
    with zipfile.ZipFile(made, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    return made


@pytest.mark.parametrize(
    "how",
    [
        *("a bit of the copy", "a copy cut short", "another count", "another sum"),
        *("no signature", "no copy", "another format"),
    ],
)
def test_a_backup_that_was_changed_is_not_used(filled, how):
    backup_make()
    made = spoilt(backups_there()[0].path, how)
    run = drill_make(file=made)

    assert not run.is_fine
    assert run.says.startswith(("ullage-", str(made)))
    with pytest.raises(RuleBroken, match=r"^(?:ullage-|/)"):
        unpack(open_backup(made), made.parent)


@pytest.mark.parametrize("wrong", [b"", b"PK\x03\x04", b"\x00" * 5000])
def test_what_is_no_backup_is_one_sentence(home, wrong):
    path = home / "a.zip"
    path.write_bytes(wrong)

    with pytest.raises(RuleBroken, match="no backup that can be read here"):
        open_backup(path)
    with pytest.raises(RuleBroken, match="is not there"):
        open_backup(home / "b.zip")


def test_a_backup_that_another_installation_signed_is_told_by_the_drill(filled):
    backup_make()
    signing_key.signing_key_path().unlink()
    signing_key.public_path().unlink()
    signing_key.signing_key_pem()

    run = drill_make()

    assert not run.is_fine
    assert "which is not ours" in run.says


def test_a_folder_that_is_not_there_is_told_and_not_made(filled, monkeypatch, tmp_path):
    monkeypatch.setenv("ULLAGE_BACKUPS", str(tmp_path / "disk"))

    run = backup_if_due(timezone.now())

    assert not run.is_fine
    assert "Connect its disk" in run.says
    assert "Connect its disk" in upkeep_warning(timezone.now())
    assert not (tmp_path / "disk").exists()


def test_a_backup_that_cannot_be_written_leaves_nothing_behind(filled, monkeypatch):
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "write", full)
    run = backup_make()

    assert (run.is_fine, run.says) == (False, "No space left on device")
    assert list(backups_folder().iterdir()) == []


def test_of_older_days_those_beyond_the_rule_are_let_go(filled, lead):
    BackupRule.objects.create(hour=2, time_zone="UTC", keep_days=2, by=lead, at=timezone.now())
    backups_folder().mkdir()
    for day in ("01", "02", "03"):
        for hour in ("05", "06"):
            (backups_folder() / f"ullage-202606{day}T{hour}0000Z-0000.backup.zip").write_bytes(b"")
    (backups_folder() / "of somebody else.zip").write_bytes(b"")

    assert backup_make().is_fine

    kept = sorted(one.name for one in backups_folder().iterdir())
    assert len(kept) == 4
    assert kept[0] == "of somebody else.zip"
    assert [one[7:15] for one in kept[1:3]] == ["20260603", "20260603"]


def ended_run(kind, ago: timedelta, is_fine=True, now=NOW) -> UpkeepRun:
    return UpkeepRun.objects.create(
        kind=kind, asked_at=now - ago, ended_at=now - ago, is_fine=is_fine, says="Word."
    )


@pytest.mark.parametrize(
    ("local", "hour", "expected"),
    [
        ("2026-06-09 10:00", 3, "2026-06-09 02:00"),  # 03:00 in London in summer
        ("2026-06-09 02:59", 3, "2026-06-08 02:00"),
        ("2026-12-09 10:00", 3, "2026-12-09 03:00"),
        ("2026-03-29 12:00", 1, "2026-03-29 01:00"),  # 01:00 is not there on this night
    ],
)
def test_the_hour_is_of_the_site_in_summer_and_in_winter(local, hour, expected):
    from zoneinfo import ZoneInfo

    zone = ZoneInfo("Europe/London")
    now = datetime.fromisoformat(local).replace(tzinfo=zone)
    moment = Rule(hour=hour, time_zone="Europe/London").last_moment(now)

    assert moment == datetime.fromisoformat(expected).replace(tzinfo=UTC)


def test_a_backup_is_due_once_a_day_and_again_an_hour_after_a_failure():
    rule = Rule(hour=3)
    now = datetime(2026, 6, 9, 10, 0, tzinfo=UTC)
    assert rule_now() == rule
    assert backup_due(now)

    ended_run(UpkeepKind.BACKUP, timedelta(hours=8), now=now)
    assert backup_due(now)
    ended_run(UpkeepKind.BACKUP, timedelta(minutes=70), is_fine=False, now=now)
    assert backup_due(now)
    ended_run(UpkeepKind.BACKUP, timedelta(minutes=50), is_fine=False, now=now)
    assert not backup_due(now)
    ended_run(UpkeepKind.BACKUP, timedelta(minutes=5), now=now)
    assert not backup_due(now)
    assert backup_due(now + timedelta(days=1))


def test_of_two_processes_one_alone_makes_the_backup_that_is_due(filled, monkeypatch):
    from ullage.web.shared.held import held

    backups_folder().mkdir()
    with held(backups_folder() / ".making", alone=True) as is_ours:
        assert is_ours
        assert backup_if_due(timezone.now()) is None
    assert backup_if_due(timezone.now()).is_fine
    assert backup_if_due(timezone.now()) is None


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        ([], ""),
        ([(UpkeepKind.BACKUP, 1, True)], ""),
        ([(UpkeepKind.BACKUP, 37, True)], "37 h old"),
        ([(UpkeepKind.BACKUP, 100, True)], "4 days old"),
        ([(UpkeepKind.BACKUP, 30, True), (UpkeepKind.BACKUP, 1, False)], "did not end well: Word"),
        ([(UpkeepKind.BACKUP, 1, True), (UpkeepKind.DRILL, 2, False)], "drill did not end well"),
        ([(UpkeepKind.DRILL, 3, False), (UpkeepKind.DRILL, 2, True)], ""),
    ],
)
def test_what_leads_are_told(runs, said):
    for kind, hours, is_fine in runs:
        ended_run(kind, timedelta(hours=hours), is_fine)

    warning = upkeep_warning(NOW)

    assert said in warning
    assert bool(said) is bool(warning)


def test_an_installation_without_a_backup_after_a_day_is_told(lead):
    lead.date_joined = NOW - timedelta(hours=37)
    lead.save()

    assert "no backup yet" in upkeep_warning(NOW)


def test_health_tells_what_was_read_back_and_what_is_not_known(filled, home):
    backup_make()
    said = dict(health(NOW))

    if connection.vendor == "sqlite":
        assert said["  synchronous, read back"] == "FULL"
    else:
        with connection.cursor() as cursor:
            cursor.execute("SHOW fsync")
            assert said["  fsync, read back"] == cursor.fetchone()[0]
    assert said["Its offset"] == "not known: no other clock is asked"
    assert said["Last backup"].endswith("fine")
    assert said["Last restore drill"] == "none"
    assert said["Backups kept"] == f"1 in {home / 'backups'}"
    assert "GB of" in said["Free beside the data"]
    signing_key.signing_key_path().unlink()
    assert "NOT FINE" in dict(health(NOW))["Signing key"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_cannot_be_written_to_is_told(filled):
    backups_folder().mkdir(mode=0o500)

    assert "Nothing can be written" in backup_make().says
