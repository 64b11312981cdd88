# A stored case's chain, and what cannot be explained.
small >/dev/null 2>&1 <<'LINES'
trap-plant
soft
traps, new-leaves
keep a.yaml
LINES
small explain a.yaml
echo "--- one cause"
small explain a.yaml finished-trap
echo "--- by its shown name"
small explain a.yaml "a finished trap" | cmp - - && echo same
echo "--- the leading cause, though another accounts for what has blackened"
cat >b.yaml <<'YAML'
kind: trap-plant
findings: {heart: firm, blackened: new-leaves, tray: dry-often, water-reading: 20 ppm, last-move: 2026-01-01}
YAML
small check b.yaml | head -n 2
for format in text json dot; do
    echo "in $format: $(small explain --format=$format b.yaml | grep -Eo 'Why .*|"cause":"[^"]*"|cause[0-9]+ .*label="[^"]*"' | tr '\n' ' ')"
done
echo "--- one case of many, in every format that check reads"
cat >many.csv <<'CSV'
case,kind,heart,tray
first,trap-plant,soft,standing
second,trap-plant,firm,dry-often
broken,trap-plant,sofft,standing
first,trap-plant,firm,standing
CSV
printf '%s\n' '{"case":"first","kind":"trap-plant","findings":{"heart":"soft"}}' '{"kind":"trap-plant","findings":{"tray":"dry-often"}}' >many.jsonl
printf -- '- {case: first, kind: trap-plant, findings: {heart: soft}}\n- case: second\n  kind: trap-plant\n  findings: {tray: dry-often}\n' >many.yaml
small explain --case=second many.csv | head -n 1
small explain many.yaml -c second | head -n 1
small explain -c many:2 many.jsonl | head -n 1
small explain -c stdin:2 - <many.jsonl | head -n 1
small explain -c second -f json many.csv thirst | grep -o '"case":"second".*"answers":{[^}]*}'
small plan --case=second many.yaml | head -n 1
echo "--- one case of many" >&2
small explain -c first many.csv | head -n 1
small explain -c broken many.csv; echo "status $?"
small explain -c secnod many.csv; echo "status $?"
small explain -c nonsuch many.csv; echo "status $?"
for file in many.csv many.yaml many.jsonl; do small explain $file; echo "status $?"; done
small plan many.csv; echo "status $?"
for text in '' '---\n' '# nothing\n' 'case,kind\n' '[]\n'; do
    printf -- "$text" >none
    small explain none; echo "status $?"
done
printf 'case,kin\na,trap-plant\n' >head.csv
small explain -c a head.csv; echo "status $?"
echo "--- refusals" >&2
small explain a.yaml nonsuch; echo "status $?"
small explain a.yaml heart-rott; echo "status $?"
small explain; echo "status $?"
small explain a.yaml heart-rot more; echo "status $?"
small explain nowhere.yaml; echo "status $?"
small explain .; echo "status $?"
printf 'kind: trap-plnt\nfindings: {heart: sofft}\n' >bad.yaml
small explain bad.yaml; echo "status $?"
