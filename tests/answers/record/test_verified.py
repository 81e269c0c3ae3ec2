"""A record is changed, cut, moved and signed anew: what is found, and what is named."""

import hashlib
import json
import os
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.record.cases import (
    AT,
    OTHER,
    PRIVATE,
    PUBLIC,
    case_chain,
    case_lines,
    entry,
    long_chain,
    signed_file,
)
from ullage.answers import Verdict
from ullage.answers.record.chained import START, chained, head_of, link, next_link
from ullage.answers.record.exported import export_chain, read_export
from ullage.answers.record.fixed import fixed_text
from ullage.answers.record.signed import (
    fingerprint,
    private_pem,
    public_hex,
    public_pem,
    sign_head,
    signature_holds,
)
from ullage.answers.record.verified import verify_record
from ullage.answers.record.written import content_of
from ullage.core.errors import PlanUnreadable, RuleBroken, UnreadableQuantity

CHAIN = case_chain()
FILE = signed_file(CHAIN)
PLAIN = export_chain(CHAIN, "r1")
LONG = long_chain(12)


def told(answer):
    return [(one.what, one.result) for one in answer.steps if not one.what.startswith("Signature")]


def lines_changed(change, chain=CHAIN):
    """The file with its lines changed, its head and count as they were before."""
    content = json.loads(export_chain(chain, "r1"))
    content["lines"] = change(content["lines"])
    text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return f"{text}\n".encode()


def test_the_sum_is_that_of_another_program():
    # sha256sum (GNU coreutils) over "ullage record 1\n", 64 zeros, "\n", {"order":1}
    expected = "a1f571aaba81dc9098683c4dd0b1c62455885d21c31da25d4eed60a6a6e432bd"

    assert link(START, '{"order":1}') == expected


def test_the_chain_can_be_worked_out_by_hand():
    sum_before = "0" * 64
    for one in json.loads(PLAIN)["lines"]:
        said = b"ullage record 1\n" + sum_before.encode() + b"\n" + one["text"].encode()
        sum_before = hashlib.sha256(said).hexdigest()
        assert one["sum"] == sum_before
    assert json.loads(PLAIN)["head"] == sum_before


def test_a_record_that_holds_and_is_signed_is_fine():
    answer = verify_record(FILE, [PUBLIC])

    assert answer.verdict is Verdict.FINE
    assert answer.value == 6.0
    assert answer.sentence == (
        "The record r1 holds: 6 lines, and its head is signed with a key that was given."
    )
    assert answer.steps[0].result == f"key {fingerprint(public_hex(PUBLIC))}"


def test_without_a_key_nobody_vouches_for_it():
    for data in (FILE, PLAIN):
        answer = verify_record(data)
        assert answer.verdict is Verdict.LOOK_AGAIN
        assert "no key was given" in answer.sentence
        assert "public key" in answer.todo


@pytest.mark.parametrize(("data", "keys"), [(FILE, [OTHER]), (PLAIN, [PUBLIC])])
def test_with_a_key_that_did_not_sign_it_is_not_taken(data, keys):
    answer = verify_record(data, keys)

    assert answer.verdict is Verdict.STOP
    assert told(answer) == [("The head", "not signed")]


def test_one_of_several_keys_is_enough():
    assert verify_record(FILE, [OTHER, PUBLIC]).verdict is Verdict.FINE


def test_lines_after_the_last_signature_are_named():
    earlier = sign_head(head_of(CHAIN[:4], "r1"), PRIVATE, AT)
    answer = verify_record(export_chain(CHAIN, "r1", signatures=[earlier]), [PUBLIC])

    assert answer.verdict is Verdict.STOP
    assert answer.steps[0].note.startswith("The lines after line 4 are under no signature")


@settings(deadline=None)
@given(st.data())
def test_every_bit_of_a_signed_file_counts(data):
    place = data.draw(st.integers(0, len(FILE) * 8 - 1))
    flipped = bytearray(FILE)
    flipped[place // 8] ^= 1 << place % 8

    assert verify_record(bytes(flipped)).verdict is Verdict.STOP


@pytest.mark.soak
@pytest.mark.skipif("ULLAGE_SOAK" not in os.environ, reason="the full count runs in make soak")
def test_each_single_bit_of_a_whole_signed_file_is_found():
    missed = 0
    for place in range(len(FILE) * 8):
        flipped = bytearray(FILE)
        flipped[place // 8] ^= 1 << place % 8
        missed += verify_record(bytes(flipped)).verdict is not Verdict.STOP

    assert missed == 0


def test_each_bit_of_one_line_is_found_and_the_line_is_named():
    text = CHAIN[2].text.encode("utf-8")
    for place in range(len(text) * 8):
        flipped = bytearray(text)
        flipped[place // 8] ^= 1 << place % 8
        try:
            said = flipped.decode("utf-8")
        except UnicodeDecodeError:
            continue

        def change(lines, said=said):
            lines[2]["text"] = said
            return lines

        answer = verify_record(lines_changed(change))
        assert answer.verdict is Verdict.STOP
        assert any("place 3" in one.what for one in answer.steps), said


@pytest.mark.parametrize("place", range(6))
def test_a_changed_text_is_found_at_its_line_alone(place):
    def change(lines):
        lines[place]["text"] = lines[place]["text"].replace("Vale", "Vane").replace("Orr", "Ott")
        return lines

    answer = verify_record(lines_changed(change))

    assert told(answer) == [(f"Line {place + 1} (place {place + 1})", "changed")]
    assert answer.value == 5.0


@pytest.mark.parametrize("place", range(6))
def test_a_changed_sum_is_found_at_its_line(place):
    def change(lines):
        lines[place]["sum"] = "a" * 64
        return lines

    found = told(verify_record(lines_changed(change)))

    assert found[0] == (f"Line {place + 1} (place {place + 1})", "changed")
    assert all(result == "changed" for _, result in found)


@given(st.integers(1, 10), st.integers(0, 10))
def test_lines_taken_out_are_named(count, start):
    count = min(count, 12 - start)
    answer = verify_record(
        lines_changed(lambda lines: lines[:start] + lines[start + count :], LONG)
    )
    named = f"Line {start + 1}" if count == 1 else f"Lines {start + 1} to {start + count}"

    assert answer.verdict is Verdict.STOP
    assert (named, "missing") in told(answer)


@pytest.mark.parametrize("place", range(1, 6))
def test_behind_a_missing_line_one_line_cannot_be_checked_and_the_rest_holds(place):
    found = told(verify_record(lines_changed(lambda lines: lines[:place] + lines[place + 1 :])))

    assert (f"Line {place + 1}", "missing") in found
    if place < 5:
        assert (f"Line {place + 2} (place {place + 1})", "not to be checked") in found
    assert not [one for one in found if one[1] == "changed" and one[0] != "The end"]


@given(st.data())
def test_two_lines_that_changed_places_are_found(data):
    one = data.draw(st.integers(0, 10))
    two = data.draw(st.integers(one + 1, 11))

    def swap(lines):
        lines[one], lines[two] = lines[two], lines[one]
        return lines

    answer = verify_record(lines_changed(swap, LONG))
    moved = {int(what.split()[1]) for what, result in told(answer) if result == "moved"}

    assert answer.verdict is Verdict.STOP
    assert {one + 1, two + 1} & moved


@settings(max_examples=40)
@given(st.integers(0, 12), st.booleans(), st.integers(1, 13))
def test_a_line_put_in_is_found(place, bound, order):
    """It may even be bound to the line before it, as one who knows the format would do."""
    said = content_of(entry(order, typed="180", number="180", unit="/min"))
    text = json.dumps(said, ensure_ascii=False, sort_keys=True, separators=(",", ":"))

    def put_in(lines):
        before = lines[place - 1]["sum"] if bound and place else START
        return [*lines[:place], {"text": text, "sum": link(before, text)}, *lines[place:]]

    answer = verify_record(lines_changed(put_in, LONG))

    assert answer.verdict is Verdict.STOP
    assert any(f"(place {place + 1})" in what for what, _ in told(answer)) or place == 12


def test_a_copy_of_a_line_is_found():
    answer = verify_record(lines_changed(lambda lines: [*lines[:3], lines[2], *lines[3:]]))

    assert ("Line 3 (place 4)", "added") in told(answer)


def test_a_line_of_another_record_is_named():
    other = case_chain("r2")
    mixed = chained([*(json.loads(one.text) for one in CHAIN[:5]), json.loads(other[5].text)])
    answer = verify_record(signed_file(mixed), [PUBLIC])

    assert told(answer) == [("Line 6 (place 6)", "added")]
    assert "belongs to r2" in answer.steps[0].note


@pytest.mark.parametrize("kept", range(6))
def test_a_tail_cut_off_with_its_head_made_anew_is_caught_by_the_signature(kept):
    cut = read_export(export_chain(CHAIN[:kept], "r1"))
    with_old = export_chain(CHAIN[:kept], "r1", signatures=read_export(FILE).signatures)

    assert cut.stated.count == kept
    assert verify_record(with_old).verdict is Verdict.STOP
    assert verify_record(export_chain(CHAIN[:kept], "r1"), [PUBLIC]).verdict is Verdict.STOP


def test_a_record_written_wholly_anew_is_caught_by_the_key_alone():
    lines = case_lines()
    lines[1] = replace(lines[1], typed="120", number="120")
    anew = chained(content_of(one) for one in lines)

    assert verify_record(export_chain(anew, "r1")).verdict is Verdict.LOOK_AGAIN
    assert verify_record(export_chain(anew, "r1"), [PUBLIC]).verdict is Verdict.STOP
    stolen = export_chain(anew, "r1", signatures=read_export(FILE).signatures)
    assert verify_record(stolen).verdict is Verdict.STOP


def test_what_stays_unseen_is_a_rewrite_with_the_key():
    lines = case_lines()
    lines[1] = replace(lines[1], typed="120", number="120")
    answer = verify_record(signed_file(chained(content_of(one) for one in lines)), [PUBLIC])

    assert answer.verdict is Verdict.FINE
    assert any("can write a record anew" in one for one in answer.cautions)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "its end is missing"),
        (b"%PDF-1.7 of a record", "save the record.json that is attached to it"),
        (b"\xff\xfe", "not text in UTF-8"),
        (b"hello\n", "not JSON"),
        (b"{}\n", "format None"),
        (b'{"format":2}\n', "format 2"),
        (b'{"format":1}\n', "Missing or unknown in the file: count"),
        (FILE[:-1], "its end is missing"),
        (FILE[: len(FILE) // 2], "its end is missing"),
        (FILE + b"\n", "not in the fixed form|not JSON"),
        (FILE.replace(b'"kind":"record"', b'"kind":"recipe"'), "neither a record nor a register"),
        (FILE.replace(b'"count":6,"format"', b'"count":"6","format"'), "how far its chain goes"),
        (PLAIN.replace(b'"signatures":[]', b'"signatures":[{}]'), "has not the parts"),
        (PLAIN.replace(b'"lines":[{', b'"lines":["x",{'), "not a text with its sum"),
    ],
)
def test_a_file_that_is_none_is_told_in_a_sentence(data, why):
    answer = verify_record(data)

    assert answer.verdict is Verdict.STOP
    with pytest.raises(PlanUnreadable, match=why):
        read_export(data)
    assert answer.steps[0].result == "unreadable"


@given(st.binary(max_size=200))
def test_no_file_is_too_odd_for_a_sentence(data):
    assert verify_record(data).verdict is Verdict.STOP


def test_chained_content_that_is_no_line_of_a_record_is_named():
    odd = chained([{"order": 1, "record": "r1", "note": "hello"}])
    answer = verify_record(export_chain(odd, "r1"))

    assert answer.verdict is Verdict.STOP
    assert answer.steps[0].result == "unknown"


@pytest.mark.parametrize("of", ["r1-9", "r1-6", "r1-5", "r1-1", ""])
def test_a_correction_of_what_is_no_entry_before_it_is_named(of):
    lines = case_lines()
    lines[4] = replace(lines[4], of=of)
    answer = verify_record(signed_file(chained(content_of(one) for one in lines)), [PUBLIC])

    assert told(answer) == [("Place 5", "unknown")]
    assert answer.steps[0].note.endswith("which is no entry before it.")


def test_an_empty_record_holds_and_says_how_little_it_is():
    answer = verify_record(export_chain((), "r1"))

    assert answer.verdict is Verdict.LOOK_AGAIN
    assert "0 lines" in answer.sentence


def test_a_register_is_not_taken_for_a_record():
    data = export_chain((), "site-1", "register")

    assert verify_record(data).steps[0].note == "The file holds a register, not a record."


@pytest.mark.parametrize("order", [0, 1, 3, "2", True, None])
def test_the_next_line_has_the_next_number(order):
    with pytest.raises(RuleBroken, match="Line 2 comes next"):
        next_link(CHAIN[0], {"order": order})


def test_a_key_that_is_none_is_refused():
    rsa = "-----BEGIN PUBLIC KEY-----\nAAAA\n-----END PUBLIC KEY-----\n"
    for wrong in ("", "key", rsa, PRIVATE):
        with pytest.raises(UnreadableQuantity, match="no public Ed25519 key"):
            verify_record(FILE, [wrong])
    for wrong in ("", "key", PUBLIC):
        with pytest.raises(UnreadableQuantity, match="no private Ed25519 key"):
            public_pem(wrong)
    with pytest.raises(UnreadableQuantity, match="32 bytes, not 31"):
        private_pem(bytes(31))


@pytest.mark.published("rfc_8032")
def test_a_key_of_the_standard_gives_the_public_key_of_the_standard():
    # RFC 8032, section 7.1, test 1, from memory: secret and public key
    secret = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"

    assert public_hex(public_pem(private_pem(bytes.fromhex(secret)))) == (
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    )


def test_a_signature_covers_kind_name_count_sum_and_time():
    head = head_of(CHAIN, "r1")
    signed = sign_head(head, PRIVATE, AT)

    assert signature_holds(head, signed)
    for other in (
        replace(head, kind="register"),
        replace(head, of="r2"),
        replace(head, count=5),
        replace(head, sum="0" * 64),
    ):
        assert not signature_holds(other, signed)
    assert not signature_holds(head, replace(signed, at="2027-06-08T09:00:00.000000Z"))
    assert not signature_holds(head, replace(signed, key=public_hex(OTHER)))
    assert not signature_holds(head, replace(signed, count=5))
    assert not signature_holds(head, replace(signed, sum="0" * 64))


@pytest.mark.parametrize("order", [(0, 2, 1, 3, 4, 5), (0, 1, 2, 3, 5, 4), (1, 0, 2, 3, 4, 5)])
def test_lines_chained_anew_in_another_order_are_found_by_their_numbers(order):
    lines, before = [], START
    for place in order:
        before = link(before, CHAIN[place].text)
        lines.append(replace(CHAIN[place], sum=before))
    answer = verify_record(export_chain(tuple(lines), "r1"))

    assert answer.verdict is Verdict.STOP
    assert {result for _, result in told(answer)} <= {"added", "unknown"}


def test_a_long_record_is_verified_in_a_moment():
    import time

    data = signed_file(long_chain(1200))
    began = time.perf_counter()
    answer = verify_record(data, [PUBLIC])

    assert answer.verdict is Verdict.FINE
    assert time.perf_counter() - began < 2.0


def test_what_is_missing_is_named_before_what_follows_from_it():
    gone = json.loads(FILE)
    del gone["lines"][2]
    answer = verify_record(f"{fixed_text(gone)}\n".encode(), [PUBLIC])

    assert "Line 3, missing." in answer.sentence
