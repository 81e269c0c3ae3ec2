"""What stands around every request, as a browser meets it."""

import pytest
from django.urls import reverse

pytestmark = pytest.mark.web


def test_a_step_that_is_opened_as_a_page_is_told_in_a_sentence(as_lead):
    page = as_lead.get(reverse("records:several"))

    assert (page.status_code, page["Allow"]) == (405, "POST")
    assert b"It is reached by its button" in page.content
    assert b"Decision support" in page.content


def test_programs_get_their_answer_as_it_is(as_lead):
    reply = as_lead.delete(reverse("records:several"))

    assert (reply.status_code, reply.content) == (405, b"")
