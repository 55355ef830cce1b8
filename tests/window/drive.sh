#!/usr/bin/env bash
# Drives the real window with a pointer and keys, as a person would: opens a job by its path, steps,
# chooses a brace, leaves it out, takes that back, does it again, saves; answers in a lesson; is
# refused a permit and issues another. What is looked at is what others see: the window's title, the
# files beside the job, what the command line says of them. Every step has such a check, so that it
# fails when one does not happen. Wants Xvfb, xdotool and, for pictures, import (ImageMagick).
#
#   tests/window/drive.sh target/debug/standwell [FOLDER FOR PICTURES]
set -u
program=$(realpath "$1")
pictures=${2:-}
here=$(realpath "$(dirname "$0")/../..")
folder=$(mktemp -d)
export XDG_RUNTIME_DIR="$folder/run" XDG_STATE_HOME="$folder/state"
mkdir -p "$XDG_RUNTIME_DIR"
unset WAYLAND_DISPLAY
server=
window=
number="$folder/display"
trap 'kill $window $server 2>/dev/null; wait 2>/dev/null; rm -rf "$folder"' EXIT
Xvfb -displayfd 3 -screen 0 1600x1000x24 -nolisten tcp 3>"$number" 2>/dev/null &
server=$!
for _ in {1..100}; do [[ -s $number ]] && break; sleep 0.1; done
[[ -s $number ]] || { echo 'FAILED: Xvfb did not start'; exit 1; }
DISPLAY=:$(<"$number")
export DISPLAY

picture() { if [[ -n $pictures ]]; then import -window root "$pictures/drive-$1.png"; fi; }
title() { xdotool getwindowname "$id" 2>/dev/null; }
fail() {
    echo "FAILED: $1 (the title is: $(title))"
    cat "$folder/log"
    picture failed
    exit 1
}
# Waits up to a minute and a half for something to be so; a software adapter is slow.
until_so() {
    local _
    for _ in {1..450}; do
        if eval "$2"; then
            echo "ok $SECONDS s: $1"
            return
        fi
        kill -0 "$window" 2>/dev/null || fail "$1: the program ended"
        sleep 0.2
    done
    fail "$1"
}
until_title() { until_so "$1" "[[ \$(title) == *'$2'* ]]"; }
press() { xdotool key "$@"; }
# The pointer is moved twice and rests before it clicks: a frame may take a second.
click() {
    xdotool mousemove $(($1 - 2)) $(($2 - 2))
    sleep 1
    xdotool mousemove "$1" "$2"
    sleep 2
    xdotool click 1
}
open_path() {
    press p
    until_title "its path is asked for" "s path"
    sleep 2
    xdotool type --delay 40 "$1"
    sleep 2
    press Return
}
menu_entry() {
    click 292 23
    sleep 3
    click 292 "$1"
}

job="$folder/tower.ron"
unsaved="$folder/.tower.ron.unsaved"
"$program" scenes --print starter-tower >"$job"
cp "$job" "$folder/as-it-was"
"$program" view starter-tower >"$folder/log" 2>&1 &
window=$!
id=
until_so 'the window is there' 'id=$(xdotool search --name Standwell 2>/dev/null | head -1); [[ -n $id ]]'
xdotool windowfocus "$id"
until_title 'a shipped job is open' 'starter-tower: stage'
picture shipped

open_path "$job"
until_title 'a job is opened by its path' 'tower.ron: stage'
press Home
until_title 'the first stage' 'stage 0 of'
press Right
until_title 'one step on' 'stage 1 of'
press End
last=$("$program" stages "$job" 2>/dev/null | grep -cE '^ *[0-9]+ ')
until_title 'the last stage' "stage $((last - 1)) of $((last - 1))"
press f
sleep 8
picture stepped

# The brace in the middle of the scene, then the first button of its card.
click "${BRACE_X:-806}" "${BRACE_Y:-299}"
sleep 6
picture chosen
click "${BUTTON_X:-1370}" "${BUTTON_Y:-195}"
until_so 'a change is tried and kept beside the job' '[[ -s $unsaved ]]'
grep -q 'TakeOut("main.brace' "$unsaved" || grep -q 'TakeOut(\\"main.brace' "$unsaved" ||
    fail 'what is tried is to leave the brace out'
until_title 'the title says that it is not saved' '(not saved)'
cmp -s "$job" "$folder/as-it-was" || fail 'the job itself is untouched until it is saved'
picture tried
press ctrl+z
until_so 'taken back, nothing is left to keep' '[[ ! -e $unsaved ]]'
press ctrl+y
until_so 'done again' '[[ -s $unsaved ]]'
sleep 3
press ctrl+s
until_so 'saved' 'grep -q "TakeOut(\"main.brace" "$job"'
until_so 'nothing unsaved is left' '[[ ! -e $unsaved ]]'
"$program" changes "$job" | grep -q 'leaves main.brace' || fail 'the command line lists it'
echo 'ok: the command line lists it'

menu_entry 51
until_title 'a lesson begins' 'card 1 of'
press Next
until_title 'its second card' 'card 2 of'
picture lesson
press 2
results="$XDG_STATE_HOME/standwell/results.jsonl"
until_so 'the answer is put down' '[[ -s $results ]]'
until_title 'it is judged' 'of 1 right'
"$program" lesson --results "$results" --csv | grep -q 'first' || fail 'the answer is in the CSV'
picture answered
press Escape
until_title 'back at the job' 'tower.ron: stage'

menu_entry 256
until_title 'a permit over sample data is drafted' 'permit to load, not issued'
sleep 4
picture refused
press Escape
until_title 'back at the job once more' 'tower.ron: stage'

# A job with its own equipment, inspected and released.
site="$folder/site"
mkdir "$site"
cp "$here/tests/permit/job.ron" "$site/job.ron"
sed 's/sample: true/sample: false/' "$here/assets/equipment/sample.ron" >"$site/own.ron"
sed -n '/RECORD: &str = r#"/,/^"#;/p' "$here/tests/permit/fixture.rs" |
    sed -e '1s/.*r#"//' -e '$d' >"$site/job.asbuilt.ron"
open_path "$site/job.ron"
until_title 'the inspected job is open' 'job.ron: stage'
menu_entry 256
until_title 'its permit is drafted' 'permit to load, not issued'
sleep 4
xdotool type --delay 40 'A. Sample'
sleep 3
picture named
# The button below the fields: issue it in this name.
click "${ISSUE_X:-1240}" "${ISSUE_Y:-632}"
until_title 'the permit is issued' 'permit to load, issued'
permit=$(ls "$site"/*.json 2>/dev/null | head -1)
[[ -n $permit ]] || fail 'the permit is a file'
picture issued
"$program" permit verify "$permit" >"$folder/verified" 2>&1 || fail "it holds: $(cat "$folder/verified")"
grep -q 'A. Sample' "$permit" || fail 'it bears the name that was typed'
echo "// a comment" >>"$site/job.ron"
if "$program" permit verify "$permit" >/dev/null 2>&1; then fail 'a comment voids it'; fi
echo 'ok: it holds, and a comment in the scene voids it'
kill -0 "$window" || fail 'the program is still there'
echo "driven in $SECONDS s"
