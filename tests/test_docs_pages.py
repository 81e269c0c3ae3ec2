"""What the generated pages are made of: tables, variables of the environment, addresses, links."""

import ast

import pytest

from tools import docs_code, docs_data, docs_links, docs_parts
from ullage.answers.equipment import PART_KINDS


def test_a_bar_in_a_cell_stays_in_its_cell():
    lines = list(docs_data.table_of(("a", "b"), [("one | two", "three\nfour")]))

    assert lines == ["| a | b |", "|---|---|", "| one \\| two | three four |"]


def test_values_are_counted_by_table_and_mark():
    page = docs_data.values()

    assert "| trade_rules | common practice, no source | 24 | 0 |" in page
    assert "| rules | common practice, no source | 24 |" in page
    assert "| common_practice | Common practice of the trade; no source | not read |" in page


def test_every_command_shows_its_help_in_eighty_columns():
    page = docs_code.commands()

    assert "Usage: ullage compute [OPTIONS]" in page
    assert max(len(line) for line in page.splitlines()) <= 80


def test_a_formula_shows_what_it_takes_and_where_it_is_from():
    page = docs_code.formula_pages()
    entry = page.partition("### contents_l\n")[2].partition("\n### ")[0]

    assert "| `gauge_kpa` | kPa |" in entry
    assert "One of: oxygen, air" in entry
    assert "| 101.325 |" in entry
    assert "Where from: coolprop" in entry
    assert "ullage compute contents_l gas=oxygen" in entry


def test_every_kind_of_part_says_what_is_written_down_of_it():
    page = docs_parts.parts()

    assert "| Relief valve | `relief_valve` | out of use |" in page
    assert "| Liquid from empty to full | `fill_l` | 0 to 2000 mL |" in page
    assert all(f"`{kind}`" in page for kind in PART_KINDS)


def test_settings_name_the_variables_and_what_a_site_sets():
    page = docs_code.settings()

    assert "| `ULLAGE_HOME` | Folder of the database" in page
    assert "`~/.local/share/ullage`" in page
    assert "| `pressure_unit` | bar |" in page
    assert "`is_demo`" not in page


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ("os.environ.get('ULLAGE_X', 'a')", [("ULLAGE_X", "`a`")]),
        ("os.environ.get('ULLAGE_X', '')", [("ULLAGE_X", "")]),
        ("os.environ.get('ULLAGE_X')", [("ULLAGE_X", "")]),
        ("os.environ.get('ULLAGE_X', Path.home() / 'a/b')", [("ULLAGE_X", "`~/a/b`")]),
        ("os.environ.get('HOME')", []),
        ("os.getcwd()", []),
    ],
)
def test_a_variable_is_found_with_its_default_in_words(code, found):
    assert list(docs_code._asked_for(ast.parse(code, mode="eval").body)) == found


def test_addresses_stand_by_app_with_the_words_of_their_view():
    page = docs_code.addresses()

    assert "## supply" in page
    assert "| `/first-run/` | first_run |" in page
    assert "## Sign-in" in page


def decision(tmp_path, name, text):
    page = tmp_path / "docs" / "decisions" / name
    page.parent.mkdir(parents=True)
    page.write_text(text, "utf-8")
    (tmp_path / "README.md").write_text("# Top\n", "utf-8")
    return "\n".join(docs_links.broken(tmp_path))


def test_a_decision_without_its_headings_is_found(tmp_path):
    found = decision(tmp_path, "0001-x.md", "# 1. X\n\n## Context\n\n## Decision\n")

    assert "docs/decisions/0001-x.md lacks the heading 'Consequences'." in found
    assert "docs/decisions/0001-x.md lacks the heading 'What would change it'." in found
    assert "'Context'" not in found


def test_a_decision_is_named_by_four_digits(tmp_path):
    assert "named by four digits" in decision(tmp_path, "why.md", "# Why\n")


def test_a_page_outside_the_parts_is_found(tmp_path):
    page = tmp_path / "docs" / "notes" / "page.md"
    page.parent.mkdir(parents=True)
    page.write_text("no heading\n", "utf-8")
    (tmp_path / "README.md").write_text("# Top\n[x](docs/notes/page.md#here)\n", "utf-8")
    found = "\n".join(docs_links.broken(tmp_path))

    assert "docs/notes/page.md stands outside tutorials, how-to" in found
    assert "docs/notes/page.md does not begin with a heading." in found
    assert "README.md: docs/notes/page.md#here names no heading of its page." in found


def test_a_link_inside_a_fence_is_only_text(tmp_path):
    readme = "# Top\n```text\n[gone](away.md)\n```\n[me](#top)\n"
    (tmp_path / "README.md").write_text(readme, "utf-8")

    assert not [one for one in docs_links.broken(tmp_path) if one.startswith("README")]


def test_the_index_lists_every_page_under_its_part():
    index = docs_links.index()

    for page in docs_links.pages():
        inside = page.relative_to(docs_links.ROOT).as_posix()
        if inside.count("/") == 2:
            assert f"]({inside.removeprefix('docs/')})" in index
