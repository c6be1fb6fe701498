# `make demo` and `make test` each set up what they need, in .venv, the first time.
# uv is used when it is there; else Python's own venv and pip. Set PYTHON to choose an interpreter.

PYTHON ?= $(shell command -v python3.11 || command -v python3)
UV := $(shell command -v uv)
BIN := .venv/bin
PIN := --generate-hashes --strip-extras --allow-unsafe --build-deps-for editable --quiet \
       --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links

ifdef UV
NEW_VENV = $(UV) venv --quiet --allow-existing --python $(PYTHON) .venv
INSTALL = $(UV) pip install --quiet --python $(BIN)/python
else
NEW_VENV = $(PYTHON) -m venv .venv
INSTALL = $(BIN)/python -m pip install --quiet --disable-pip-version-check
endif

# Compiled modules are kept: each worker, and each command that a test starts, would compile again.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: help demo test lint types layers chromium pytest study bench docs requirements clean

help:
	@echo "make demo          set up, then write and answer the example rig in demo/"
	@echo "make test          set up, then run every check that CI runs"
	@echo "make study         the tests, the long studies included"
	@echo "make stress        what is done to break it: damage, odd requests, load; half an hour, loopback only"
	@echo "make bench         the benchmarks"
	@echo "make docs          build the site into build/site"
	@echo "make requirements  pin the newest versions again"
	@echo "make clean         remove what the above made"

# A verdict is the command's exit code: 0 all within, 1 and 3 are answers too. Others are failures.
demo: .venv/run.stamp
	@$(BIN)/steelyard demo --into demo; code=$$?; \
	case $$code in 0|1|3) ;; *) exit $$code ;; esac

test: lint types layers pytest

lint: .venv/dev.stamp
	$(BIN)/ruff check
	$(BIN)/ruff format --check

types: .venv/dev.stamp
	$(BIN)/mypy

layers: .venv/dev.stamp
	$(BIN)/lint-imports

# The browser tests drive Debian's Chromium; it is installed where it is missing.
chromium:
	@command -v chromium >/dev/null || command -v chromium-browser >/dev/null || { \
	  echo "Installing Chromium for the browser tests ..."; \
	  SUDO=$$(test "$$(id -u)" = 0 || echo sudo); \
	  $$SUDO apt-get install -y -qq chromium >/dev/null 2>&1 \
	  || { $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq chromium >/dev/null; }; \
	} || { echo "Chromium is due for the browser tests: install it and run this again"; exit 1; }

pytest: .venv/dev.stamp chromium
	$(BIN)/pytest -n 2 --dist worksteal

study: .venv/dev.stamp chromium
	STEELYARD_STUDY=1 $(BIN)/pytest -n 2 --dist worksteal

# Each module there is run by itself; all are bounded in count and time.
STRESS = flips fuzz power kill siege crowd lives together
stress: .venv/dev.stamp
	@for one in $(STRESS); do echo "$$one"; $(BIN)/python -m tests.stress.$$one || exit 1; done

bench: .venv/dev.stamp
	OPENBLAS_NUM_THREADS=1 $(BIN)/python benchmarks/run.py

# Every command shown is run, every figure drawn; a warning is an error. Nothing is fetched.
docs: .venv/dev.stamp
	$(BIN)/python docs/build.py
	$(BIN)/python -m sphinx -q -W --keep-going -E -d build/read -b html docs build/site
	$(BIN)/python -m sphinx -q -W --keep-going -d build/read -b doctest docs build/doctest
	@echo "build/site/index.html"

.venv/python.stamp:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
	|| { echo "Steelyard needs Python 3.11 or later: make PYTHON=/path/to/python3.11 ..."; exit 1; }
	$(NEW_VENV)
	@touch $@

.venv/run.stamp: .venv/python.stamp requirements.txt pyproject.toml
	$(INSTALL) --require-hashes -r requirements.txt
	$(INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@

.venv/dev.stamp: .venv/python.stamp requirements.txt requirements-dev.txt pyproject.toml
	$(INSTALL) --require-hashes -r requirements-dev.txt
	$(INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@ .venv/run.stamp

# The files carry pins and hashes only: where packages come from is the machine's own business.
requirements:
	test -x .venv-pins/bin/pip-compile \
	|| { $(PYTHON) -m venv .venv-pins && .venv-pins/bin/python -m pip install --quiet pip-tools; }
	.venv-pins/bin/pip-compile $(PIN) --upgrade -o requirements.txt pyproject.toml
	.venv-pins/bin/pip-compile $(PIN) --upgrade --extra dev -c requirements.txt \
	    -o requirements-dev.txt pyproject.toml
	@if grep -nE '://|^ *-(-index|-extra|-trusted|-find|[if] )' requirements.txt requirements-dev.txt; \
	then echo "an address is left in the requirements files"; exit 1; fi

clean:
	rm -rf .venv .venv-pins demo build dist docs/_run src/steelyard.egg-info
	rm -rf .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
