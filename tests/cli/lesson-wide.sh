# The rule that misled speaks of much: only the difference is written, beside it. First stands what the rules
# bear out, not what happens to hold.
cp "$here"/../lessons/*.yaml .
lessons() { fenmend lesson --only-rules --rules=pack.yaml --rules=wide.yaml --into=own.yaml --kept-in=settled.yaml --today=2026-07-12 "$@" 2>err; status=$?; grep -v 'load with' err >&2; }
lessons pot.yaml <<'LINES'
show all
another
keep
LINES
echo "status $status"
echo "--- judged again"
lessons --rules=own.yaml pot.yaml </dev/null
echo "--- the first, unattended"
lessons --undo
lessons pot.yaml --take=narrow | tail -n 3
sed -n '/^rules/,$p' own.yaml
