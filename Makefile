# make run    install when needed, then open the workshop on this machine
# make test   every test; the browser tests want Debian's chromium
# make check  format, lint, types, import rules, migrations
# make bench  measure, print a table
# make mutants  change each judgement in turn: which change does no test notice? minutes, so not part of make test
# make clean  remove what make built; the workshop's data stays

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
# Two for each core: many tests wait for another process, a browser or a lock.
WORKERS ?= $(shell $(PYTHON) -c 'import os; print(2 * len(os.sched_getaffinity(0)))' 2>/dev/null || echo auto)
PIP := $(BIN)/pip install --quiet --disable-pip-version-check -c constraints.txt

# Compiled modules are kept even where the environment says not to: each worker and each program that a test starts
# would compile them all again.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: run test check bench mutants clean

run: $(VENV)/.installed
	@$(BIN)/tickover open

test: $(VENV)/.installed-dev
	@command -v chromium >/dev/null || { \
		echo "chromium is not installed: the browser tests cannot run (Debian: apt-get install chromium)."; \
		test "$(CI)" != true; }
	$(BIN)/python -m pytest --numprocesses $(WORKERS) --dist worksteal --quiet

check: $(VENV)/.installed-dev
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy src/tickover
	$(BIN)/lint-imports
	DJANGO_SETTINGS_MODULE=tickover.workshop.settings $(BIN)/python -m django makemigrations --check --dry-run

bench: $(VENV)/.installed-dev
	$(BIN)/python -m benchmarks.run_all

# The tool is heavy (50 MB) and wanted rarely: it is installed by its first run.
mutants: $(VENV)/.installed-dev
	$(PIP) -e '.[mutation]'
	$(BIN)/python -m benchmarks.mutation $(MODULES)

clean:
	rm -rf $(VENV) build src/*.egg-info .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find src tests benchmarks -name __pycache__ -type d -exec rm -rf {} +

$(VENV)/.made:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
		echo "tickover needs Python 3.11 or newer. Name one: make run PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { \
		echo "This Python cannot make a virtual environment."; \
		echo "Debian and Ubuntu keep that part in a package of its own: apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(VENV)/.installed: pyproject.toml constraints.txt $(VENV)/.made
	@echo "Installing tickover into $(VENV): a minute or two, the first time only."
	$(PIP) -e .
	@touch $@

$(VENV)/.installed-dev: $(VENV)/.installed
	$(PIP) -e '.[dev]'
	@touch $@
