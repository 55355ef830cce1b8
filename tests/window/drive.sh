#!/bin/bash
# Drives the real window with a pointer and keys, as a person would: opens a job, steps, chooses a
# brace, leaves it out, takes that back, does it again, saves. What is looked at is the file beside
# the job and the job itself. Wants Xvfb, xdotool and, for pictures, import (ImageMagick).
#
#   tests/window/drive.sh target/debug/standwell [FOLDER FOR PICTURES]
set -u
program=$(realpath "$1")
pictures=${2:-}
folder=$(mktemp -d)
export DISPLAY=:93 XDG_RUNTIME_DIR="$folder"
Xvfb "$DISPLAY" -screen 0 1600x1000x24 >/dev/null 2>&1 &
server=$!
window=
trap 'kill $window $server 2>/dev/null; rm -rf "$folder"' EXIT
sleep 2
job="$folder/tower.ron"
unsaved="$folder/.tower.ron.unsaved"
"$program" scenes --print starter-tower >"$job"
cp "$job" "$folder/as-it-was"
"$program" view "$job" >"$folder/log" 2>&1 &
window=$!

picture() { if [ -n "$pictures" ]; then import -window root "$pictures/$1.png"; fi; }
fail() { echo "FAILED: $1"; cat "$folder/log"; picture failed; exit 1; }
# Waits up to a minute and a half for something to be so; a software adapter is slow.
until_so() {
    for _ in $(seq 90); do
        if eval "$2"; then echo "ok: $1"; return; fi
        sleep 1
    done
    fail "$1"
}

until_so "the window is there" 'id=$(xdotool search --name Standwell 2>/dev/null | head -1); [ -n "$id" ]'
xdotool windowfocus "$id"
sleep 15
picture opened
xdotool key Left; sleep 3; xdotool key Right; sleep 6
picture stepped
# The brace A1-B1 in the middle of the scene, then the first button of its card.
xdotool mousemove 716 444; sleep 2; xdotool mousemove 714 446; sleep 4; xdotool click 1; sleep 10
picture chosen
xdotool mousemove 1368 192; sleep 2; xdotool mousemove 1370 195; sleep 4; xdotool click 1
until_so "a change is tried and kept beside the job" '[ -s "$unsaved" ]'
sleep 10
picture tried
cmp -s "$job" "$folder/as-it-was" || fail "the job itself is untouched until it is saved"
xdotool key ctrl+z
until_so "taken back, nothing is left to keep" '[ ! -e "$unsaved" ]'
xdotool key ctrl+y
until_so "done again" '[ -s "$unsaved" ]'
sleep 5
xdotool key ctrl+s
until_so "saved" 'grep -q "TakeOut(\"main.brace.A1-B1" "$job"'
until_so "nothing unsaved is left" '[ ! -e "$unsaved" ]'
picture saved
"$program" changes "$job" | grep -q "leaves main.brace.A1-B1" || fail "the command line lists it"
echo "ok: the command line lists it"
