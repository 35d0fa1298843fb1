# Two commands matter: `make run` and `make test`. A fresh machine needs python3 (3.11 or later, with venv), make and
# the package registry; whatever is missing is said in one line with its cure.

SHELL := /bin/sh
PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.installed

.DEFAULT_GOAL := help
.PHONY: help setup run demo test fmt lint type layers bench soak docs audit lock clean

help: ## say what can be made
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/  make \1\t\2/p' $(MAKEFILE_LIST) | expand -t 16

setup: $(STAMP) ## set up .venv with everything that run and test need

$(STAMP): requirements.lock pyproject.toml
	@command -v $(PYTHON) >/dev/null || { echo "python3 is missing; install Python 3.11 or later"; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "$$($(PYTHON) --version) is too old; install Python 3.11 or later, or name one: make PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || \
		{ echo "this Python cannot make virtual environments; install its venv package (Debian: apt install python3-venv)"; exit 1; }
	@test -x $(BIN)/python || $(PYTHON) -m venv .venv
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --only-binary :all: -r requirements.lock || \
		{ echo "the packages could not be installed; is the package registry reachable?"; exit 1; }
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable . || \
		{ echo "the project itself could not be installed; see the lines above"; exit 1; }
	@touch $(STAMP)

run: setup ## set up, print the decisions of the demonstration day, then answer in a browser until Ctrl-C
	@$(BIN)/gyrewright today
	@$(BIN)/gyrewright desk --demo

demo: setup ## print the decisions of the demonstration day, and end
	@$(BIN)/gyrewright today

test: setup ## run every check: ruff, mypy, import-linter, pytest
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n auto --dist loadfile

fmt: setup ## format the code
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

lint: setup
	$(BIN)/ruff check .

type: setup
	$(BIN)/mypy

layers: setup
	$(BIN)/lint-imports

bench: setup ## measure what the issues ask to be measured
	$(BIN)/python -m bench

soak: setup ## fuzz for a quarter of an hour, then change the checks on purpose for forty minutes
	$(BIN)/python -m soak --minutes 15
	$(BIN)/python -m soak.mutants --minutes 40

audit: ## ask the public database of known holes about every locked package, where the network allows
	@$(PYTHON) .ci/audit.py

lock: ## renew requirements.lock (needs uv)
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --only-binary :all: \
		--group test --group build pyproject.toml -o requirements.lock

clean: ## remove everything that make made
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .hypothesis
