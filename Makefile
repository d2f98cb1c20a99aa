# Everything a person runs. `make demo` and `make test` set up a bare Debian or Ubuntu machine by themselves.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/pip --disable-pip-version-check --quiet
# BLAS threads spin on small work and slow it; arsis scales over songs and passes instead.
export OPENBLAS_NUM_THREADS = 1
# The build would else ask for the compiler that Python itself was built with, which need not be here.
export CC

SOURCES := pyproject.toml CMakeLists.txt constraints.txt $(shell find src -name '*.py' -o -name '*.c' -o -name '*.h' -o -name '*.j2' -o -name '*.css' -o -name '*.js' -o -name '*.html')

.PHONY: help demo test bench bench-desk bench-advise bench-form soak real lint sanitize pictures clean

help:
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/'

# pip comes last into a new environment: one that was broken off is begun again.
$(BIN)/pip:
	@tools/need python $(PYTHON)
	@$(PYTHON) -m venv $(VENV)

$(VENV)/.installed: $(BIN)/pip $(SOURCES)
	@tools/need compiler
	@echo "installing arsis into $(VENV)"
	@$(PIP) install -c constraints.txt .
	@touch $@

# At one go with arsis, which is then built once; and compiled on all cores, which pip does on one. What cannot
# be compiled is passed over, as there.
$(VENV)/.tested: $(BIN)/pip $(SOURCES)
	@tools/need compiler
	@echo "installing arsis and what the tests need into $(VENV)"
	@$(PIP) install --no-compile -c constraints.txt '.[test]'
	@$(BIN)/python -m compileall -q -j 0 $(VENV)/lib >/dev/null 2>&1 || true
	@touch $(VENV)/.installed $@

$(VENV)/.benched: $(VENV)/.installed
	@echo "installing the peers into $(VENV)"
	@$(PIP) install -c constraints.txt '.[bench]'
	@touch $@

demo: $(VENV)/.installed ## makes the demo release in demo/ and takes it through the whole job
	@$(BIN)/arsis demo demo

test: $(VENV)/.tested ## all tests
	@tools/need tests
	@$(BIN)/python -m pytest -q -n 2 --dist loadscope --no-loadscope-reorder -m 'not soak' tests

soak: $(VENV)/.tested ## long runs: an hour of sound, many random plans
	@tools/need tests
	@$(BIN)/python -m pytest -q -m soak tests

bench: $(VENV)/.benched ## side by side with general-purpose peers
	@tools/need tests
	@$(BIN)/python -m bench.run

bench-desk: $(VENV)/.tested ## how soon a change on the desk is heard, in a real browser
	@tools/need tests
	@$(BIN)/python bench/desk.py

bench-advise: $(VENV)/.tested ## faults planted into good songs, and what `arsis advise` says of them
	@$(BIN)/python bench/advise.py

bench-form: $(VENV)/.tested ## found sections, letters and beats against songs whose form is known
	@$(BIN)/python bench/form/run.py

real: $(VENV)/.tested ## the laws on openly licensed music from Debian packages
	@tools/need tests
	@$(BIN)/python bench/real.py

lint: $(VENV)/.tested ## style, types, import contracts, file sizes
	@$(BIN)/ruff check src tests bench tools
	@$(BIN)/ruff format --check src tests bench tools
	@$(BIN)/mypy src
	@PYTHONPATH=src $(BIN)/lint-imports
	@$(BIN)/python tools/house_rules.py

sanitize: $(VENV)/.tested ## the kernels under the address and undefined-behaviour sanitizers
	@tools/sanitize $(BIN)/python

pictures: $(VENV)/.tested ## the pictures of README and docs, from the demo release
	@$(BIN)/python tools/pictures.py

clean: ## removes what make made
	@rm -rf $(VENV) build dist demo .cache
