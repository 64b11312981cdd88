# What strangers say first, judged as a whole: what must hold of it, whatever the rules become.
fenmend --today=2026-12-01 --only-rules --rules="$here/../../rules" check --score -f json "$here/../strangers/messages.yaml" | tail -1 >score
. "$here/../strangers/holds.sh"
holds 'all of them are judged' cases '==' 70
holds 'four in five right at the top' top1 '>=' 0.8
holds '94 in a hundred among three' top3 '>=' 0.94
holds 'no danger called harmless' missed_danger '==' 0
holds 'as sure as right, within an eighth' calibration_error '<=' 0.125
holds 'after fewer than 16 questions' questions '<' 16
