# Many cases from three formats and standard input: in order, as a table, sorted, as data.
cat >plants.yaml <<'YAML'
case: porch
kind: trap-plant
date: 2026-07-10
findings:
  heart: soft
  blackened: [traps, new-leaves]
where: {bench: b4}
---
case: sill
kind: trap-plant
findings: {heart: firm, blackened: [old-leaves], stalk: yes}
YAML
printf '{"case": "shed", "kind": "glue-plant", "findings": {"water-reading": "0.6 mS/cm", "stalk": false}}\n' >plants.jsonl
printf 'case,kind,water-reading (ppm),last-move,blackened\r\ntent,trap-plant,20,2026-07-05,\r\n"=shop, 2",trap-plant,,,new-leaves; traps\r\n' >plants.csv
small check plants.yaml plants.jsonl plants.csv; echo "status $?"
echo "--- most urgent first"
small check --sort=urgency --jobs=3 plants.csv plants.yaml plants.jsonl
echo "--- json"
small check -f json plants.jsonl - <plants.csv
echo "--- csv"
small check -f csv plants.csv | tr '\r' '|'
echo "--- strict"
small check --strict plants.jsonl >one; echo "status $?"
small check --strict plants.yaml >one; echo "status $?"
echo "--- narrow, without UTF-8"
COLUMNS=40 LC_ALL=C small check plants.yaml
echo "--- nothing"
: >empty
small check empty
echo "--- control sequences in names reach no terminal"
printf 'case: "a\\e[31mb\\r\\tc"\nkind: trap-plant\nwhere: {bench: "\\e]0;x\\a1"}\nsettled: [thirst]\n' >esc.yaml
for format in table json csv; do
    small check -f $format esc.yaml | head -n 2 | cat -v
done
{ cat esc.yaml; echo ---; cat esc.yaml; printf -- '---\nkind: glue-plant\nwhere: {bench: 2}\n'; } >esc2.yaml
for format in table json csv; do
    small shared --all -f $format esc2.yaml | head -n 2 | cat -v
done
