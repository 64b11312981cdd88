# What is due over a folder of cases; a broken one is told and the rest is listed.
cp "$here/../packs/plan.yaml" .
plan() { fenmend --only-rules --rules=plan.yaml --today=2026-07-25 "$@"; }
mkdir farm
cat >farm/a.yaml <<'CASE'
kind: snap-trap
date: 2026-07-12
where: {hemisphere: south}
findings: {heart: soft, newest: limp, runoff: 200 ppm, pot-top: 9 cm, pot-base: 7 cm, pot-depth: 9 cm, bought: 2026-06-01}
CASE
cat >farm/b.yaml <<'CASE'
kind: glue-leaf
visits:
- date: 2026-07-01
  findings: {heart: soft}
- date: 2026-07-20
  findings: {heart: firm, sun: 1 h}
CASE
plan due farm
echo "--- as data"
plan due farm --format=json
echo "--- a calendar"
plan due farm/b.yaml --format=ics --ahead=400 | tr -d '\r'
echo "--- in US units, further ahead"
plan due farm/a.yaml --units=us --ahead=60
echo "--- nothing"
mkdir empty
plan due empty; echo "status $?"
echo "--- one is broken" >&2
echo 'kind: snap-trapp' >farm/c.yaml
plan due farm >/dev/null; echo "status $?"
plan due nowhere; echo "status $?"
