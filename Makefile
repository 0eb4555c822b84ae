# Two commands: `make run` plans the example cottage and opens its page, `make test` runs all that CI checks.
VENV ?= .venv
PY := $(VENV)/bin/python
EXAMPLE ?= ferry-cottage
OUT ?= out/$(EXAMPLE)
JOB ?= $(OUT).toml

.PHONY: run test setup lint types rooms units clean

setup:
	@sh scripts/setup.sh $(VENV)

run: setup
	@$(VENV)/bin/snugbay example $(EXAMPLE) --out $(JOB) --force
	@$(VENV)/bin/snugbay plan $(JOB) --out $(OUT)
	@if [ -t 0 ] && [ -t 1 ]; then $(VENV)/bin/snugbay serve $(JOB); \
	else echo "The page: $(VENV)/bin/snugbay serve $(JOB), then http://127.0.0.1:8420/"; fi

test: setup lint types rooms units

lint:
	$(VENV)/bin/ruff check src tests bench builders
	$(VENV)/bin/ruff format --check src tests bench builders

types:
	$(VENV)/bin/mypy

rooms:
	$(VENV)/bin/lint-imports

units:
	$(PY) -m pytest -n 2 --dist loadgroup

clean:
	rm -rf $(VENV) out dist
