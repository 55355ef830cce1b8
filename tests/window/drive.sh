#!/usr/bin/env bash
# Drives the real window with a pointer and keys, as a person would: opens a job by its path, steps,
# chooses a brace, leaves it out, takes that back, does it again, saves; answers in a lesson; is
# refused a permit, walks a station, issues another permit and sees it void. What is looked at is what
# others see: the window's title, the files beside the job, what the command line says of them. Every
# step has such a check, so that it fails when one does not happen. Wants Xvfb, xdotool and, for
# pictures, import (ImageMagick).
#
#   tests/window/drive.sh target/debug/standwell [FOLDER FOR PICTURES]
set -u
program=$(realpath "$1")
pictures=${2:-}
here=$(realpath "$(dirname "$0")/../..")
folder=$(mktemp -d)
export XDG_RUNTIME_DIR="$folder/run" XDG_STATE_HOME="$folder/state"
# The window writes down where each named thing lies: nothing here knows the layout.
export STANDWELL_PLACES="$folder/places"
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
# Waits up to a minute and a half for something to be so, or so many times as long; a software adapter
# is slow.
until_so() {
    local tries
    for ((tries = 0; tries < 450 * ${3:-1}; tries++)); do
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
# The middle of the first thing of a kind whose name begins as given.
where() {
    awk -F'\t' -v kind="$1" -v name="$2" \
        '$1 == kind && index($4, name) == 1 { print $2, $3; exit }' "$STANDWELL_PLACES" 2>/dev/null
}
# Clicks it, once it has come to rest: a frame may take a second. The pointer is moved twice, and
# rests before it clicks.
click() {
    local at= before=none _
    for _ in {1..90}; do
        at=$(where "$1" "$2")
        [[ -n $at && $at == "$before" ]] && break
        before=$at
        sleep 1
    done
    [[ -n $at ]] || {
        cut -f1,4 "$STANDWELL_PLACES"
        fail "there is no $1 '$2' in the window"
    }
    local x=${at% *} y=${at#* }
    xdotool mousemove $((x - 2)) $((y - 2))
    sleep 1
    xdotool mousemove "$x" "$y"
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
type_into() {
    click TextInput "$1"
    until_so "the keyboard is in '$1'" '[[ -n $(where "TextInput here" "'"$1"'") ]]'
    xdotool type --delay 40 "$2"
    sleep 2
}
menu_entry() {
    click Button 'Teach, walk, sign'
    click Button "$1"
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
# The title is there before the first frame is drawn.
sleep 8
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

click member main.brace.
click Button 'Leave it out'
picture chosen
until_so 'a change is tried and kept beside the job' '[[ -s $unsaved ]]'
grep -q 'TakeOut("main.brace' "$unsaved" || grep -q 'TakeOut(\\"main.brace' "$unsaved" ||
    fail 'what is tried is to leave the brace out'
until_title 'the title says that it is not saved' '(not saved)'
cmp -s "$job" "$folder/as-it-was" || fail 'the job itself is untouched until it is saved'
sleep 5
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

menu_entry 'Lesson: first tower'
until_title 'a lesson begins' 'card 1 of 8'
type_into 'Who is trained' 'N. Sample'
picture lesson
click Button 'Next'
until_title 'its second card' 'card 2 of 8'
press 1
results="$XDG_STATE_HOME/standwell/results.jsonl"
until_so 'the answer is put down' '[[ -s $results ]]'
until_title 'one person to a post: the crew goes on' '1 of 1 right'
press Next
until_title 'what a second post needs' 'card 3 of 8'
press Next
until_title 'a choice' 'card 4 of 8'
picture choice
press 2
until_title 'both are kept hold of' '2 of 2 right'
picture chosen-answer
press Next
until_title 'what can fall is asked for' 'card 5 of 8'
sleep 4
click member main.post.A1
until_so 'a mark is on the list' '[[ -n $(where Label "⚑ main.post.A1") ]]'
click member main.post.B1
until_so 'and another' '[[ -n $(where Label "⚑ main.post.B1") ]]'
picture marked
press Return
until_title 'both can fall' '3 of 3 right'
sleep 4
picture marks-judged
press Next
until_title 'it may happen, slowly' 'card 6 of 8'
press Return
until_so 'it goes' '[[ -n $(where Label "It goes") || -n $(where Label "Gone") ]]' 2
sleep 5
picture replay-goes
# A replay has a hundred frames and more, none of which is left out.
until_so 'and is done right' '[[ -n $(where Label "Done right") ]]' 5
sleep 4
picture replay-right
press Next
until_title 'the last question' 'card 7 of 8'
press Return
until_title 'nothing is wrong with the braced tower' '4 of 4 right'
press Next
until_title 'the last card' 'card 8 of 8'
press Next
until_so 'the result is shown' '[[ -n $(where Label "4 of 4 right.") ]]'
picture result
click Button 'Write all results as CSV'
table="$XDG_STATE_HOME/standwell/results.csv"
until_so 'the results are a table' '[[ -s $table ]]'
[[ $(wc -l <"$table") -eq 5 && $(grep -c 'N. Sample' "$table") -eq 4 ]] ||
    fail "a head and four answers of one person: $(<"$table")"
"$program" lesson --results "$results" --csv | cmp -s - "$table" ||
    fail 'the command line writes the same table'
until_so 'and where it lies is said' '[[ -n $(where Label "wrote ") ]]'
picture exported
press Escape
until_title 'back at the job' 'tower.ron: stage'

menu_entry 'Permit to load'
until_title 'a permit over sample data is drafted' 'permit to load, not issued'
until_so 'it cannot be issued, and says so' '[[ -n $(where Label "✖ Cannot be issued") ]]'
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
menu_entry 'Walk-through'
until_title 'a walk begins' 'walk, station 1 of'
type_into 'Who looks' 'W. Sample'
type_into 'Note' 'flat and full'
type_into 'Photo file' 'sill.jpg'
until_so 'it is said that there is no such photo' '[[ -n $(where Label "✖ There is no file sill.jpg") ]]'
echo x >"$site/sill.jpg"
until_so 'and once it is there, that it is' '[[ -n $(where Label "✔ The photo is there") ]]'
picture station
click Button '✔ In order'
until_so 'the station is in the record, with its photo' 'grep -q "sill.jpg" "$site/job.asbuilt.ron"'
grep -q 'hold:ground.*W. Sample.*in_order:true.*flat and full' "$site/job.asbuilt.ron" ||
    fail 'by whom, and with the note'
click Button 'Next'
until_title 'the next station' 'walk, station 2 of'
click Button 'Leave'
until_title 'back at the inspected job' 'job.ron: stage'
menu_entry 'Permit to load'
until_title 'its permit is drafted' 'permit to load, not issued'
until_so 'the name is asked for' '[[ -n $(where "TextInput here" "Issued by") ]]'
xdotool type --delay 40 'A. Sample'
sleep 3
picture named
click Button 'Issue it'
# A title is there before the frame that belongs to it: pictures wait.
until_title 'the permit is issued' 'permit to load, issued'
permit=$(ls "$site"/*.json 2>/dev/null | head -1)
[[ -n $permit ]] || fail 'the permit is a file'
sleep 4
picture issued
[[ $(head -c 4 "$site/job.permit-to-load.png" | tr -d '\211') == PNG ]] || fail 'a picture lies beside it'
grep -q '<img' "$site/job.permit-to-load.html" || fail 'which is on its sheet'
grep -q 'job.permit-to-load.png' "$permit" || fail 'and bound'
"$program" permit verify "$permit" >"$folder/verified" 2>&1 || fail "it holds: $(cat "$folder/verified")"
grep -q 'A. Sample' "$permit" || fail 'it bears the name that was typed'
cp "$site/job.asbuilt.ron" "$folder/record"
echo "// seen again" >>"$site/job.asbuilt.ron"
until_title 'a change of the record alone is seen by itself' 'permit to load, void'
cp "$folder/record" "$site/job.asbuilt.ron"
until_title 'as it was, the permit is what it was' 'permit to load, issued'
echo "// a comment" >>"$site/job.ron"
if "$program" permit verify "$permit" >/dev/null 2>&1; then fail 'a comment voids it'; fi
echo 'ok: it holds, and a comment in the scene voids it'
until_title 'the window says so' 'permit to load, void'
until_so 'in large letters' '[[ -n $(where Label "✖ VOID") ]]'
sleep 4
picture void
click Button 'Write a page that says so'
until_so 'a page to hang in its place' 'grep -q "✕ VOID" "$site"/*.void.html'
kill -0 "$window" || fail 'the program is still there'
echo "driven in $SECONDS s"
