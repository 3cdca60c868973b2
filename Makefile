# Everything a clone needs: `make test`, `make check`, `make demo`. Needs git, make and Python 3.11 or later.
# POSIX sh only. As root on Debian it installs the system packages it misses; otherwise it names them.

PYTHON ?= python3
VENV = .venv
PY = $(VENV)/bin/python
PORT ?= 8000
HOST ?= 127.0.0.1
PROFILE ?= us
RESET ?= 0
PYTEST ?=
# One more than there are cores: browser stories and servers leave some of their time unused.
WORKERS ?= $(shell expr $$(getconf _NPROCESSORS_ONLN) + 1)
MODULES ?=
HOSTILE ?= 12000
SEED ?= 1
SHARE ?= 1
SOAK ?= 0.1
ONLY ?=
# Every test without a server; each file of browser stories keeps to one.
TESTS = -n $(WORKERS) --dist loadgroup -m 'not postgres and not redis'
CHECKS = check-types check-templates check-unused check-django check-layers check-style
CORES = $(shell getconf _NPROCESSORS_ONLN)
PRODUCTION = COLDSET_SECRET_KEY=only-to-check-the-settings-0123456789-abcdefghijklmnopqrstuvwxyz COLDSET_HTTPS=1 \
	COLDSET_HOSTS=kitchen.example COLDSET_SITE_URL=https://kitchen.example COLDSET_DEBUG=0 COLDSET_DB=:memory:

# Compiled modules are kept, even where the environment says otherwise: the tests and proofs start hundreds of processes.
export PYTHONDONTWRITEBYTECODE =

.PHONY: help setup test test-browser test-services soak hostile coverage check mutants bench bench-services start \
	demo pictures lock words

help:
	@echo 'make setup         install into .venv (the other targets do it when needed)'
	@echo 'make test          run the tests on all cores; PYTEST="-k word" passes options on, WORKERS=0 is one process'
	@echo 'make test-browser  run the browser stories alone'
	@echo 'make test-services run the tests that use a database on PostgreSQL and Redis, and a tenth of the soak'
	@echo 'make soak          prove under load and faults; SHARE=0.1 is a tenth, ONLY="crashes mails" these alone, SEED=2 others'
	@echo 'make hostile       send 12,000 hostile requests and documents; HOSTILE=100000 more, SEED=2 others'
	@echo 'make coverage      run the tests and tell which branches of costing and orders they run'
	@echo 'make check         lint, types, layers, unused names, templates, migrations, deployment settings'
	@echo 'make mutants       change the money modules a little and tell what no test notices; MODULES="costing/money"'
	@echo 'make bench         measure the speed'
	@echo 'make bench-services  measure a kitchen of 300,000 documents on SQLite and on PostgreSQL; takes some minutes'
	@echo 'make start         serve a kitchen of your own on PORT=8000: makes key and database, prints a link to set it up'
	@echo 'make demo          serve the demo kitchen on PORT=8000; PROFILE=us or eu, RESET=1 starts it over'
	@echo 'make pictures      shoot the pictures of the README from the demo kitchen'
	@echo 'make lock          write constraints.txt anew from pyproject.toml'
	@echo 'make words         add texts that are new to the British catalog (config/locale)'

setup: $(VENV)/.installed
	@sh config/scripts/pango.sh $(PY)

$(VENV)/.installed: constraints.txt config/scripts/install.sh
	@sh config/scripts/install.sh $(PYTHON) $(VENV)

test: setup
	@sh config/scripts/chromium.sh
	$(PY) -m pytest $(TESTS) $(PYTEST)

test-browser: setup
	@sh config/scripts/chromium.sh
	$(PY) -m pytest -n $(WORKERS) --dist loadgroup -m browser $(PYTEST)

test-services: setup
	@SHARE='$(SOAK)' SEED='$(SEED)' ONLY='$(ONLY)' sh config/scripts/with_servers.sh \
		sh config/scripts/on_services.sh $(PY) -n $(WORKERS) --dist loadgroup -m 'not browser and not serverless' \
		$(if $(PYTEST),$(PYTEST),tests/contract tests/hostile tests/integration)

soak: setup
	@SHARE='$(SHARE)' SEED='$(SEED)' ONLY='$(ONLY)' sh config/scripts/with_servers.sh $(PY) -m tests.soak

hostile: setup
	COLDSET_HOSTILE=$(HOSTILE) COLDSET_HOSTILE_SEED=$(SEED) $(PY) -m pytest tests/hostile -rP --show-capture=stdout $(PYTEST)

coverage: setup
	@sh config/scripts/chromium.sh
	$(PY) -m pytest $(TESTS) --cov --cov-report= $(PYTEST)
	@$(PY) config/scripts/coverage_table.py

# Beside each other on all cores, the longest first; what each prints stays together.
check: setup
	@$(MAKE) --no-print-directory --jobs $(CORES) --output-sync=target --keep-going $(CHECKS)

.PHONY: $(CHECKS)
check-types:
	$(VENV)/bin/mypy
check-templates:
	$(VENV)/bin/djlint templates --lint --quiet
	$(PRODUCTION) $(PY) manage.py compile_templates
check-unused:
	$(PY) config/scripts/unused.py
check-django:
	$(PRODUCTION) $(PY) manage.py makemigrations --check --dry-run
	$(PRODUCTION) $(PY) manage.py check --deploy --fail-level WARNING
check-layers:
	$(VENV)/bin/lint-imports
check-style:
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .

mutants: setup
	$(PY) -m tests.mutants $(MODULES)

bench: setup
	@for file in tests/bench/bench_*.py; do \
		module=$$(echo "$${file%.py}" | tr / .); echo "== $$file"; $(PY) -m "$$module" || exit 1; \
	done

bench-services: setup
	@sh config/scripts/with_servers.sh $(PY) -m tests.bench.services

start: setup
	@exec $(PY) manage.py start --port '$(PORT)'

demo: setup
	@exec env PROFILE='$(PROFILE)' RESET='$(RESET)' PORT='$(PORT)' HOST='$(HOST)' sh config/scripts/demo.sh $(PY)

pictures: setup
	@sh config/scripts/chromium.sh
	@ACT=pictures PROFILE=us RESET=0 PORT=8467 HOST=127.0.0.1 sh config/scripts/demo.sh $(PY)

lock: setup
	@sh config/scripts/lock.sh $(VENV)/bin/uv

words: setup
	@$(PRODUCTION) $(PY) manage.py words
