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
echo "--- refusals" >&2
small explain a.yaml heart-rott; echo "status $?"
small explain; echo "status $?"
small explain a.yaml heart-rot more; echo "status $?"
small explain nowhere.yaml; echo "status $?"
small explain .; echo "status $?"
printf 'kind: trap-plnt\nfindings: {heart: sofft}\n' >bad.yaml
small explain bad.yaml; echo "status $?"
