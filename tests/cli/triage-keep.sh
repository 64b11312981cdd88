# Keep, go on from the file, keep again; a file that holds something else is safe.
small <<'LINES'
trap-plant
soft
note water-reading 0.3 mS/cm
note last-move 12 days ago
note tray unsure
keep porch.yaml
quit
LINES
echo "--- the file"
cat porch.yaml
echo "--- going on"
small triage porch.yaml <<'LINES'
back
note stalk yes
keep
keep other.yaml
LINES
echo "--- the file"
cat porch.yaml
cmp porch.yaml other.yaml
echo "--- not over a letter"
echo "dear friend" >letter.txt
small triage porch.yaml <<'LINES'
keep letter.txt
quit
LINES
echo "status $?"
cat letter.txt
small triage porch.yaml >/dev/null <<'LINES'
keep letter.txt
keep letter.txt
quit
LINES
cmp porch.yaml letter.txt
ls -a
