#!/usr/bin/env bash
# Installs what Pilewright needs to be built and run on Debian or Ubuntu; with
# "tests" as its argument, what its tests need too. Installs only what is
# missing and may be run again at any time.
set -euo pipefail

run="gcc pkg-config libgl1-mesa-dev xorg-dev libxkbcommon-dev"
tests="xvfb openbox xdotool imagemagick poppler-utils coinor-cbc libgl1-mesa-dri xdg-utils strace"

want="$run"
case "${1:-}" in
  "") ;;
  tests) want="$run $tests" ;;
  *) echo "usage: bash assets/setup.sh [tests]" >&2; exit 2 ;;
esac

if ! command -v go >/dev/null 2>&1; then
  echo "Go is missing: install Go 1.26 or newer from your system's packages or from go.dev, then run this again." >&2
  exit 1
fi

if ! command -v apt-get >/dev/null 2>&1; then
  echo "This is not Debian or Ubuntu, so nothing was installed. Pilewright needs a C compiler and, on Linux,"
  echo "the development files of OpenGL, X11, Xcursor, Xrandr, Xinerama, Xi, Xxf86vm and xkbcommon."
  echo "  macOS:   xcode-select --install"
  echo "  Windows: a MinGW-w64 gcc on the PATH"
  echo "  Fedora:  gcc libX11-devel libXcursor-devel libXrandr-devel libXinerama-devel libXi-devel libXxf86vm-devel libxkbcommon-devel mesa-libGL-devel"
  echo "  Arch:    gcc libgl libxcursor libxrandr libxinerama libxi libxxf86vm libxkbcommon"
  echo "The tests also use Xvfb, openbox, xdotool, ImageMagick, poppler's tools, COIN-OR cbc and strace; those without them are skipped."
  if command -v cc >/dev/null 2>&1 || command -v gcc >/dev/null 2>&1; then exit 0; fi
  exit 1
fi

missing=""
for p in $want; do
  if [ "$(dpkg-query -W -f='${db:Status-Status}' "$p" 2>/dev/null || true)" != installed ]; then missing="$missing $p"; fi
done
if [ -z "$missing" ]; then
  echo "Everything Pilewright needs is installed."
  exit 0
fi

as_root=""
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null 2>&1; then
    echo "These packages are missing and you are not root:$missing" >&2
    echo "Ask whoever looks after this machine to run: apt-get install$missing" >&2
    exit 1
  fi
  as_root="sudo"
fi
echo "Installing:$missing"
$as_root apt-get update -qq
# shellcheck disable=SC2086
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
echo "Done."
