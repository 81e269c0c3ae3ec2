import pytest

from ullage.core.errors import AmbiguousSize, UnknownReference
from ullage.core.gas import Gas
from ullage.reference import HowKnown, cylinder_size, cylinder_sizes, letter_traps, table


def test_e_without_a_region_is_the_us_one_and_says_so():
    size = cylinder_size("E")

    assert size.region == "US"
    assert size.water_capacity_l == 4.76
    assert size.water_capacity.how_known is HowKnown.COMPUTED
    assert "same everywhere" in size.remark


def test_the_two_worlds_of_e_agree_within_two_percent():
    american, british = cylinder_size("E", "US"), cylinder_size("E", "UK")

    assert british.water_capacity_l == 4.7
    assert american.water_capacity_l / british.water_capacity_l == pytest.approx(1, abs=0.02)


def test_h_and_k_are_one_size():
    assert cylinder_size("K") == cylinder_size("h") == cylinder_size("H/K")


@pytest.mark.parametrize(("letter", "american", "british"), [("G", 33, 23.6), ("D", 2.88, 2.3)])
def test_a_letter_that_means_two_cylinders_is_asked_about(letter, american, british):
    with pytest.raises(AmbiguousSize, match=f"{american:g} L.* or {letter}.* {british:g} L"):
        cylinder_size(letter)

    assert cylinder_size(letter, "US").water_capacity_l == american
    assert cylinder_size(letter, "ISO").water_capacity_l == british


def test_a_letter_that_a_table_prints_in_the_wrong_world_is_asked_about():
    with pytest.raises(AmbiguousSize, match="F is a UK letter"):
        cylinder_size("F")

    assert cylinder_size("F", "UK").water_capacity_l == 9.4


def test_an_impossible_capacity_is_kept_and_never_used():
    size = cylinder_size("F", "UK")

    assert [row.value for row in size.doubted] == [17]
    assert 17 not in [row.value for row in size.water]


@pytest.mark.parametrize(
    ("letter", "region", "sentence"),
    [("X", None, "No cylinder size 'X'"), ("M60", "UK", "in UK/ISO"), ("E", "Mars", "Regions: US")],
)
def test_what_is_not_known_is_answered_with_what_is(letter, region, sentence):
    with pytest.raises(UnknownReference, match=sentence):
        cylinder_size(letter, region)


# StatPearls, Dosch & Tharp after CGA P-2: E holds 660 L of oxygen at 1900 psi and 70 °F.
@pytest.mark.published("supply_S2")
def test_e_is_printed_with_660_l_at_1900_psi():
    printed = [one for one in cylinder_size("E").contents if one.volume.source == "supply_S2"]

    assert (printed[0].gas, printed[0].volume.value) == (Gas.OXYGEN, 660)
    assert printed[0].fill_gauge_kpa == pytest.approx(13_100, abs=1)


def test_a_size_whose_fill_nobody_prints_has_none():
    assert cylinder_size("CD").fill_gauge_kpa(Gas.NITROUS_OXIDE) is None
    assert cylinder_size("CD").fill_gauge_kpa() == 23_000


def test_every_size_has_a_capacity_and_a_title_of_its_own():
    sizes = cylinder_sizes()

    assert all(size.water_capacity_l > 0 for size in sizes)
    assert len({size.title for size in sizes}) == len(sizes) >= 18


def test_the_sizes_are_the_rows_of_their_table():
    kinds = ("water", "fills", "doubted", "heights", "diameters", "tares")
    held = sum(len(getattr(size, kind)) for size in cylinder_sizes() for kind in kinds)
    held += sum(len(size.contents) for size in cylinder_sizes())
    apart = [key for key in table("cylinder_sizes") if key.startswith(("traps.", "identify."))]

    assert held + len(apart) == len(table("cylinder_sizes"))


def test_each_trap_names_its_source():
    assert {"G", "D", "F"} <= letter_traps().keys()
    assert all(trap.source for trap in letter_traps().values())
