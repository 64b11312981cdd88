# What an edited pack changes about four plants: nothing, a verdict, a plan's words, a question; a
# settled case that gets worse, and one that gets better.
cat >plants.yaml <<'CASES'
case: soft-one
kind: trap-plant
date: 2026-07-01
findings: {heart: soft, blackened: [old-leaves]}
settled: [heart-rot]
---
case: salty-one
kind: trap-plant
date: 2026-07-01
findings: {heart: firm, water-reading: 160 ppm, tray: dry-often}
settled: [thirst]
---
case: quiet-one
kind: trap-plant
date: 2026-07-01
findings: {heart: firm, blackened: [traps], stalk: "no"}
---
case: unread-one
findings: {hart: soft}
CASES
mkdir edited
sed 's/\[decisive for heart-rot\]/[slight for heart-rot]/; s/> 150 ppm/> 170 ppm/' small.yaml >edited/small.yaml
small impact plants.yaml --with edited/small.yaml; echo "status $?"
COLUMNS=40 small impact plants.yaml --with edited/small.yaml 2>/dev/null
small impact plants.yaml --with edited --format json --summary 2>/dev/null; echo "status $?"
head -n 16 plants.yaml | small impact - --with small.yaml; echo "status $?"
sed 's/Unpot the plant and rinse/Unpot the plant and gently rinse/' small.yaml >edited/small.yaml
head -n 16 plants.yaml | small impact - --with edited --format json; echo "status $?"
cat >mine.yaml <<'PACK'
rules:
  dry-for-days:
    when: tray is dry-often
    then: 15 dBan for thirst
    why: It was dry for days.
    source: one plant of mine
PACK
head -n 16 plants.yaml | small impact - --with mine.yaml --all; echo "status $?"
sed 's/^  heart:/  core:/; s/\(when: \|- \)heart is/\1core is/; s/deciding: heart$/deciding: core/' small.yaml >edited/small.yaml
printf 'case,kind,heart,settled\none,trap-plant,soft,heart-rot\ntwo,trap-plant,,\n' | small impact - --with edited; echo "status $?"
small impact plants.yaml; echo "status $?"
# Only the rank of what it turned out to be changes, up and down: who gets better or worse is shown.
sed 's/usual: 10 %/usual: 13 %/' small.yaml >edited/small.yaml
printf 'case,kind,heart,settled\nfifth,trap-plant,firm,thirst\nfourth,trap-plant,firm,moving-sulk\nopen,trap-plant,firm,\n' >ranks.csv
small impact ranks.csv --with edited; echo "status $?"
small impact ranks.csv --with edited --format json; echo "status $?"
# It is ruled out.
sed 's/^    then: \[strong against heart-rot\]/    then: [excludes heart-rot]/' small.yaml >edited/small.yaml
printf 'case,kind,heart,settled\nseventh,trap-plant,firm,heart-rot\n' | small impact - --with edited; echo "status $?"
