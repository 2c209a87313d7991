#!/bin/sh
# Installs what the tests need, system libraries included, and passes them all. Debian and its kin.
set -eu
cd "$(dirname "$0")/.."
libraries="python3-venv libgl1 libegl1 libxkbcommon0 libfontconfig1 libdbus-1-3 libglib2.0-0
libxcb-cursor0 libxcb-icccm4 libxcb-image0 libxcb-keysyms1 libxcb-randr0 libxcb-render-util0
libxcb-shape0 libxcb-xkb1 libx11-xcb1 libxkbcommon-x11-0"
if ! dpkg -s $libraries >/dev/null 2>&1; then
  root=""
  [ "$(id -u)" = 0 ] || root="sudo"
  $root apt-get update -qq
  DEBIAN_FRONTEND=noninteractive $root apt-get install -y -qq --no-install-recommends $libraries >/dev/null
fi
[ -x .venv/bin/python ] || python3 -m venv .venv
.venv/bin/python -m pip install --quiet --disable-pip-version-check -e ".[test]"
PATH="$PWD/.venv/bin:$PATH"
ruff check .
ruff format --check .
mypy
lint-imports
python -m pytest -q -n auto
