"""A table of a TOML file: each kind of value as people write it, each slip by line and key."""

import re
from enum import StrEnum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers.toml_lines import line_of
from ullage.answers.toml_table import first_table
from ullage.core.errors import PlanUnreadable

LINE = r"^Line {}, {}: "


class Colour(StrEnum):
    """Words to choose from."""

    DARK_RED = "dark red"
    BLUE = "blue"


def table(written):
    return first_table(f"[t]\nkey = {written}\n").table("t")


@pytest.mark.parametrize(
    ("written", "kind", "value"),
    [
        ('"1900 psi"', "pressure", 13_100.04),
        ('"1,900 psig"', "pressure", 13_100.04),
        ('"131 bar"', "pressure", 13_100.0),
        ('"13.1 MPa"', "pressure", 13_100.0),
        ('"133.6 kgf/cm²"', "pressure", 13_101.7),
        ('"760 mmHg"', "pressure", 101.325),
        ('"500 mL/min"', "flow", 0.5),
        ('"0,5 L/min"', "flow", 0.5),
        ('"4.76 litres"', "volume", 4.76),
        ('"24 cu ft"', "volume", 679.604),
        ('"1 h 35"', "time", 95.0),
        ('"90 s"', "time", 1.5),
        ('"25 g"', "mass", 0.025),
        ('"10 lb"', "mass", 4.5359),
        ('"6234 ft"', "length", 1900.12),
        ('"10 %"', "share", 0.1),
        ('"0.1"', "share", 0.1),
        ('"70 °F"', "temperature", 294.261),
    ],
)
def test_a_quantity_is_read_in_our_unit(written, kind, value):
    assert table(written).quantity("key", kind) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("written", "kind", "said"),
    [
        ('"71"', "pressure", "needs its unit"),
        ("71", "pressure", "must be text with its unit"),
        ("true", "pressure", "must be text with its unit"),
        ("nan", "pressure", "must be text with its unit"),
        ("inf", "flow", "must be text with its unit"),
        ('"nan bar"', "pressure", "is not a pressure"),
        ('"inf bar"', "pressure", "is not a pressure"),
        ('""', "pressure", "is not a pressure"),
        ('"71 mPa bar"', "pressure", "is not a unit of pressure"),
        ('"1 mPa"', "pressure", "is not a unit of pressure"),
        ('"-1 bar"', "pressure", "must be 0 or more"),
        ("[1]", "pressure", "must be text with its unit"),
        ('{ bar = "1" }', "pressure", "must be text with its unit"),
        ('"5 kg"', "flow", "is not a unit of flow"),
        ('"1.3 %"', "count", "'%': a count has no unit; write the number alone"),
    ],
)
def test_what_is_no_quantity_is_refused_with_line_and_key(written, kind, said):
    with pytest.raises(PlanUnreadable, match=LINE.format(2, "key")) as refusal:
        table(written).quantity("key", kind)
    assert said in str(refusal.value)


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ({"high": 0.5}, "must be 0 or more and at most 50 %"),
        ({"low": 2.0}, "must be 200 % or more"),
        ({"low": 1.0, "above": True}, "must be above 100 %"),
        ({"low": 2.0, "high": 3.0}, "must be 200 or more and at most 300 %"),
    ],
)
def test_what_is_out_of_its_limits_says_them(limits, said):
    with pytest.raises(PlanUnreadable, match=re.escape(said)):
        table('"100 %"').quantity("key", "share", **limits)


@pytest.mark.parametrize(
    ("written", "kind", "high", "said"),
    [
        ("60000 m", "length", 6000.0, "at most 6000 m"),
        ("50 h", "time", 2880.0, "at most 2880 min"),
        ("900 kg", "mass", 50.0, "at most 50 kg"),
    ],
)
def test_a_limit_is_told_with_its_unit(written, kind, high, said):
    with pytest.raises(PlanUnreadable, match=re.escape(said)):
        table(f'"{written}"').quantity("key", kind, high=high)


def test_both_ends_of_the_limits_are_allowed():
    assert table('"1 L/min"').quantity("key", "flow", low=1.0, high=1.0) == 1.0


def test_what_is_not_there_is_none_or_asked_for():
    empty = first_table("[t]\n").table("t")

    assert empty.quantity("key", "flow") is None
    assert (empty.flag("key"), empty.clock_min("key"), empty.names("key")) == (None, None, ())
    assert (empty.count("key", 3), empty.text("key", "x")) == (3, "x")
    with pytest.raises(PlanUnreadable, match=r"This t needs 'key', such as \"1 L/min\""):
        empty.needed("key", "flow")


@pytest.mark.parametrize(
    ("written", "minutes"),
    [('"00:00"', 0), ('"7:52"', 472), ('"07.52"', 472), ('"7h52"', 472), ('" 23:59 "', 1439),
     ("07:52:30", 472.5), ("07:52:00", 472)],
)  # fmt: skip
def test_a_time_of_day_is_read_as_people_write_it(written, minutes):
    assert table(written).clock_min("key") == minutes


@pytest.mark.parametrize(
    "written", ['"24:00"', '"7:60"', '"752"', '"7:5"', '"noon"', "752", '""', "true", '"-7:52"']
)
def test_what_is_no_time_of_day_is_refused(written):
    with pytest.raises(PlanUnreadable, match=LINE.format(2, "key") + ".*must be a time of day"):
        table(written).clock_min("key")


@pytest.mark.parametrize(
    ("written", "said"),
    [("true", True), ('"yes"', True), ('"No"', False), ("false", False), ('"unknown"', None)],
)
def test_yes_no_and_unknown(written, said):
    assert table(written).flag("key") is said


@pytest.mark.parametrize("written", ['"perhaps"', "1", '""', "[true]"])
def test_what_is_neither_yes_nor_no_is_refused(written):
    with pytest.raises(PlanUnreadable, match="must be true, false or unknown"):
        table(written).flag("key")


@pytest.mark.parametrize(("written", "count"), [("0", 0), ("12", 12), ('"3"', 3), ("1000", 1000)])
def test_a_count_is_a_whole_number(written, count):
    assert table(written).count("key") == count


@pytest.mark.parametrize("written", ["-1", "1001", "1.5", '"1.5"', "true", '"two"', "nan", '"-1"'])
def test_what_is_no_count_is_refused(written):
    with pytest.raises(PlanUnreadable, match="must be a whole number from 0 to 1000"):
        table(written).count("key")


@pytest.mark.parametrize("written", ['"dark red"', '"Dark_Red"', '"DARK RED"'])
def test_a_choice_is_read_in_any_case(written):
    assert table(written).choice("key", Colour, None) is Colour.DARK_RED


@pytest.mark.parametrize(
    ("written", "said"),
    [('"blu"', "the nearest is 'blue'"), ('"xyz"', "known are dark red, blue"), ("5", "words")],
)
def test_what_is_no_choice_names_the_nearest_or_all(written, said):
    with pytest.raises(PlanUnreadable, match=said):
        table(written).choice("key", Colour, None)


def test_a_choice_that_is_not_made_is_its_default_or_asked_for():
    empty = first_table("[t]\n").table("t")

    assert empty.choice("key", Colour, Colour.BLUE) is Colour.BLUE
    with pytest.raises(PlanUnreadable, match="This t needs 'key'"):
        empty.choice("key", Colour, None)


@pytest.mark.parametrize(
    ("written", "names"), [('"Wren"', ("Wren",)), ('["Wren", " Robin "]', ("Wren", "Robin"))]
)
def test_names_are_one_or_several(written, names):
    assert table(written).names("key") == names


@pytest.mark.parametrize("written", ["5", "[5]", '{ a = "b" }'])
def test_what_are_no_names_is_refused(written):
    with pytest.raises(PlanUnreadable, match="must be a list of names"):
        table(written).names("key")


def test_words_are_needed_or_have_a_default():
    assert table('" Wren "').text("key") == "Wren"
    with pytest.raises(PlanUnreadable, match="must be words in quotation marks"):
        table('"  "').text("key")


def test_a_table_and_a_list_of_tables_are_what_they_say():
    with pytest.raises(PlanUnreadable, match="must be a table"):
        table("5").table("key")
    with pytest.raises(PlanUnreadable, match=r"Write \[\[key\]\] once for each"):
        list(table("5").tables("key"))
    with pytest.raises(PlanUnreadable, match=r"Write \[\[key\]\] once for each"):
        list(table("[5]").tables("key"))


def test_a_key_that_nobody_asked_for_is_refused_with_its_nearest():
    told = first_table('[t]\nname = "x"\nguage = "1"\n').table("t")
    told.text("name")
    told.raw("gauge")

    with pytest.raises(PlanUnreadable, match=r"Line 3, guage: .*the nearest is 'gauge'"):
        told.finish()
    told.finish(known=["guage"])


@pytest.mark.parametrize("text", ["", " ", "\n\n", "\t\n"])
def test_an_empty_text_is_refused(text):
    with pytest.raises(PlanUnreadable, match="Line 1: the file is empty"):
        first_table(text)


# --- lines ----------------------------------------------------------------------------------

NESTED = """\
# a comment = "no key"
[day]
"name" = "x"

[[cases]] # first
start = "9:00"
[cases.chamber]
volume = "5 L"

[[cases]]
phases = [
    { name = "a", oxygen = "1 L/min" },
    { name = "b", oxygen = "2 L/min" },
]
[[flowmeter.flows]]
flow = "1"
[[flowmeter.flows]]
flow = "2"
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("day", "name"), 3),
        (("cases", 0, "start"), 6),
        (("cases", 0, "chamber", "volume"), 8),
        (("cases", 1), 10),
        (("cases", 1, "phases", 0, "oxygen"), 12),
        (("cases", 1, "phases", 1, "name"), 13),
        (("flowmeter", "flows", 0, "flow"), 16),
        (("flowmeter", "flows", 1, "flow"), 18),
        (("flowmeter", "flows", 1, "weight"), 17),
        (("nowhere", "name"), 1),
    ],
)
def test_the_line_of_a_key_is_that_of_its_own_table(path, line):
    assert line_of(NESTED, path) == line


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 30), st.integers(1, 8), st.data())
def test_lines_above_move_a_key_by_as_many_lines(above, count, data):
    place = data.draw(st.integers(0, count - 1))
    text = "# words\n" * above + '[[t]]\nname = "x"\nkey = "1 bar"\n' * count

    assert line_of(text, ("t", place, "key")) == above + 3 * (place + 1)
