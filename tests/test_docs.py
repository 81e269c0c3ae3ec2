"""The documents are current, their links lead somewhere, their commands print what they show."""

import re
from pathlib import Path

import pytest

from tools import docs, docs_console, docs_links
from ullage.answers.formulas import formulas
from ullage.cli.house import COMMANDS

ROOT = Path(__file__).parents[1]
TUTORIAL = ROOT / "docs" / "tutorials" / "first-answer.md"


def written(page):
    return (ROOT / page).read_text("utf-8")


@pytest.mark.parametrize("page", docs.GENERATED)
def test_a_generated_page_is_what_the_code_says_now(page):
    assert written(page) == docs.current(page), "run `make docs`"


@pytest.mark.parametrize("page", docs.GENERATED)
def test_a_generated_page_is_the_same_each_time(page):
    assert docs.current(page) == docs.current(page)


@pytest.mark.parametrize("page", docs_console.pages(), ids=lambda page: page.stem)
def test_every_command_of_a_page_prints_what_stands_under_it(page):
    assert list(docs_console.stale(page)) == []


def test_the_first_tutorial_runs_from_the_copy_to_the_site():
    text = TUTORIAL.read_text("utf-8")
    commands = [ran.command for ran in docs_console.blocks_in(text)]
    steps = re.findall(r"^## (\d+)\.", text, re.MULTILINE)

    assert steps == [str(number) for number in range(1, len(steps) + 1)]
    assert any(command.startswith("ullage lasts") for command in commands)
    assert len(commands) >= 5


@pytest.mark.parametrize("target", re.findall(r"^make (\w+)$", TUTORIAL.read_text("utf-8"), re.M))
def test_what_the_tutorial_makes_is_in_the_makefile(target):
    assert re.search(rf"^{target}:", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE)


def test_what_make_demo_opens_is_a_command_that_we_have():
    makefile = (ROOT / "Makefile").read_text("utf-8")
    recipe = re.search(r"^demo:.*\n\t(.+)$", makefile, re.MULTILINE)[1]

    assert recipe.endswith("/bin/ullage demo")
    assert "demo" in COMMANDS


def test_links_and_parts_of_the_documents_are_whole():
    assert list(docs_links.broken()) == []


def test_a_link_that_leads_nowhere_is_found(tmp_path):
    page = tmp_path / "docs" / "how-to" / "page.md"
    page.parent.mkdir(parents=True)
    (tmp_path / "README.md").write_text("# Top\n", "utf-8")
    links = "[gone](away.md) [here](#no-heading) [top](../../README.md)"
    page.write_text(f"# A page\n{links}\n", "utf-8")
    found = "\n".join(docs_links.broken(tmp_path))

    assert "docs/how-to/page.md: away.md leads nowhere." in found
    assert "docs/how-to/page.md: #no-heading names no heading of its page." in found
    assert "README.md leads nowhere" not in found
    assert "docs/tutorials holds no page." in found


def test_every_command_and_formula_has_its_place():
    commands, formula_page = (
        written("docs/reference/commands.md"),
        written("docs/reference/formulas.md"),
    )

    assert all(f"## ullage {name}\n" in commands for name in COMMANDS)
    assert all(f"### {one.name}\n" in formula_page for one in formulas())


def test_every_variable_of_the_environment_is_explained():
    page = written("docs/reference/settings.md")

    assert "`ULLAGE_HOME`" in page
    assert "`ULLAGE_DATABASE`" in page


def test_output_that_is_not_current_is_found(tmp_path):
    page = tmp_path / "page.md"
    page.write_text(
        "# P\n```console\n$ ullage compute kelvin \\\n    celsius_degrees=20\nwrong\n```\n", "utf-8"
    )
    (ran,) = docs_console.blocks_in(page.read_text("utf-8"))

    assert ran.command == "ullage compute kelvin celsius_degrees=20"
    assert "is not current" in next(docs_console.stale(page))
    page.write_text(docs_console.refreshed(page), "utf-8")
    assert "293.15 K" in page.read_text("utf-8")
    assert list(docs_console.stale(page)) == []
