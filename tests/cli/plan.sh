# A stored case's plan: amounts, what to measure, what gives way.
cp "$here/../packs/plan.yaml" .
plan() { fenmend --only-rules --rules=plan.yaml --today=2026-07-12 "$@"; }
cat >a.yaml <<'CASE'
kind: snap-trap
date: 2026-07-12
findings: {heart: soft, newest: limp, tray: empty, runoff: 200 ppm, pot-top: 9 cm, pot-base: 7 cm, pot-depth: 9 cm}
CASE
plan plan a.yaml
echo "--- in US units"
plan plan a.yaml --units=us | sed -n '/^What to do/,/^$/p'
echo "--- how it was worked out"
plan plan a.yaml --amounts
echo "--- not measured"
sed 's/pot-top: 9 cm, //' a.yaml >b.yaml
plan plan b.yaml | sed -n '/^What to do/,/^Left/p'
plan plan b.yaml --amounts
echo "--- nothing to do"
echo 'kind: snap-trap' >c.yaml
plan plan c.yaml
plan plan c.yaml --amounts
echo "--- at the prompt"
plan triage a.yaml <<'LINES' | sed -n '/^flush/,/^inputs/p'
amounts
quit
LINES
echo "--- as data"
plan plan a.yaml --format=json
echo "--- its days"
plan plan a.yaml --format=ics | tr -d '\r' | grep -E "^(UID|DTSTART|SUMMARY|END:VCAL)"
echo "--- as a page"
plan plan a.yaml --format=html >a.html
grep -c "<svg" a.html
sed -n '/id="steps"/,/<\/ol>/p' a.html
