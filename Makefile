.PHONY: setup demo check test bench soak lock docs apt
PY := $(shell for p in python3.14 python3.13 python3.12 python3 python; do command -v $$p >/dev/null 2>&1 && \
  $$p -c 'import sys; sys.exit(sys.version_info < (3, 12))' 2>/dev/null && { echo $$p; break; }; done)
V := .venv
RUN := $(V)/bin/python -m

$(V)/stamp: requirements/dev.txt pyproject.toml
	@test -n "$(PY)" || { echo "Ullage needs Python 3.12 or newer; found: $$(python3 --version 2>&1). Install it with your system's package manager or pyenv, then run make again."; exit 1; }
	$(PY) -m venv --clear $(V)
	$(RUN) pip install -q --require-hashes -r requirements/dev.txt
	$(RUN) pip install -q --no-deps -e .
	@touch $@

setup: $(V)/stamp  ## build .venv with the ullage command

demo: $(V)/stamp  ## open the site on made-up data
	$(V)/bin/ullage demo

check: $(V)/stamp  ## what needs no running: format, lint, types, walls, sizes
	$(V)/bin/ruff format --check
	$(V)/bin/ruff check
	$(V)/bin/mypy
	$(V)/bin/lint-imports --no-logo
	$(RUN) tools.measure src/ullage --tests tests --budget > /dev/null
	$(RUN) tools.docs --check

apt: $(V)/stamp  ## the system packages that tests need, installed when missing
	$(RUN) tools.system

test: check apt  ## what decides whether a commit is good; the automatic run calls this
	$(RUN) pytest -q -n 2 -m "not web"
	$(RUN) pytest -q -n 2 --dist loadfile -m "web"
	$(RUN) tools.postgres -- $(RUN) pytest -q -n 2 --dist loadfile -m "web and not journey"

bench: $(V)/stamp  ## one line per Reach figure: name, value, limit, n, seed, met or missed
	$(RUN) benchmarks

soak: $(V)/stamp apt  ## the full counts of what make test runs at a tenth
	ULLAGE_SOAK=1 $(RUN) pytest -q -n 2 -m "soak"

docs: $(V)/stamp  ## write the generated pages of docs/reference and docs/explanation
	$(RUN) tools.docs

lock:  ## pin every requirement with its hashes; the result names no host
	uv pip compile --universal --python-version 3.12 --generate-hashes --no-emit-index-url \
	    --no-emit-find-links --no-annotate --no-header --all-extras pyproject.toml -o requirements/dev.txt
