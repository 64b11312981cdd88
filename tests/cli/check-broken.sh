# What cannot be read is told, counted, given a line, and holds nothing else up.
cat >plants.yaml <<'YAML'
case: good
kind: trap-plant
---
case: typo
kind: trap-plant
findings: {hart: soft, heart: sft}
---
case: "unclosed
---
case: after
kind: trap-plant
YAML
printf 'case,heart\na,soft\nb\nc,"x" y\nd,firm\n' >plants.csv
printf '{"case":"x","kind":"snapper plant"}\n{"case":"y",}\n{"case":"z","case":"z"}\n' >plants.jsonl
printf 'case,hart\nx,soft\n' >head.csv
small check plants.yaml plants.csv plants.jsonl head.csv missing.yaml .; echo "status $?"
echo "--- json" >&2
small check -f json plants.yaml 2>/dev/null | cut -c1-150; echo "--- forced"
small check --input=jsonl plants.csv 2>/dev/null
