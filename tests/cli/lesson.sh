# A wrong verdict, what it relied on, a rule that would upset a settled case, made narrower, kept, and
# taken back to the byte.
cp "$here"/../lessons/*.yaml .
cp settled.yaml before.yaml
lessons() { fenmend lesson --only-rules --rules=pack.yaml --into=own.yaml --kept-in=settled.yaml --author='A. Grower' --today=2026-07-12 "$@" 2>err; status=$?; grep -v 'load with' err >&2; }
judge() { fenmend check --only-rules --rules=pack.yaml "$@" --format=csv porch.yaml settled.yaml 2>/dev/null | cut -d, -f1,4,5; }
judge >judged-before
lessons porch.yaml <<'LINES'
?
show all
narrow
show changes
keep
LINES
echo "status $status"
echo "--- the pack"
cat own.yaml
echo "--- what is settled now"
diff before.yaml settled.yaml
echo "--- judged again: before, and now"
judge --rules=own.yaml >judged-now
grep porch judged-before | uniq
grep porch judged-now | uniq
grep -v porch judged-before >old; grep -v porch judged-now | cmp - old && echo "all others as before"
echo "--- the same again: nothing to learn"
lessons porch.yaml --rules=own.yaml </dev/null
echo "status $status"
echo "--- taken back"
lessons --undo
echo "status $status"
cmp before.yaml settled.yaml && ls
lessons --undo
echo "status $status"
echo "--- a verdict that was right, the first time ever"
printf 'case: right-one\nkind: trap-plant\ndate: 2026-07-01\nfindings: {heart: soft}\nsettled: [heart-rot]\n' >right.yaml
small lesson --into=data/rules/own.yaml --kept-in=data/settled.yaml right.yaml; echo "status $?"
ls data
