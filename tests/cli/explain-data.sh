# A stored case's chain as data and as a graph.
cat >a.yaml <<'YAML'
case: a "quoted" plant
kind: trap-plant
date: 2026-07-10
findings:
  heart: soft
  blackened: [traps, new-leaves]
  water-reading: 400 ppm
  last-move: 2026-07-01
  tray: unsure
YAML
small explain -f json a.yaml
echo "--- one cause"
small explain -f json a.yaml mineral-burn
echo "--- dot"
small explain --format=dot a.yaml
# Graphviz itself must take it, where it is installed.
if command -v dot >/dev/null; then
    small explain --format=dot a.yaml | dot -Tsvg >graph.svg || echo "dot refuses it"
    grep -q 'heart rot' graph.svg || echo "the graph lacks its cause"
fi
