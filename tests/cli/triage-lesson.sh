# At the prompt: what it turned out to be, a rule from that, and the settled cases that `keep` adds to.
cp "$here"/../lessons/pack.yaml "$here"/../lessons/settled.yaml .
talk() { fenmend --only-rules --rules=pack.yaml --today=2026-07-12 "$@" 2>&1 | grep -v 'load with'; }
echo "--- nowhere to put a rule, nothing known, end of input"
talk <<'LINES'
trap
lesson rot
LINES
talk triage --into=own.yaml --kept-in=settled.yaml <<'LINES'
lesson drought
trap
lesson
lesson draught
keep
note crown soft
note tray dry-often
note leaves limp
note smell no
lesson drought
keep it
kepe
lighter
lighter
LINES
test -e own.yaml || cmp settled.yaml "$here"/../lessons/settled.yaml && echo "nothing written"
echo "--- kept, and then the case once more with what was found later"
talk triage --into=own.yaml --kept-in=settled.yaml <<'LINES'
trap
note crown soft
note tray dry-often
note leaves limp
note smell no
note water-reading 40 ppm
lesson drought
narrow
keep
note water-reading 41 ppm
keep
keep
lesson
quit
LINES
tail -n 13 settled.yaml
echo "--- two lessons in one run: the second is about the rules with the first"
mkdir twice
talk triage --into=twice/own.yaml --kept-in=twice/settled.yaml <<'LINES' | sed -n '/^The verdict was/,/^What spoke/p; /^Judged by/p; /kept in/,/next start/p'
trap
note crown soft
note tray dry-often
note smell no
lesson drought
keep
note water-reading 300 ppm
lesson
keep
lesson
quit
LINES
grep '^  lesson-\|is\|>=\|for\|against' twice/own.yaml
fenmend check --only-rules --rules=pack.yaml --rules=twice/own.yaml --format=csv twice/settled.yaml 2>/dev/null | cut -d, -f1,4
echo "--- a later visit, of which nothing is told yet"
cp "$here"/../lessons/porch.yaml .
talk triage porch.yaml --into=own.yaml --kept-in=settled.yaml <<'LINES' | grep error
lesson
LINES
echo "--- a case that was judged rightly"
talk triage --into=own.yaml --kept-in=settled.yaml <<'LINES'
glue
note crown firm
note tray dry-often
keep glue.yaml
lesson drought
keep
quit
LINES
cat glue.yaml
sed -n '/case: glue/,$p' settled.yaml
