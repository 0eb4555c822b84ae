# Two commands: `make run` plans the example cottage, `make test` runs all that CI checks.
VENV ?= .venv
PY := $(VENV)/bin/python
EXAMPLE ?= ferry-cottage
OUT ?= out/$(EXAMPLE)

.PHONY: run test setup lint types rooms units bench clean

setup:
	@sh scripts/setup.sh $(VENV)

run: setup
	@mkdir -p $(OUT)
	@$(VENV)/bin/snugbay example $(EXAMPLE) --out $(OUT)/job.toml --force
	@$(VENV)/bin/snugbay plan $(OUT)/job.toml --out $(OUT)

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
