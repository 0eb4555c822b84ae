#!/bin/sh
# Makes the virtual environment in $1 (default .venv) from requirements.lock and installs Snugbay in it.
# Does nothing when the environment already matches the lock file.
set -eu
cd "$(dirname "$0")/.."
venv=${1:-.venv}
stamp=$venv/.snugbay-setup
want=$(cat requirements.lock pyproject.toml | sha256sum | cut -d' ' -f1)
[ -f "$stamp" ] && [ "$(cat "$stamp")" = "$want" ] && exit 0

python=${PYTHON:-python3}
command -v "$python" >/dev/null 2>&1 || { echo "Snugbay needs Python 3.11 or newer; install the package python3." >&2; exit 1; }
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
    echo "Snugbay needs Python 3.11 or newer; $("$python" --version) was found. Set PYTHON=/path/to/python3.11." >&2
    exit 1
}
if ! "$python" -c 'import ensurepip, venv' >/dev/null 2>&1; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        apt-get update -qq && apt-get install -y -qq python3-venv
    else
        echo "This Python cannot make virtual environments. On Debian: sudo apt-get install python3-venv" >&2
        exit 1
    fi
fi
echo "Setting up $venv (once; a minute or two) ..."
[ -x "$venv/bin/python" ] || "$python" -m venv "$venv"
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
echo "$want" > "$stamp"
