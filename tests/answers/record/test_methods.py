"""The methods section: order of the guideline, numbers from the lines, "not recorded" where so."""

from datetime import timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.answers.record.cases import FACTS, entry, times
from tests.answers.record.full import EVENTS, MORE, READINGS, amended, lines
from ullage.answers.record.methods import methods_text
from ullage.answers.record.seen import NOT_RECORDED, case_seen
from ullage.answers.record.things import EntryKind

FULL = case_seen(lines())


#: What a section can say beside what the full case holds.
MORE_FACTS = {
    "machine": "Heron, maker A",
    "chamber volume": "8 L",
    "asepsis": "clipped, scrubbed, draped",
    "care afterwards": "warmed, fed, watched for 2 h",
    "killing": "overdose while under",
    "adverse events expected": "slow waking",
}
MORE_READINGS = [
    (2, "end_tidal_isoflurane", "2.4 %"),
    (10, "air_pressure", "95 kPa"),
    (10, "end_tidal_co2", "38 mmHg"),
    (10, "oxygen_saturation", "98 %"),
]


def everything(**more):
    """The full case, and what else a section can say."""
    readings = sorted([*READINGS, *MORE_READINGS], key=lambda one: one[0])
    found = lines(facts={**FACTS, **MORE, **MORE_FACTS}, readings=readings, **more)
    return [*found, *fluid(len(found) + 1)]


def fluid(order):
    details = {"rate": "10 mL/kg/h", "route": "into a vein"}
    return [entry(order, "saline", "", kind=EntryKind.FLUID, details=details, times=times(8))]


def said(*cases):
    return {one.what: one.says for one in methods_text(cases).rows}


def shorter(minutes=20, **more):
    """A second case: half the animal, another strain, woken later."""
    facts = {**FACTS, **MORE, "weight": "2000 g", "strain": "Dutch", **more}
    events = [(at, word) for at, word in EVENTS if word != "anaesthesia ended"]
    return case_seen(lines(facts=facts, events=[*events, (minutes, "anaesthesia ended")]))


def test_the_items_stand_in_the_order_of_the_guideline():
    # records 4.6: item 8 animals, 9 procedures, 14 ethics, 16 care and monitoring
    order = [one.item.rstrip("abc") for one in methods_text([FULL]).rows]

    assert list(dict.fromkeys(order)) == ["8", "9", "14", "16"]
    assert order == sorted(order, key=int)


def test_nothing_of_a_whole_record_is_left_out():
    assert methods_text([case_seen(everything())]).left_out == ()


@pytest.mark.parametrize(
    ("what", "expected"),
    [
        ("Animals", "1"),
        ("Species", "rabbit"),
        ("Weight", "3.1 kg"),
        ("Agent", "isoflurane"),
        ("Induction", "by inhalation"),
        ("Level at induction", "4 %, 1 entry of 1 animal, as dialled"),
        # 2 and 1.5 % were dialled after induction
        (
            "Level kept, dialled",
            "median 1.75 %, range 1.5 to 2, 2 entries of 1 animal, as dialled",
        ),
        # 1.6 and 1.8 % were measured
        (
            "Level kept, measured",
            "median 1.7 %, range 1.6 to 1.8, 2 entries of 1 animal, end-tidal as measured",
        ),
        ("Carrier gas", "oxygen"),
        ("Inspired oxygen", "97 %, 1 entry of 1 animal"),
        ("Flow", "oxygen median 1.5 L/min, range 1 to 2, 2 entries of 1 animal"),
        ("Breathing system", "non-rebreathing"),
        ("Duration", "32 min"),
        # given at minute -20, the anaesthesia began at 1
        (
            "Drugs given, premedication and pain relief",
            "buprenorphine 0.03 mg/kg under the skin, 21 min before the anaesthesia began",
        ),
        ("When", "8 June 2026"),
        ("Temperature taken", "rectal temperature"),
        # 210, 204, 200 and 200
        ("Heart rate", "median 202 /min, range 200 to 210, 4 entries of 1 animal"),
        ("Mean arterial pressure", "68 mmHg, 1 entry of 1 animal"),
        # 38.1, 37.9 and 37.7 °C
        ("Body temperature", "median 37.9 °C, range 37.7 to 38.1, 3 entries of 1 animal"),
        ("Warming", "warm water blanket"),
        ("Test of depth", "tone of the jaw"),
        ("Protocol", "P-12"),
        ("Adverse events", "0 of 1"),
        ("Deaths under anaesthesia", "0 of 1"),
        ("Watched with", "monitor A"),
        # watched at minutes 6, 10, 15, 20 and 30: gaps of 4, 5, 5 and 10
        ("Written down every", "median 5 min, range 4 min to 10 min, n = 4"),
        ("Time to wake", "5 min, until on its chest"),
    ],
)
def test_each_slot_says_what_the_lines_say(what, expected):
    assert said(FULL)[what] == expected


def test_what_was_watched_is_named_in_words():
    assert said(FULL)["Watched"].startswith("ventilation, heart rate, respiratory rate")


def test_an_empty_record_leaves_no_slot_out():
    methods = methods_text([case_seen([])])
    empty = {one.what for one in methods.rows if not one.is_recorded}

    assert empty == set(methods.left_out) == {one.what for one in methods.rows} - {"Animals"}
    assert methods.paragraph.count(NOT_RECORDED) == len(empty)


@pytest.mark.parametrize(
    ("without", "what"),
    [
        (("agent",), "Agent"),
        (("dial",), "Level kept, dialled"),
        (("end_tidal_isoflurane",), "Level kept, measured"),
        (("phase",), "Level at induction"),
        (("inspired_oxygen",), "Inspired oxygen"),
        (("flow_oxygen",), "Flow"),
        (("anaesthesia began",), "Duration"),
        (("anaesthesia ended",), "Time to wake"),
        (("on its chest",), "Time to wake"),
        (("temperature_rectal",), "Body temperature"),
        (("nothing to report",), "Adverse events"),
        (("awake", "on its chest"), "Deaths under anaesthesia"),
        (("heart_rate",), "Watched with"),
        (("drug",), "Drugs given, premedication and pain relief"),
        (("jaw",), "Test of depth"),
    ],
)
def test_a_slot_without_lines_is_not_recorded(without, what):
    methods = methods_text([case_seen(lines(without))])

    assert what in methods.left_out
    assert f"{what[0].lower()}{what[1:]}: not recorded" in methods.paragraph.replace(
        f"{what}: not", f"{what[0].lower()}{what[1:]}: not"
    )


def test_several_cases_give_median_range_and_how_many_say_what():
    found = said(FULL, shorter())

    assert found["Animals"] == "2"
    assert found["Strain"] == "New Zealand White (1), Dutch (1)"
    # 3.1 kg and 2000 g
    assert found["Weight"] == "median 2.55 kg, range 2 to 3.1, n = 2"
    # 32 and 19 min
    assert found["Duration"] == "median 26 min, range 19 min to 32 min, n = 2"
    assert found["Adverse events"] == "0 of 2"


def test_a_case_of_which_nobody_said_is_not_counted_as_well():
    silent = case_seen(lines(["nothing to report", "awake", "on its chest"]))
    bad = case_seen(
        lines(
            ["nothing to report", "awake", "on its chest"],
            events=[(9, "adverse event"), (12, "died")],
        )
    )

    assert said(FULL, silent)["Adverse events"] == "0 of 2 (not recorded for 1)"
    assert said(FULL, bad, silent)["Adverse events"] == "1 of 3 (not recorded for 1)"
    assert said(FULL, bad, silent)["Deaths under anaesthesia"] == "1 of 3 (not recorded for 1)"


def test_an_animal_that_was_killed_as_planned_is_no_death_under_anaesthesia():
    planned = case_seen(lines(["awake", "on its chest"], events=[(40, "killed")]))

    assert said(planned)["Deaths under anaesthesia"] == "0 of 1"


def test_a_correction_counts_and_not_what_it_corrects():
    found = amended(lines(), "inspired_oxygen", "95 %")

    assert said(case_seen(found))["Inspired oxygen"] == "95 %, 1 entry of 1 animal"


def test_a_dial_that_was_turned_off_at_the_end_is_no_level_that_was_kept():
    # the anaesthesia ended at minute 33; the recovery began at 35
    off = [*READINGS, (33, "dial", "0 %"), (35, "phase", "recovery"), (36, "dial", "0 %")]
    early = [*READINGS, (31, "phase", "recovery"), (32, "dial", "0 %")]
    expected = said(FULL)["Level kept, dialled"]

    assert said(case_seen(lines(readings=off)))["Level kept, dialled"] == expected
    assert said(case_seen(lines(readings=early)))["Level kept, dialled"] == expected


def test_temperatures_in_two_units_are_brought_to_one():
    readings = [*READINGS, (25, "temperature_rectal", "100.4 degF")]
    found = said(case_seen(lines(readings=readings)))

    # 100.4 °F is 38.0 °C
    assert found["Body temperature"] == "median 38 °C, range 37.7 to 38.1, 4 entries of 1 animal"


def test_events_in_the_wrong_order_give_no_time():
    swapped = [(30, "anaesthesia began"), (2, "anaesthesia ended")]

    assert said(case_seen(lines(events=swapped)))["Duration"] == NOT_RECORDED


def test_the_paragraph_has_a_heading_an_item_and_a_sentence_a_subject():
    paragraph = methods_text([FULL]).paragraph

    assert paragraph.startswith("Experimental animals. Animals: 1; species: rabbit;")
    assert "Experimental procedures. Procedure: imaging; when: 8 June 2026; where:" in paragraph
    assert "quick waking. Agent: isoflurane; induction: by inhalation;" in paragraph
    assert "not recorded. Level kept, dialled: median 1.75 %," in paragraph
    assert ". Airway: face mask; ventilation: breathing by itself; duration: 32 min." in paragraph
    assert "Ethical statement. Committee and licence: AWB 7, licence 12-3;" in paragraph
    assert "Animal care and monitoring. Pain relief planned: buprenorphine before." in paragraph
    assert paragraph.endswith("time to wake: 5 min, until on its chest.")


def test_every_slot_with_which_a_sentence_begins_is_a_slot():
    from ullage.answers.record.methods import _BEGINS

    assert {one.what for one in methods_text([FULL]).rows} >= _BEGINS


def test_the_items_rest_on_rows_of_the_facts():
    places = " ".join(one.text for one in methods_text([FULL]).where_from)

    # records_standards ARR-001 to ARR-005 (ARRIVE 2.0 and a journal), ARR-006 (2010)
    assert all(f"ARR-00{number}:" in places for number in (1, 2, 3, 4, 5, 6))


@given(st.sets(st.integers(0, len(READINGS) - 1)), st.sets(st.integers(0, len(EVENTS) - 1)))
def test_whatever_is_left_out_every_slot_still_stands(dropped, unsaid):
    found = lines(
        readings=[one for place, one in enumerate(READINGS) if place not in dropped],
        events=[one for place, one in enumerate(EVENTS) if place not in unsaid],
    )
    methods = methods_text([case_seen(found), FULL])

    assert len(methods.rows) == len(methods_text([]).rows)
    assert all(one.says for one in methods.rows)
    assert "nan" not in methods.paragraph


#: records 4.6, slot by slot, and the name under which the section has it.
SLOTS_OF_THE_FACTS = {
    "agent": ("Agent",),
    "induction %": ("Level at induction", "Level at induction, measured"),
    "maintenance %": ("Level kept, dialled", "Level kept, measured"),
    "carrier gas and FiO2": ("Carrier gas", "Inspired oxygen"),
    "flow L/min": ("Flow",),
    "vaporizer type": ("Vaporizer",),
    "breathing system/chamber volume": ("Breathing system", "Volume of the chamber"),
    "airway": ("Airway",),
    "spontaneous/ventilated": ("Ventilation",),
    "duration": ("Duration",),
    "premedication and analgesia": ("Drugs given, premedication and pain relief",),
    "variables monitored + interval + device": ("Watched", "Written down every", "Watched with"),
    "body temperature by which heater": ("Body temperature", "Warming"),
    "depth test": ("Test of depth",),
    "adverse events n/N": ("Adverse events",),
    "recovery time and criterion": ("Time to wake",),
    "deaths under anaesthesia n/N": ("Deaths under anaesthesia",),
    # items 8, 9, 14 and 16, the list of 2010, the add-on of a journal
    "species, strain, sex": ("Species", "Strain", "Sex"),
    "age, weight, source": ("Age", "Weight", "Source of the animals"),
    "when, where, why": ("When", "Where", "Why this agent, route and dose"),
    "asepsis, care afterwards, killing": ("Asepsis", "Care afterwards", "Killing"),
    "committee + licence": ("Committee and licence", "Protocol"),
    "pain reduction; expected or not": ("Pain relief planned", "Adverse events expected"),
    "endpoints": ("Humane endpoints",),
    "equipment": ("Machine",),
    "HR and expired CO2": ("Heart rate", "End-tidal carbon dioxide"),
}


@pytest.mark.parametrize("asked", SLOTS_OF_THE_FACTS)
def test_each_thing_that_the_facts_ask_for_has_its_slot(asked):
    has = {one.what for one in methods_text([FULL]).rows}

    assert set(SLOTS_OF_THE_FACTS[asked]) <= has


@pytest.mark.parametrize(
    ("what", "expected"),
    [
        ("Level at induction, measured", "2.4 %, 1 entry of 1 animal, end-tidal as measured"),
        ("Pressure of the air", "95 kPa, 1 entry of 1 animal"),
        ("Machine", "Heron, maker A"),
        ("Volume of the chamber", "8 L"),
        ("End-tidal carbon dioxide", "38 mmHg, 1 entry of 1 animal"),
        ("Oxygen saturation", "98 %, 1 entry of 1 animal"),
        # seen at minute 8, the anaesthesia began at 1
        ("Fluids given", "saline 10 mL/kg/h into a vein, 7 min after the anaesthesia began"),
        ("Killing", "overdose while under"),
        ("Adverse events expected", "slow waking"),
    ],
)
def test_what_a_reviewer_asks_besides_is_said_where_it_is_recorded(what, expected):
    assert said(case_seen(everything()))[what] == expected


def test_for_how_many_nobody_said_stands_beside_what_the_others_say():
    bare = case_seen(lines(["heart_rate", "agent", "anaesthesia ended"], facts={"species": "rat"}))
    found = said(FULL, bare)

    assert found["Species"] == "rabbit (1), rat (1)"
    assert found["Strain"] == "New Zealand White (not recorded for 1)"
    assert found["Weight"] == "3.1 kg (not recorded for 1)"
    assert found["Agent"] == "isoflurane (not recorded for 1)"
    assert found["Heart rate"].endswith("4 entries of 1 animal (not recorded for 1)")
    assert found["Duration"] == "32 min (not recorded for 1)"
    assert found["Drugs given, premedication and pain relief"].endswith("2 of 2 animals")


def test_an_adverse_event_is_told_in_its_words():
    found = lines(["nothing to report"])
    event = entry(
        len(found) + 1, "adverse event", "regurgitated", kind=EntryKind.EVENT, times=times(9)
    )

    assert said(case_seen([*found, event]))["Adverse events"] == "1 of 1: regurgitated"


def test_killed_animals_are_counted():
    killed = case_seen(lines(events=[*EVENTS, (70, "killed")]))

    assert said(FULL, killed)["Killing"] == "1 of 2"


def test_a_drug_without_the_beginning_says_that_its_time_is_not_known():
    found = said(case_seen(lines(["anaesthesia began"])))

    assert (
        "time against the beginning not recorded"
        in (found["Drugs given, premedication and pain relief"])
    )


def test_the_section_says_how_its_medians_are_made():
    notes = " ".join(methods_text([FULL]).notes)

    assert "over entries" in notes
    assert "however long it stood" in notes


def test_a_flow_that_was_turned_off_at_the_end_is_no_flow_that_was_kept():
    # the anaesthesia ended at minute 33
    off = [*READINGS, (33, "flow_oxygen", "0 L/min"), (40, "flow_oxygen", "9 L/min")]

    assert said(case_seen(lines(readings=off)))["Flow"] == said(FULL)["Flow"]


def test_the_day_is_that_of_the_place():
    place = timezone(timedelta(hours=-12))

    assert said(case_seen(lines()))["When"] == "8 June 2026"
    assert said(case_seen(lines(), zone=place))["When"] == "7 June 2026"
