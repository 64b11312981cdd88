# What a lesson refuses, and what it says then; a plant just like another; unattended.
cp "$here"/../lessons/*.yaml .
lesson() { fenmend lesson --only-rules --rules=pack.yaml --today=2026-07-12 --author=me "$@" 2>&1 </dev/null | grep -v 'load with'; echo "status $(fenmend lesson --only-rules --rules=pack.yaml --today=2026-07-12 "$@" >/dev/null 2>&1 </dev/null; echo $?)"; }
mine() { lesson --into=own.yaml --kept-in=settled.yaml "$@"; }
echo "--- no case; both"
lesson
lesson --undo porch.yaml
echo "--- which pack?"
lesson porch.yaml
echo "--- what was it?"
grep -v settled porch.yaml >open.yaml
mine open.yaml
mine open.yaml --settled=draught
echo "--- nothing to take back"
mine --undo
echo "rules: {}" >own.yaml
mine --undo
echo "--- a pack in which there is no room"
mine porch.yaml --take=first
rm own.yaml
echo "--- a settled case that cannot be read"
sed 's/settled: .salts./settled: [salt]/' settled.yaml >broken.yaml
lesson --into=own.yaml --kept-in=broken.yaml porch.yaml
echo "--- one that a later version wrote"
sed '0,/format: 1/s//format: 2/' settled.yaml >later.yaml
lesson --into=own.yaml --kept-in=later.yaml porch.yaml
echo "--- a name that is taken"
sed 's/case: porch/case: shed-4/' porch.yaml >taken.yaml
mine taken.yaml
echo "--- a plant just like one that was something else"
sed -e 's/case: porch/case: twin/' -e 's/settled: .*/settled: [rot]/' porch.yaml >twin.yaml
lesson --into=own.yaml --kept-in=twin.yaml porch.yaml --take=narrow
fenmend lesson --only-rules --rules=pack.yaml --today=2026-07-12 --into=own.yaml --kept-in=twin.yaml porch.yaml 2>/dev/null <<'LINES' | sed -n '/stays\|keep/,$p'
narrow
lighter
leave
LINES
ls
