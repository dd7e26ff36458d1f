# Everything runs inside .venv, set up here from the lock files; nothing else is needed than
# Python 3.11 or newer (with venv) and make.
PYTHON ?= $(shell for p in python3.14 python3.13 python3.12 python3.11 python3; do \
	command -v $$p >/dev/null 2>&1 && $$p -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 && echo $$p && break; done)
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet

.PHONY: demo test check format examples lock clean help

help:
	@echo "make demo      set up and build a first lesson (page and PDF) in demo-output/"
	@echo "make test      set up and run the tests"
	@echo "make check     lint, format, types, layers, spelling of units"
	@echo "make format    mend lint and format"
	@echo "make examples  write the output and pictures of the documentation anew"
	@echo "make lock      pin all dependencies anew"
	@echo "make clean     remove the environment and everything built"

$(VENV)/bin/python:
	@test -n "$(PYTHON)" || { echo "Steadypoint needs Python 3.11 or newer with the venv module; install it, then run make again."; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: requirements/run.lock pyproject.toml | $(VENV)/bin/python
	@echo "Setting up Steadypoint in $(VENV) ..."
	$(PIP) install --require-hashes -r requirements/run.lock
	$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.dev: requirements/dev.lock $(VENV)/.run
	@echo "Setting up the tools for tests and checks in $(VENV) ..."
	$(PIP) install --require-hashes -r requirements/dev.lock
	@touch $@

demo: $(VENV)/.run
	$(BIN)/steadypoint demo --into demo-output

test: $(VENV)/.dev
	$(BIN)/python -m pytest -n auto

check: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python tools/check_units.py

format: $(VENV)/.dev
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

examples: $(VENV)/.dev
	$(BIN)/python tools/arrangement_page.py
	$(BIN)/python tools/examples.py

lock:
	tools/lock.sh

clean:
	rm -rf $(VENV) demo-output build dist
