# `make demo` and `make test` need only Python 3.11 or newer and, the first time, a network:
# they set up .venv from the lock, put the speech model together and check it.

PYTHON ?= python3
BIN := .venv/bin
READY := .venv/ready

.PHONY: demo test bench accuracy lock clean

demo: $(READY)
	@$(BIN)/python demo_audio/demo.py

test: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/mypy demo_audio
	$(BIN)/pytest --ignore=tests/bench

bench: $(READY)
	$(BIN)/pytest -s tests/bench

accuracy: $(READY)
	$(BIN)/python tests/narrations/accuracy.py
	$(BIN)/python tests/narrations/changes.py

$(READY): requirements-dev.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed: make PYTHON=python3.11")'
	@echo "Setting up, once: about 1 GB into .venv, a few minutes (1 of 3: the environment)"
	@$(PYTHON) -m venv --clear .venv
	@echo "Setting up (2 of 3: the libraries, as pinned in requirements-dev.lock)"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@echo "Setting up (3 of 3: the speech model, put together and checked)"
	@$(BIN)/notepipe models base
	@touch $(READY)

# Pins everything again, from what pyproject.toml asks for; the newest releases with UP=--upgrade.
LOCK := --quiet --generate-hashes --allow-unsafe --strip-extras --build-deps-for wheel \
	--no-emit-index-url --no-emit-trusted-host --no-emit-find-links $(UP)
lock: $(READY)
	$(PYTHON) -m venv --clear .venv/lock
	.venv/lock/bin/python -m pip install --quiet pip-tools==7.6.2
	CUSTOM_COMPILE_COMMAND="make lock" .venv/lock/bin/pip-compile $(LOCK) -o requirements.lock pyproject.toml
	CUSTOM_COMPILE_COMMAND="make lock" .venv/lock/bin/pip-compile $(LOCK) --extra dev -c requirements.lock \
		-o requirements-dev.lock pyproject.toml

clean:
	rm -rf .venv build *.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis models/weights
