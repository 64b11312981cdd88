# Eighty more of what strangers say first, judged as a whole: a little below what was measured before any rule was changed for them.
fenmend --today=2026-12-01 --only-rules --rules="$here/../../rules" check --score -f json "$here/../strangers/more-messages.yaml" >verdicts
tail -1 verdicts >score
. "$here/../strangers/holds.sh"
holds 'all of them are judged' cases '==' 80
holds '86 in a hundred right at the top' top1 '>=' 0.86
holds '96 in a hundred among three' top3 '>=' 0.96
holds 'no danger called harmless' missed_danger '==' 0
holds 'as sure as right, within an eighth' calibration_error '<=' 0.125
holds 'the true cause is seldom a surprise' log_loss '<=' 0.38
holds 'after fewer than 16 questions' questions '<' 16
# Those in which nothing had to be done soon, in the words of whoever settled them.
for n in 01 02 03 04 05 06 13 16 18 21 25 30 33 35 37 38 39 40 46 48 51 52 53 62 64 67 73 77 80; do
    grep "\"case\":\"m$n\"" verdicts
done | grep -c '"urgency":"\(days\|hours\)"' >hurried
[ "$(cat hurried)" -le 6 ] && echo 'of 29 harmless ones at most six told to hurry: yes' || echo "of 29 harmless ones at most six told to hurry: no, $(cat hurried)"
