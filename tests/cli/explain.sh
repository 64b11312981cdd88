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
echo "--- refusals" >&2
small explain a.yaml heart-rott; echo "status $?"
small explain; echo "status $?"
small explain a.yaml heart-rot more; echo "status $?"
small explain nowhere.yaml; echo "status $?"
small explain .; echo "status $?"
printf 'kind: trap-plnt\nfindings: {heart: sofft}\n' >bad.yaml
small explain bad.yaml; echo "status $?"
