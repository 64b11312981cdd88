# What strangers say first, judged as a whole: what must hold of it, whatever the rules become.
fenmend --today=2026-12-01 --only-rules --rules="$here/../../rules" check --score -f json "$here/../strangers/messages.yaml" | tail -1 >score
number() { grep -o "\"$1\":[0-9.]*" score | head -1 | cut -d: -f2; }
holds() { awk -v at="$(number "$2")" -v bound="$4" "BEGIN { exit !(at $3 bound) }" && echo "$1: yes" || echo "$1: no, $(number "$2")"; }
holds 'all of them are judged' cases '==' 70
holds 'four in five right at the top' top1 '>=' 0.8
holds '94 in a hundred among three' top3 '>=' 0.94
holds 'no danger called harmless' missed_danger '==' 0
holds 'as sure as right, within an eighth' calibration_error '<=' 0.125
holds 'after fewer than 16 questions' questions '<' 16
