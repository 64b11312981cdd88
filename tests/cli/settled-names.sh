# What a case turned out to be, written as people write it: ids, names, several in one cell.
cat >plants.csv <<'CSV'
case,kind,heart,settled
a,trap-plant,soft,heart-rot
b,trap-plant,soft,Heart rot
c,trap-plant,soft,"heart rot, mineral-burn and sulking after a move"
d,trap-plant,soft,A finished trap | heart-rot
e,trap-plant,soft,something else
f,trap-plant,soft,"heart rott, Mineral Burn, ageing leafs"
g,trap-plant,soft,"thirst, Thirst"
h,trap-plant,soft,","
CSV
small check --score -f json plants.csv | grep -Eo '"case":"."|"error":"[^"]*"|"confusion".*'
echo "--- the causes, as they are kept"
printf 'kind: trap-plant\nfindings: {heart: soft}\nsettled: Thirst and heart rot\n' >one.yaml
printf 'keep one.yaml\n' | small triage one.yaml >/dev/null
grep settled one.yaml
echo "--- one by its shown name"
small explain one.yaml "a finished trap" | head -n 1
