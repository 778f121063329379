# Every target sets up what it needs: a virtual environment of its own in .venv, made again
# only when pyproject.toml changes. Choose another Python with `make PYTHON=... test`.

VENV := .venv
BIN := $(VENV)/bin
PYTHONS := python3.13 python3.12 python3.11 python3
STATE := $(shell cksum < pyproject.toml | cut -d' ' -f1)
READY_TO_RUN := $(VENV)/.run-$(STATE)
READY_TO_WORK := $(VENV)/.dev-$(STATE)
# Where mypy finds plessor.lexicon, plessor.pipeline and plessor.cli: it cannot follow the
# import hook of an editable install, but follows these links, new files included.
TYPED := $(VENV)/typed/plessor
SAMPLE := samples/hemiplegic-child.opus
# The scripts of bench/ that measure; the others make what the lexicon holds.
MEASURES := bench/overhead.py bench/controls.py bench/localise.py bench/review.py

.DEFAULT_GOAL := help
.PHONY: help demo test lint types unit bench format clean

help:
	@echo "make demo    hear a spoken examination, show the record and what it amounts to"
	@echo "make test    lint, types and tests"
	@echo "make bench   the measurements"
	@echo "make format  format the source"
	@echo "make clean   remove .venv and everything else that was made here"

demo: $(READY_TO_RUN)
	@echo "plessor hear $(SAMPLE) --age 5y4m"
	@$(BIN)/plessor hear $(SAMPLE) --age 5y4m

test: lint types unit

lint: $(READY_TO_WORK)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(READY_TO_WORK) $(TYPED)
	$(BIN)/mypy

unit: $(READY_TO_WORK)
	$(BIN)/pytest

bench: $(READY_TO_WORK)
	@for script in $(MEASURES); do echo "== $$script"; $(BIN)/python $$script || exit 1; done

format: $(READY_TO_WORK)
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

clean:
	rm -rf $(VENV) build dist *.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

$(READY_TO_RUN): | $(BIN)/python
	$(BIN)/python -m pip install --quiet --editable '.[offline-model,review,outputs]'
	@rm -f $(VENV)/.run-* && touch $@

$(READY_TO_WORK): | $(BIN)/python
	$(BIN)/python -m pip install --quiet --editable '.[dev]'
	@rm -f $(VENV)/.run-* $(VENV)/.dev-* && touch $@ $(READY_TO_RUN)

$(TYPED): | $(BIN)/python
	@mkdir -p $@
	@for name in lexicon pipeline cli; do ln -sfn ../../../$$name $@/$$name; done

# The first Python of the list that is of a supported version and can make an environment.
$(BIN)/python:
	@for python in $(PYTHON) $(PYTHONS); do \
	  "$$python" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info < (3, 14))' 2>/dev/null || continue; \
	  rm -rf $(VENV) && "$$python" -m venv $(VENV) >/dev/null 2>&1 && \
	    echo "Made $(VENV) with $$("$$python" --version)." && exit 0; \
	done; \
	rm -rf $(VENV); \
	echo "Plessor needs Python 3.11, 3.12 or 3.13 with its venv module; install one, then run make again." >&2; \
	exit 3
