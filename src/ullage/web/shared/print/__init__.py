"""Pages on paper: day plan, plan of a case, label sheets as PDF, without Django or a network.

`render_pdf(template_name, data)` returns the bytes of a PDF/A-3a that is tagged for readers
(PDF/UA-1), carries the caution line, the site, the date and "page x of y" on every page, and
holds ``data`` as the attached file ``answers.json``. Data is plain JSON; an `Answer` may stand
anywhere in it (as the object, or as the dict of `Answer.as_dict`) and is printed with its
verdict, number, range, sentence and what to do. Keys that are left out are not printed.

Every template takes::

    {"title": str,              # heading and title of the file
     "site": str,               # who it is for
     "date": str,               # in words, "Tuesday 9 June 2026"
     "worked_out": str,         # "09:31": when the answers were worked out
     "paper": "a4"|"us-letter", # a4 when left out
     "note": str}               # a standing note, such as "Invented demo data."

``day`` takes besides::

    {"first": [str, ...],       # what to do, most urgent first; left out: taken from the
                                # answers that are not Fine, Stop before Look again
     "cases": [{"time": "10:30 to 12:20", "name": str, "machine": str,
                "words": str}, ...],                # weight, system, flows in words
     "sources": [{"name": str, "words": str,        # "Alder, oxygen, 71 bar at 07:52"
                  "answers": [Answer, ...]}, ...],  # the first one is printed large
     "day": [Answer, ...],      # answers about the whole day
     "links": [Answer, ...]}    # parts of the chain, one line each

``case`` fits one page and takes besides::

    {"verdict": str, "counts": str, "facts": [str, ...],
     "cares": [{"verdict": str, "lead": str, "more": str}, ...],
     "flows" | "dials" | "rows": [{"name": str, "number_text": str, "range_text": str}, ...],
     "no_dial": str,            # why there is none
     "charts": [{"title": str, "svg": str, "alt": str}, ...],
     "take_care": [str, ...], "known": [{"text": str, "how": str}, ...],
     "answers": [Answer, ...]}  # attached, not printed

``labels`` takes besides::

    {"labels": [{"svg": str, "name": str, "gas": str, "size": str, "line": str}, ...]}

``svg`` is the QR code as SVG text, ``line`` the address it holds.

``machine`` takes besides::

    {"about": str, "ready": Answer,
     "due": [{"task": str, "whose": str, "answer": Answer}, ...],
     "parts": [{"kind": str, "name": str, "about": str, "serial": str, "state": str,
                "reason": str}, ...],
     "events": [{"on": str, "what": str, "whose": str, "who": str, "note": str, "found": str,
                 "withdrawn": str, "by": str}, ...],
     "checks": [{"verdict": str, "at": str, "name": str, "sentence": str, "by": str}, ...],
     "states": [{"at": str, "state": str, "reason": str, "by": str}, ...],
     "files": [{"name": str, "of": str, "sha256": str}, ...]}

``order`` takes besides::

    {"service": str,           # which service was chosen
     "lines": [{"count": "6 cylinders", "name": str, "why": str, "answer": Answer}, ...],
     "open": [{"name": str, "asks": str}, ...]}
"""

from ullage.web.shared.print.render import TEMPLATES, printed, render_pdf

__all__ = ["TEMPLATES", "printed", "render_pdf"]
