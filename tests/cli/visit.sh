# Another day is another visit: what the plan promised is asked first.
cp "$here/../packs/plan.yaml" .
plan() { fenmend --only-rules --rules=plan.yaml "$@"; }
cat >a.yaml <<'CASE'
kind: snap-trap
date: 2026-07-12
findings: {heart: soft, newest: black, tray: empty, pot-top: 9 cm}
CASE
plan --today=2026-07-20 triage a.yaml <<'LINES'
?
firm
limp
keep a.yaml
done
LINES
echo "--- the file"
cat a.yaml
echo "--- the same day goes on"
plan --today=2026-07-20 triage a.yaml <<'LINES' | sed -n 4,12p
quit
LINES
echo "--- worse, and past the day"
plan --today=2026-09-01 triage a.yaml <<'LINES' | sed -n '/^What the plan/,$p'
skip
unsure
600 ppm
done
LINES
